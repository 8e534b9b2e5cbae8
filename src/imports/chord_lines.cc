// The plain habit: a line of chords typed over a line of words, chord over syllable. What it does not say is guessed and
// marked: how many counts a chord has (one bar each, unless bar lines are typed), and the key.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <charconv>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "base/nearest.h"
#include "base/utf8.h"
#include "chart/song.h"
#include "imports/draft.h"
#include "imports/imports.h"

namespace stillhand::imports {
namespace {

constexpr int kTabStop = 8;  // columns

std::string_view trimmed(std::string_view text) {
  const std::size_t first = text.find_first_not_of(" \t");
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(" \t") - first + 1);
}

// A line by columns: each entry is one character (its combining marks included), tabs are blanks.
using Columns = std::vector<std::string>;

Columns columns_of(std::string_view line) {
  Columns out;
  for (std::size_t at = 0; at < line.size();) {
    if (line[at] == '\t') {
      do out.push_back(" ");
      while (out.size() % kTabStop != 0);
      ++at;
      continue;
    }
    std::size_t end = at + 1;
    while (end < line.size() && (static_cast<unsigned char>(line[end]) & 0xC0) == 0x80) ++end;
    std::string one(line.substr(at, end - at));
    const bool combines = one >= "\xCC\x80" && one < "\xCD\xB0";  // U+0300–U+036F
    if (combines && !out.empty()) {
      out.back() += one;
    } else {
      out.push_back(std::move(one));
    }
    at = end;
  }
  return out;
}

std::string joined(const Columns& columns, std::size_t begin, std::size_t end) {
  std::string out;
  for (std::size_t i = begin; i < std::min(end, columns.size()); ++i) out += columns[i];
  return out;
}

enum class Sign { chord, no_chord, bar_line, hold, unknown };

struct Token {
  Sign sign = Sign::unknown;
  std::size_t column = 0;
  std::string text;
  std::optional<Chord> chord;
};

// How the roots are called: in German B is B flat and H is B.
enum class Roots { english, german };

std::optional<Chord> parse_symbol(std::string text, Roots roots) {
  if (roots == Roots::german) {
    const std::size_t slash = text.rfind('/');
    for (std::size_t at : {std::size_t{0}, slash == std::string::npos ? text.size() : slash + 1}) {
      if (at >= text.size()) continue;
      if (text[at] == 'H') {
        text[at] = 'B';
      } else if (text[at] == 'B' && !(at + 1 < text.size() && text[at + 1] == 'b')) {
        text.insert(at + 1, "b");
      }
    }
  }
  return music::parse_chord(text);
}

Sign sign_of(const std::string& text, Roots roots, std::optional<Chord>& chord) {
  const std::string lower = lower_case(text);
  if (text.find_first_not_of("|:") == std::string::npos && text.find('|') != std::string::npos)
    return Sign::bar_line;
  if (text == "-" || text == "–" || text == "." || text == "/" || text == "%") return Sign::hold;
  if (lower == "n.c." || lower == "nc" || lower == "n.c") return Sign::no_chord;
  chord = parse_symbol(text, roots);
  return chord ? Sign::chord : Sign::unknown;
}

std::vector<Token> tokens_of(const Columns& columns, Roots roots) {
  std::vector<Token> out;
  for (std::size_t at = 0; at < columns.size();) {
    if (columns[at] == " ") {
      ++at;
      continue;
    }
    std::size_t end = at;
    const auto in_bar_line = [&](std::size_t i) { return columns[i] == "|" || columns[i] == ":"; };
    while (end < columns.size() && columns[end] != " " && in_bar_line(end) == in_bar_line(at))
      ++end;
    Token token;
    token.column = at;
    token.text = joined(columns, at, end);
    token.sign = sign_of(token.text, roots, token.chord);
    out.push_back(std::move(token));
    at = end;
  }
  return out;
}

// Mostly chords, and at least one.
bool is_chord_line(const std::vector<Token>& tokens) {
  std::size_t chords = 0;
  std::size_t unknown = 0;
  for (const Token& token : tokens) {
    chords += token.sign == Sign::chord || token.sign == Sign::no_chord ? 1 : 0;
    unknown += token.sign == Sign::unknown ? 1 : 0;
  }
  return chords > 0 && chords > unknown * 2;
}

constexpr std::array<std::string_view, 22> kSectionWords{
    "verse",  "chorus",     "bridge",       "intro",       "introduction", "outro",
    "ending", "tag",        "pre-chorus",   "prechorus",   "refrain",      "interlude",
    "vamp",   "turnaround", "instrumental", "coda",        "solo",         "strophe",
    "hook",   "refrão",     "vers",         "middle eight"};

struct Heading {
  std::string name;
  int times = 1;
};

// "Verse 1", "CHORUS:", "[Bridge]", "(Tag) x2": the words of the trade, or anything in brackets or before a colon.
std::optional<Heading> heading_of(std::string_view line, Roots roots) {
  std::string text(trimmed(line));
  if (text.empty() || text.size() > 60) return std::nullopt;
  Heading heading;
  const std::size_t blank = text.rfind(' ');
  const std::string last = lower_case(text.substr(blank == std::string::npos ? 0 : blank + 1));
  if (blank != std::string::npos && last.size() >= 2 && last.size() <= 3 &&
      (last.front() == 'x' || last.back() == 'x')) {
    const std::string digits =
        last.front() == 'x' ? last.substr(1) : last.substr(0, last.size() - 1);
    int times = 0;
    const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), times);
    if (error == std::errc() && end == digits.data() + digits.size() && times >= 1) {
      heading.times = times;
      text = trimmed(text.substr(0, blank));
    }
  }
  bool is_marked = false;
  if (text.ends_with(':')) {
    text.pop_back();
    is_marked = true;
  }
  if (text.size() > 2 && ((text.front() == '[' && text.back() == ']') ||
                          (text.front() == '(' && text.back() == ')'))) {
    text = text.substr(1, text.size() - 2);
    is_marked = text.find_first_of("[]()") == std::string::npos;
  }
  text = std::string(trimmed(text));
  if (text.empty()) return std::nullopt;
  const std::string lower = lower_case(text);
  const bool is_known =
      std::any_of(kSectionWords.begin(), kSectionWords.end(), [&](std::string_view word) {
        if (!lower.starts_with(word)) return false;
        const std::string_view rest = std::string_view(lower).substr(word.size());
        return rest.find_first_not_of(" 0123456789") == std::string_view::npos;
      });
  if (!is_known && !is_marked) return std::nullopt;
  if (!is_known && is_chord_line(tokens_of(columns_of(text), roots))) return std::nullopt;
  heading.name = text;
  return heading;
}

struct SheetLine {
  std::vector<Token> chords;
  std::optional<Columns> words;
  int number = 0;  // in the text
};

struct Block {
  std::string name;
  int times = 1;
  std::vector<SheetLine> lines;
  std::vector<std::string> words_alone;  // lines of words without chords
};

class Reader {
 public:
  Reader(std::string_view text, const std::string& file) : file_(file) {
    if (is_utf8(text)) {
      split(text);
    } else {
      split(from_latin_1(text));
      draft_.doubts.push_back(
          "the text is no UTF-8 and was read as ISO 8859-1; look at its accents");
    }
  }

  Result<std::string> read() {
    find_roots();
    head();
    blocks();
    if (count_chords() > chart::kMostPlayedBars) {
      return failure(Fault::chart, file_,
                     fmt::format("it has more than {} chords", chart::kMostPlayedBars),
                     "import a shorter piece of it");
    }
    sections();
    return draft_chart(draft_, file_);
  }

 private:
  void split(std::string_view text) {
    while (!text.empty()) {
      const std::size_t end = std::min(text.find('\n'), text.size());
      std::string_view line = text.substr(0, end);
      if (line.ends_with('\r')) line.remove_suffix(1);
      lines_.emplace_back(line);
      text.remove_prefix(std::min(text.size(), end + 1));
    }
    if (!lines_.empty() && lines_.front().starts_with("\xEF\xBB\xBF")) lines_.front().erase(0, 3);
  }

  // A chord on H is German.
  void find_roots() {
    for (const std::string& line : lines_) {
      const std::vector<Token> tokens = tokens_of(columns_of(line), Roots::german);
      if (!is_chord_line(tokens)) continue;
      const bool has_h = std::any_of(tokens.begin(), tokens.end(), [](const Token& token) {
        return token.sign == Sign::chord && token.text.front() == 'H';
      });
      if (!has_h) continue;
      roots_ = Roots::german;
      draft_.doubts.push_back("German names: H was read as B, and B as Bb");
      return;
    }
  }

  // ---- what stands above the song

  void head() {
    std::vector<std::string> names;
    for (; at_ < lines_.size(); ++at_) {
      const std::string_view line = trimmed(lines_[at_]);
      if (line.empty()) continue;
      if (takes_fact(line)) continue;
      if (heading_of(line, roots_) || is_chord_line(tokens_of(columns_of(line), roots_))) break;
      names.emplace_back(line);
      if (names.size() > 3) break;
    }
    if (!names.empty()) draft_.title = names[0];
    if (names.size() > 1) draft_.writers = names[1];
    for (std::size_t i = 2; i < names.size(); ++i) {
      draft_.doubts.push_back(fmt::format("not understood: {}", names[i]));
    }
    if (names.size() > 3) ++at_;
  }

  // "Key: G", "Tempo 72", "3/4", "Capo 2": facts a chart has a line for.
  bool takes_fact(std::string_view line) {
    const std::string lower = lower_case(line);
    const auto value_after = [&](std::string_view word) -> std::optional<std::string_view> {
      if (!lower.starts_with(word)) return std::nullopt;
      std::string_view rest = line.substr(word.size());
      if (!rest.empty() && rest.front() != ' ' && rest.front() != ':' && rest.front() != '=')
        return std::nullopt;
      const std::size_t first = rest.find_first_not_of(" :=");
      return first == std::string_view::npos ? std::string_view() : trimmed(rest.substr(first));
    };
    if (const auto meter = music::parse_meter(line)) return set(draft_.meter, *meter);
    for (const std::string_view word : {"time", "meter"}) {
      const auto value = value_after(word);
      const auto meter = value ? music::parse_meter(*value) : std::nullopt;
      if (meter) return set(draft_.meter, *meter);
    }
    for (const std::string_view word : {"key of", "key"}) {
      const auto value = value_after(word);
      const auto tonality = value ? music::parse_tonality(*value) : std::nullopt;
      if (tonality) return set(draft_.tonality, std::optional(*tonality));
    }
    std::string_view number = line;
    for (const std::string_view word : {"tempo", "bpm"}) {
      if (const auto value = value_after(word)) number = *value;
    }
    if (lower.ends_with("bpm")) number = trimmed(number.substr(0, number.size() - 3));
    if (number.data() != line.data() || number.size() != line.size()) {
      int tempo = 0;
      const auto [end, error] =
          std::from_chars(number.data(), number.data() + number.size(), tempo);
      if (error == std::errc() && end == number.data() + number.size() &&
          Tempo(tempo) >= music::kSlowestTempo && Tempo(tempo) <= music::kFastestTempo) {
        draft_.tempo = Tempo(tempo);
        return true;
      }
    }
    if (value_after("capo")) {
      draft_.doubts.push_back(
          fmt::format("{}: the chords are as typed; the song sounds higher", line));
      return true;
    }
    return false;
  }

  template <class T>
  static bool set(T& place, T value) {
    place = value;
    return true;
  }

  // ---- lines

  void blocks() {
    for (; at_ < lines_.size(); ++at_) {
      const std::string& line = lines_[at_];
      if (trimmed(line).empty()) continue;
      std::vector<Token> tokens = tokens_of(columns_of(line), roots_);
      const bool is_chords = is_chord_line(tokens);
      if (const auto heading = heading_of(line, roots_); heading && !is_chords) {
        blocks_.push_back({heading->name, heading->times, {}, {}});
        continue;
      }
      if (blocks_.empty()) blocks_.push_back({"Song", 1, {}, {}});
      if (!is_chords) {
        blocks_.back().words_alone.emplace_back(trimmed(line));
        continue;
      }
      SheetLine sheet_line{std::move(tokens), std::nullopt, static_cast<int>(at_) + 1};
      if (at_ + 1 < lines_.size() && are_words(lines_[at_ + 1])) {
        sheet_line.words = columns_of(lines_[++at_]);
      }
      blocks_.back().lines.push_back(std::move(sheet_line));
    }
  }

  bool are_words(const std::string& line) const {
    return !trimmed(line).empty() && !is_chord_line(tokens_of(columns_of(line), roots_)) &&
           !heading_of(line, roots_);
  }

  std::size_t count_chords() const {
    std::size_t count = 0;
    for (const Block& block : blocks_) {
      for (const SheetLine& line : block.lines) count += line.chords.size();
    }
    return count;
  }

  // ---- sections and road map

  void sections() {
    bool guessed_counts = false;
    std::vector<std::string> names;
    for (const Block& block : blocks_) {
      const std::string key = lower_case(block.name);
      std::vector<DraftBar> bars = bars_of(block, guessed_counts);
      if (bars.empty() && !block.words_alone.empty()) {
        bars = borrowed(block, names);
        if (bars.empty()) leave_out(block);
      } else {
        leave_out(block);
      }
      const auto known = std::find(names.begin(), names.end(), key);
      const auto index = static_cast<std::size_t>(known - names.begin());
      if (known != names.end() && (bars.empty() || same_music(bars, draft_.sections[index].bars))) {
        draft_.road_map.emplace_back(index, block.times);
        continue;
      }
      if (bars.empty()) {
        draft_.doubts.push_back(fmt::format("no chords under {}", block.name));
        continue;
      }
      draft_.road_map.emplace_back(draft_.sections.size(), block.times);
      names.push_back(key);
      draft_.sections.push_back({block.name, std::move(bars)});
    }
    if (guessed_counts)
      draft_.doubts.push_back(
          "no bar lines were typed: each chord was given one bar; mend the counts");
    const bool is_plain = std::all_of(draft_.road_map.begin(), draft_.road_map.end(),
                                      [](const auto& entry) { return entry.second == 1; }) &&
                          draft_.road_map.size() == draft_.sections.size();
    if (is_plain) draft_.road_map.clear();
  }

  // Lines among chords that have none of their own: words gone on with, "Repeat and fade".
  void leave_out(const Block& block) {
    for (const std::string& line : block.words_alone)
      draft_.doubts.push_back(
          fmt::format("left out of {}, for it has no chords: {}", block.name, line));
  }

  static bool same_music(const std::vector<DraftBar>& a, const std::vector<DraftBar>& b) {
    return std::equal(a.begin(), a.end(), b.begin(), b.end(),
                      [](const DraftBar& x, const DraftBar& y) {
                        return x.words == y.words &&
                               std::equal(x.chords.begin(), x.chords.end(), y.chords.begin(),
                                          y.chords.end(), [](const auto& p, const auto& q) {
                                            return p.start == q.start && p.chord == q.chord;
                                          });
                      });
  }

  // Words without chords under "Verse 2": the chords of "Verse 1", where the lines are as many.
  std::vector<DraftBar> borrowed(const Block& block, const std::vector<std::string>& names) {
    const auto kind = [](std::string_view name) {
      const std::string lower = lower_case(name);
      return lower.substr(0, lower.find_first_of(" 0123456789"));
    };
    for (std::size_t i = 0; i < names.size(); ++i) {
      if (kind(names[i]) != kind(block.name)) continue;
      std::vector<DraftBar> bars = draft_.sections[i].bars;
      const auto lines = static_cast<std::size_t>(std::count_if(
          bars.begin(), bars.end(), [](const DraftBar& bar) { return bar.ends_line; }));
      if (lines != block.words_alone.size()) continue;
      std::size_t first = 0;
      for (const std::string& words : block.words_alone) {
        std::size_t end = first;
        while (!bars[end].ends_line) ++end;
        spread(words, bars, first, end + 1);
        first = end + 1;
      }
      bars.front().doubts.push_back(
          fmt::format("chords as in {}, words spread evenly", draft_.sections[i].name));
      return bars;
    }
    return {};
  }

  static void spread(std::string_view words, std::vector<DraftBar>& bars, std::size_t first,
                     std::size_t end) {
    std::vector<std::string> each;
    for (std::size_t at = 0; at < words.size();) {
      const std::size_t blank = std::min(words.find(' ', at), words.size());
      if (blank > at) each.emplace_back(words.substr(at, blank - at));
      at = blank + 1;
    }
    for (std::size_t i = first; i < end; ++i) {
      const std::size_t from = (i - first) * each.size() / (end - first);
      const std::size_t to = (i - first + 1) * each.size() / (end - first);
      bars[i].words =
          fmt::format("{}", fmt::join(each.begin() + static_cast<std::ptrdiff_t>(from),
                                      each.begin() + static_cast<std::ptrdiff_t>(to), " "));
      bars[i].doubts.clear();
    }
  }

  // ---- bars

  struct Cell {
    std::vector<Token> tokens;
    bool repeat_begins = false;
    int repeat_times = 1;
  };

  // The bars of one line: between bar lines where some are typed, else one chord each.
  static std::vector<Cell> cells_of(const SheetLine& line, bool& guessed_counts) {
    std::vector<Cell> cells;
    const bool has_bar_lines = std::any_of(line.chords.begin(), line.chords.end(),
                                           [](const Token& t) { return t.sign == Sign::bar_line; });
    if (!has_bar_lines) {
      for (const Token& token : line.chords) {
        // "C / / G": the strokes are counts of one bar.
        if (token.sign == Sign::hold && !cells.empty()) {
          cells.back().tokens.push_back(token);
        } else {
          cells.push_back({{token}});
        }
      }
      guessed_counts = guessed_counts || !cells.empty();
      return cells;
    }
    Cell cell;
    for (const Token& token : line.chords) {
      if (token.sign != Sign::bar_line) {
        cell.tokens.push_back(token);
        continue;
      }
      if (!cell.tokens.empty()) cells.push_back(std::exchange(cell, {}));
      if (token.text.starts_with(':') && !cells.empty()) cells.back().repeat_times = 2;
      if (token.text.ends_with(':')) cell.repeat_begins = true;
    }
    if (!cell.tokens.empty()) cells.push_back(std::move(cell));
    return cells;
  }

  std::vector<DraftBar> bars_of(const Block& block, bool& guessed_counts) {
    std::vector<DraftBar> bars;
    for (const SheetLine& line : block.lines) {
      const auto cells = cells_of(line, guessed_counts);
      std::vector<std::size_t> columns;
      for (const Cell& cell : cells) columns.push_back(cell.tokens.front().column);
      for (std::size_t i = 0; i < cells.size(); ++i) {
        DraftBar bar;
        bar.meter = draft_.meter;
        bar.tonality = draft_.tonality.value_or(Tonality{});
        bar.length = bar.meter.bar_length();
        fill(bar, cells[i].tokens);
        bar.repeat_begins = cells[i].repeat_begins;
        bar.repeat_times = cells[i].repeat_times;
        if (line.words) {
          const std::size_t begin = i == 0 ? 0 : cut_near(*line.words, columns[i]);
          const std::size_t end =
              i + 1 < cells.size() ? cut_near(*line.words, columns[i + 1]) : line.words->size();
          bar.words = words_between(*line.words, begin, end);
        }
        bar.ends_line = i + 1 == cells.size();
        bars.push_back(std::move(bar));
      }
    }
    return bars;
  }

  // Typing is seldom exact: a chord over the first or the last two letters of a word belongs to the whole word or to the
  // next one. A chord further inside cuts the word, between two letters.
  static std::size_t cut_near(const Columns& words, std::size_t column) {
    constexpr std::size_t kSlack = 2;  // columns (our judgement)
    if (column >= words.size() || words[column] == " ") return column;
    std::size_t first = column;
    while (first > 0 && words[first - 1] != " " && words[first - 1] != "-") --first;
    std::size_t last = column;
    while (last < words.size() && words[last] != " " && words[last] != "-") ++last;
    if (column - first <= kSlack) return first;
    if (last - column <= kSlack) return last;
    return column;
  }

  // A word that is cut goes on in the next bar: "wind-" and "ow".
  static std::string words_between(const Columns& words, std::size_t begin, std::size_t end) {
    std::string out(trimmed(joined(words, begin, end)));
    const bool cuts_word = end < words.size() && end > begin && words[end] != " " &&
                           words[end - 1] != " " && words[end - 1] != "-" && words[end] != "-";
    if (cuts_word && !out.empty()) out += "-";
    return out;
  }

  static void fill(DraftBar& bar, const std::vector<Token>& cell) {
    std::vector<Token> kept;
    for (const Token& token : cell) {
      if (token.sign != Sign::unknown) {
        kept.push_back(token);
      } else if (const auto near = music::suggest_chord(token.text)) {
        bar.doubts.push_back(fmt::format("{} read as {}", token.text, *near));
        kept.push_back({Sign::chord, token.column, *near, music::parse_chord(*near)});
      } else {
        bar.doubts.push_back(fmt::format("not understood: {}", token.text));
      }
    }
    if (kept.empty()) return;
    const int counts = bar.meter.counts().value();
    const int size = static_cast<int>(kept.size());
    const bool shares = size <= counts && counts % size == 0;
    const auto chords = std::count_if(kept.begin(), kept.end(),
                                      [](const Token& token) { return token.sign != Sign::hold; });
    if (!shares && chords > 1)
      bar.doubts.push_back(fmt::format("{} signs in {} counts", size, counts));
    for (int i = 0; i < size; ++i) {
      const Token& token = kept[static_cast<std::size_t>(i)];
      if (token.sign == Sign::hold) continue;
      // Counts are dealt out from the front: the first chords get the longer share.
      const int at = size <= counts ? (i * counts + size - 1) / size : i * counts / size;
      const Tick start =
          size <= counts ? bar.meter.count_length() * at
                         : Tick(bar.length.value() / (2 * counts) * std::min(i, 2 * counts - 1));
      bar.chords.push_back({start, token.chord});
    }
  }

  const std::string& file_;
  std::vector<std::string> lines_;
  Roots roots_ = Roots::english;
  std::size_t at_ = 0;
  std::vector<Block> blocks_;
  Draft draft_;
};

}  // namespace

Result<std::string> import_chord_lines(std::string_view text, const std::string& file) {
  return Reader(text, file).read();
}

}  // namespace stillhand::imports
