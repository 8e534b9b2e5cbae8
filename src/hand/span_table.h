// The tables of finger-pair spans in data/: a hand's name, a pair ("12" … "45") and its six spans on each line, by tabs.
//
//   const std::array<Span, 10> spans = read_spans<Span, SpanUnits>(data::finger_spans_tsv, "medium");
//   spans[pair_index(1, 5)]
#pragma once

#include <algorithm>
#include <array>
#include <cassert>
#include <charconv>
#include <cstddef>
#include <string_view>

namespace stillhand::hand {

// Pairs 12 13 14 15 23 24 25 34 35 45 in this order; 1 ≤ low < high ≤ 5.
constexpr std::size_t pair_index(int low, int high) {
  constexpr std::array<std::size_t, 5> first{0, 0, 4, 7, 9};
  return first[static_cast<std::size_t>(low)] + static_cast<std::size_t>(high - low - 1);
}

// The number at the front, behind tabs; it is removed.
inline int next_int(std::string_view& text) {
  while (!text.empty() && text.front() == '\t') text.remove_prefix(1);
  int value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  assert(error == std::errc{});
  text.remove_prefix(static_cast<std::size_t>(end - text.data()));
  return value;
}

// The rows of `hand`. The tables are part of the program: a row that cannot be read is our own bug.
template <class Span, class Unit>
std::array<Span, 10> read_spans(std::string_view table, std::string_view hand) {
  std::array<Span, 10> spans{};
  while (!table.empty()) {
    const std::size_t end = std::min(table.find('\n'), table.size());
    std::string_view line = table.substr(0, end);
    table.remove_prefix(std::min(end + 1, table.size()));
    if (!line.starts_with(hand) || line[hand.size()] != '\t') continue;
    line.remove_prefix(hand.size());
    const int pair = next_int(line);
    Span& span = spans[pair_index(pair / 10, pair % 10)];
    for (Unit* value : {&span.min_practical, &span.min_comfortable, &span.min_relaxed,
                        &span.max_relaxed, &span.max_comfortable, &span.max_practical}) {
      *value = Unit(next_int(line));
    }
  }
  return spans;
}

}  // namespace stillhand::hand
