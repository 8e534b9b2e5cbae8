#include "base/nearest.h"

#include <algorithm>

namespace stillhand {
namespace {
constexpr std::size_t kLongest = 100;  // longer words have no near one (our judgement)
}

int edit_distance(std::string_view a, std::string_view b) {
  const std::size_t width = b.size() + 1;
  std::vector<int> table((a.size() + 1) * width);
  const auto at = [&](std::size_t i, std::size_t j) -> int& { return table[i * width + j]; };
  for (std::size_t i = 0; i <= a.size(); ++i) at(i, 0) = static_cast<int>(i);
  for (std::size_t j = 0; j <= b.size(); ++j) at(0, j) = static_cast<int>(j);
  for (std::size_t i = 1; i <= a.size(); ++i) {
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const int change = at(i - 1, j - 1) + (a[i - 1] == b[j - 1] ? 0 : 1);
      at(i, j) = std::min({at(i - 1, j) + 1, at(i, j - 1) + 1, change});
      const bool swapped = i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1];
      if (swapped) at(i, j) = std::min(at(i, j), at(i - 2, j - 2) + 1);
    }
  }
  return at(a.size(), b.size());
}

std::optional<std::string> nearest(std::string_view word,
                                   const std::vector<std::string>& candidates) {
  if (word.size() > kLongest) return std::nullopt;
  const std::string lower = lower_case(word);
  std::optional<std::string> found;
  int best = 0;
  for (const std::string& candidate : candidates) {
    if (candidate.size() > kLongest) continue;
    const int most = std::max(1, static_cast<int>(candidate.size()) / 3);
    const int distance = edit_distance(lower, lower_case(candidate));
    if (distance > most || (found && distance >= best)) continue;
    best = distance;
    found = candidate;
  }
  return found;
}

std::string lower_case(std::string_view text) {
  std::string out(text);
  for (char& c : out) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  return out;
}

}  // namespace stillhand
