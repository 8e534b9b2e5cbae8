#include "write/sung_words.h"

#include <cctype>

namespace stillhand::write {

std::string joined_syllables(std::string_view words) {
  const auto is_letter = [&](std::size_t i) {
    const auto c = static_cast<unsigned char>(words[i]);
    return std::isalpha(c) != 0 || c >= 0x80;
  };
  std::string out;
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (words[i] != '-' || i == 0 || !is_letter(i - 1)) {
      out += words[i];
      continue;
    }
    std::size_t next = i + 1;
    while (next < words.size() && words[next] == ' ') ++next;
    if (next == words.size() || is_letter(next)) {
      i = next - 1;
    } else {
      out += '-';
    }
  }
  return out;
}

}  // namespace stillhand::write
