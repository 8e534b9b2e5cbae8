#include "chart/counts.h"

#include <fmt/format.h>

#include <algorithm>

namespace stillhand::chart {
namespace {

constexpr std::size_t kMostWays = 3;
constexpr std::size_t kLongestWay = 60;  // characters; longer advice helps nobody (our judgement)

std::string plural(std::size_t n, std::string_view word) {
  return fmt::format("{} {}{}", n, word, n == 1 ? "" : "s");
}

std::string joined(const std::vector<std::string>& words) {
  std::string out;
  for (const std::string& word : words) out += (out.empty() ? "" : " ") + word;
  return out;
}

// `words` with the `length` ones from `from` in one parenthesis.
std::vector<std::string> grouped(std::vector<std::string> words, std::size_t from,
                                 std::size_t length) {
  const auto begin = words.begin() + static_cast<std::ptrdiff_t>(from);
  const auto end = begin + static_cast<std::ptrdiff_t>(length);
  const std::string group = "(" + joined({begin, end}) + ")";
  words.erase(begin + 1, end);
  words[from] = group;
  return words;
}

std::vector<std::string> with_dashes(std::vector<std::string> words, std::size_t after,
                                     std::size_t dashes) {
  words.insert(words.begin() + static_cast<std::ptrdiff_t>(after + 1), dashes, "-");
  return words;
}

// The likely ways to write a bar of `counts` counts with these tokens.
std::vector<std::string> likely_ways(const BarText& bar, std::size_t counts, Tick count_length) {
  std::vector<std::string> words;
  std::vector<bool> is_chord;
  for (const Token& token : bar.tokens) {
    words.emplace_back(token.piece.text);
    is_chord.push_back(token.kind == Token::Kind::chord || token.kind == Token::Kind::no_chord);
  }
  const auto all_chords = [&](std::size_t from, std::size_t length) {
    const auto begin = is_chord.begin() + static_cast<std::ptrdiff_t>(from);
    return std::all_of(begin, begin + static_cast<std::ptrdiff_t>(length),
                       [](bool c) { return c; });
  };
  std::vector<std::vector<std::string>> ways;
  if (words.size() < counts) {
    const std::size_t missing = counts - words.size();
    ways.push_back(with_dashes(words, words.size() - 1, missing));
    for (std::size_t i = 0; i + 1 < words.size(); ++i)
      ways.push_back(with_dashes(words, i, missing));
  } else if (words.size() > counts) {
    const std::size_t surplus = words.size() - counts;
    const auto last_chord =
        std::find_if(words.rbegin(), words.rend(), [](const std::string& w) { return w != "-"; });
    const auto dashes_at_end = static_cast<std::size_t>(last_chord - words.rbegin());
    if (dashes_at_end >= surplus) {
      ways.emplace_back(words.begin(), words.end() - static_cast<std::ptrdiff_t>(surplus));
    }
    const std::size_t length = surplus + 1;
    if (count_length.value() % static_cast<int>(length) == 0) {
      const std::size_t last = words.size() - length;
      if (all_chords(last, length)) ways.push_back(grouped(words, last, length));
      if (counts > 1 && all_chords(0, length)) ways.push_back(grouped(words, 0, length));
    }
  }
  std::vector<std::string> texts;
  for (const auto& way : ways) {
    std::string text = joined(way);
    const bool is_new = std::find(texts.begin(), texts.end(), text) == texts.end();
    if (!is_new || characters(text) > kLongestWay || texts.size() == kMostWays) continue;
    texts.push_back(std::move(text));
  }
  return texts;
}

std::string advice(const BarText& bar, Meter meter) {
  const auto ways =
      likely_ways(bar, static_cast<std::size_t>(meter.counts().value()), meter.count_length());
  if (ways.empty()) return "every chord, dash and parenthesis of such a bar is one count";
  std::string out = "perhaps ";
  for (std::size_t i = 0; i < ways.size(); ++i) {
    if (i > 0) out += i + 1 == ways.size() ? " or " : ", ";
    out += "`" + ways[i] + "`";
  }
  return out;
}

bool is_one_count_each(const BarText& bar) {
  return std::any_of(bar.tokens.begin(), bar.tokens.end(), [](const Token& token) {
    return token.kind == Token::Kind::hold || token.kind == Token::Kind::group;
  });
}

// Each top-level token lasts `share`.
std::vector<TimedToken> opened(const BarText& bar, Tick share, Report& report) {
  std::vector<TimedToken> timed;
  for (const Token& token : bar.tokens) {
    if (token.kind != Token::Kind::group) {
      timed.push_back({&token, share});
      continue;
    }
    const auto parts = static_cast<int>(token.inside.size());
    if (share.value() % parts != 0) {
      report.error(token.piece, fmt::format("one count cannot be shared by {}", parts),
                   "spread them over more counts");
      return {};
    }
    for (const Token& inside : token.inside) timed.push_back({&inside, share / parts});
  }
  return timed;
}

}  // namespace

std::vector<TimedToken> time_tokens(const BarText& bar, Meter meter, Report& report) {
  const auto there = bar.tokens.size();
  const auto wanted = static_cast<std::size_t>(meter.counts().value());
  if (there == 0 || bar.is_broken) return {};  // reported by the reader
  if (!is_one_count_each(bar) && wanted % there == 0) {
    return opened(bar, meter.bar_length() / static_cast<int>(there), report);
  }
  if (is_one_count_each(bar) && wanted == there) return opened(bar, meter.count_length(), report);
  if (report.is_full()) {
    report.error(bar.piece, "wrong counts");
  } else if (is_one_count_each(bar)) {
    report.error(bar.piece,
                 fmt::format("this bar has {}, {} wants {}", plural(there, "count"),
                             music::text(meter), wanted),
                 advice(bar, meter));
  } else {
    report.error(bar.piece,
                 fmt::format("this bar has {}, which cannot share the {} of {} evenly",
                             plural(there, "chord"), plural(wanted, "count"), music::text(meter)),
                 advice(bar, meter));
  }
  return {};
}

std::vector<TimedToken> time_pick_up(const BarText& bar, Meter meter, Report& report) {
  const auto there = bar.tokens.size();
  const auto whole = static_cast<std::size_t>(meter.counts().value());
  if (there == 0 || bar.is_broken) return {};
  if (there >= whole) {
    report.error(bar.piece,
                 fmt::format("this pick-up has {}, a bar of {} has {}", plural(there, "count"),
                             music::text(meter), whole),
                 "a pick-up is shorter than a bar; every chord, dash and parenthesis is one count");
    return {};
  }
  return opened(bar, meter.count_length(), report);
}

}  // namespace stillhand::chart
