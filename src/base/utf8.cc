#include "base/utf8.h"

#include <algorithm>

namespace stillhand {
namespace {

bool is_continuation(char c) { return (static_cast<unsigned char>(c) & 0xC0U) == 0x80U; }

}  // namespace

std::optional<CodePoint> code_point(std::string_view text) {
  const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
  const unsigned char lead = byte(0);
  if (lead < 0x80) return CodePoint{lead, 1};
  std::size_t size = 0;
  char32_t least = 0;
  char32_t value = 0;
  if ((lead & 0xE0U) == 0xC0U) {
    size = 2, least = 0x80, value = lead & 0x1FU;
  } else if ((lead & 0xF0U) == 0xE0U) {
    size = 3, least = 0x800, value = lead & 0x0FU;
  } else if ((lead & 0xF8U) == 0xF0U) {
    size = 4, least = 0x10000, value = lead & 0x07U;
  } else {
    return std::nullopt;
  }
  if (text.size() < size) return std::nullopt;
  for (std::size_t i = 1; i < size; ++i) {
    if (!is_continuation(text[i])) return std::nullopt;
    value = (value << 6U) | (byte(i) & 0x3FU);
  }
  const bool surrogate = value >= 0xD800 && value <= 0xDFFF;
  if (value < least || surrogate || value > 0x10FFFF) return std::nullopt;
  return CodePoint{value, size};
}

std::size_t characters(std::string_view utf8) {
  return static_cast<std::size_t>(
      std::count_if(utf8.begin(), utf8.end(), [](char c) { return !is_continuation(c); }));
}

bool is_utf8(std::string_view text) {
  while (!text.empty()) {
    const auto found = code_point(text);
    if (!found) return false;
    text.remove_prefix(found->size);
  }
  return true;
}

std::string repaired(std::string_view text) {
  std::string out;
  while (!text.empty()) {
    const auto found = code_point(text);
    out += found ? text.substr(0, found->size) : std::string_view("\uFFFD");
    text.remove_prefix(found ? found->size : 1);
  }
  return out;
}

std::string from_latin_1(std::string_view bytes) {
  std::string out;
  for (const char c : bytes) {
    const auto byte = static_cast<unsigned char>(c);
    if (byte < 0x80) {
      out += c;
    } else {
      out += static_cast<char>(0xC0U | (byte >> 6U));
      out += static_cast<char>(0x80U | (byte & 0x3FU));
    }
  }
  return out;
}

}  // namespace stillhand
