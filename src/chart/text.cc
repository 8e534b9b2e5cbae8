#include "chart/text.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <charconv>
#include <utility>

#include "base/nearest.h"

namespace stillhand::chart {
namespace {

constexpr std::size_t kLongestQuote = 40;  // characters of a word in a message (our judgement)

struct Keyword {
  std::string_view text;
  LineKind kind;
};
constexpr std::array<Keyword, 16> kKeywords{{{"title", LineKind::title},
                                             {"writers", LineKind::writers},
                                             {"rights", LineKind::rights},
                                             {"key", LineKind::key},
                                             {"meter", LineKind::meter},
                                             {"tempo", LineKind::tempo},
                                             {"range", LineKind::range},
                                             {"section", LineKind::section},
                                             {"pick-up", LineKind::pick_up},
                                             {"or", LineKind::option},
                                             {"road map", LineKind::road_map},
                                             {"shape", LineKind::shape},
                                             {"pedal", LineKind::pedal},
                                             {"pattern", LineKind::pattern},
                                             {"left", LineKind::left},
                                             {"right", LineKind::right}}};

bool starts_with_any(std::string_view text, std::initializer_list<std::string_view> fronts) {
  return std::any_of(fronts.begin(), fronts.end(),
                     [&](std::string_view front) { return text.starts_with(front); });
}

bool begins_with_quote(std::string_view text) { return starts_with_any(text, {"\"", "“", "”"}); }

std::optional<int> parse_number(std::string_view text) {
  int number = 0;
  const char* end = text.data() + text.size();
  const auto read = std::from_chars(text.data(), end, number);
  if (read.ec != std::errc{} || read.ptr != end || number < 0) return std::nullopt;
  return number;
}

bool is_hold(std::string_view word) { return word == "-" || word == "–" || word == "—"; }

bool is_no_chord(std::string_view word) {
  const std::string lower = lower_case(word);
  return lower == "n.c." || lower == "nc" || lower == "n.c" || lower == "nc.";
}

// The keyword at the front, "road map" having two words; nullopt if there is none.
std::optional<std::pair<LineKind, std::size_t>> keyword_at(Piece line) {
  Piece rest = line;
  const Piece first = take_word(rest);
  const std::string word = lower_case(first.text);
  if (word == "road") {
    const Piece second = take_word(rest);
    if (lower_case(second.text) != "map") return std::nullopt;
    return std::pair{LineKind::road_map, second.begin + second.text.size() - line.begin};
  }
  for (const Keyword& keyword : kKeywords) {
    if (word == keyword.text) return std::pair{keyword.kind, first.text.size()};
  }
  return std::nullopt;
}

void report_unknown(Piece line, Report& report) {
  Piece rest = line;
  const Piece word = take_word(rest);
  const auto words = words_of(line);
  const bool looks_like_chords = std::all_of(words.begin(), words.end(), [](Piece w) {
    return is_hold(w.text) || w.text == "|" || music::parse_chord(w.text).has_value();
  });
  if (looks_like_chords) {
    report.error(word, "a line of bars begins with `|`",
                 fmt::format("write it as {}", quoted("| " + std::string(line.text) + " |")));
    return;
  }
  std::string bare = lower_case(word.text);
  while (!bare.empty() && std::ispunct(static_cast<unsigned char>(bare.back())) != 0)
    bare.pop_back();
  std::vector<std::string> known;
  known.reserve(kKeywords.size());
  for (const Keyword& keyword : kKeywords) known.emplace_back(keyword.text);
  std::string suggestion =
      "a line begins with `|` (bars), `\"` (words), `;` (a comment) or a word such as `section`";
  if (bare.starts_with("road") || bare == "map" || bare == "roadmap") bare = "road map";
  if (const auto near = nearest(bare, known)) suggestion = fmt::format("did you mean `{}`?", *near);
  report.error(word, fmt::format("{} begins no line of a chart", quoted(word.text)), suggestion);
}

// Where the comment of a line begins, npos if it has none. Sung words may hold a semicolon, so in a line of words only
// one that follows a bar line begins a comment.
std::size_t comment_at(std::string_view line) {
  const bool is_words =
      begins_with_quote(line.substr(std::min(line.size(), line.find_first_not_of(" \t"))));
  std::size_t at = line.find(';');
  while (is_words && at != std::string_view::npos) {
    // The quotation mark stands before it, so something is found.
    if (line[line.find_last_not_of(" \t", at - 1)] == '|') break;
    at = line.find(';', at + 1);
  }
  return at;
}

TextLine read_line(Piece line, Report& report) {
  TextLine out;
  if (characters(line.text) > kLongestLine) {
    report.error(part(line, 0, 0),
                 fmt::format("this line is longer than {} characters", kLongestLine),
                 "break it into several lines");
    out.kind = LineKind::unknown;
    return out;
  }
  const std::size_t semicolon = comment_at(line.text);
  if (semicolon != std::string_view::npos) {
    out.comment = trimmed(part(line, semicolon));
    line = part(line, 0, semicolon);
  }
  line = trimmed(line);
  out.content = line;
  if (line.empty()) return out;
  if (starts_with_any(line.text, {"|", ":|"})) {
    out.kind = LineKind::bars;
    out.keyword = part(line, 0, 1);
  } else if (begins_with_quote(line.text)) {
    out.kind = LineKind::words;
    out.keyword = part(line, 0, line.text.front() == '"' ? 1 : 3);
    out.content = trimmed(part(line, out.keyword.text.size()));
  } else if (const auto keyword = keyword_at(line)) {
    out.kind = keyword->first;
    out.keyword = part(line, 0, keyword->second);
    out.content = trimmed(part(line, keyword->second));
  } else {
    out.kind = LineKind::unknown;
    report_unknown(line, report);
  }
  return out;
}

// The first word of the bars that is a chord in some notation decides.
Notation find_notation(const std::vector<TextLine>& lines) {
  for (const TextLine& line : lines) {
    if (line.kind != LineKind::bars && line.kind != LineKind::pick_up) continue;
    std::string text(line.content.text);
    for (char& c : text) {
      if (c == '|' || c == ':') c = ' ';
    }
    const auto words = words_of({text, 0, 0});
    for (std::size_t i = 0; i < words.size(); ++i) {
      std::string_view word = words[i].text;
      while (!word.empty() && word.front() == '(') word.remove_prefix(1);
      if (i + 1 < words.size() && words[i + 1].text == "times") continue;
      const auto notation = notation_of(word);
      if (!notation) continue;
      if (parse_symbol(word, *notation)) return *notation;
      while (!word.empty() && word.back() == ')') {
        word.remove_suffix(1);
        if (parse_symbol(word, *notation)) return *notation;
      }
    }
  }
  return Notation::letters;
}

// ---- bars

class BarReader {
 public:
  BarReader(Piece content, Notation notation, Report& report)
      : content_(content), notation_(notation), report_(report) {}

  BarRow read() {
    BarRow row;
    row.signs.push_back(read_sign());
    while (!trimmed(part(content_, at_)).empty()) {
      const Piece cell = read_cell();
      is_broken_ = false;
      std::vector<Token> tokens = read_tokens(cell);
      row.bars.push_back({cell, std::move(tokens), is_broken_});
      row.signs.push_back(read_sign());
    }
    if (row.bars.empty()) report_.error(content_, "this line has no bars", "write `| D | G |`");
    return row;
  }

 private:
  std::string_view rest() const {
    return content_.text.substr(std::min(at_, content_.text.size()));
  }

  bool take(std::string_view front) {
    if (!rest().starts_with(front)) return false;
    at_ += front.size();
    return true;
  }

  BarSign read_sign() {
    BarSign sign;
    const std::size_t begin = at_;
    if (rest().starts_with(":|")) {
      sign.ends_repeat = true;
      at_ += 1;
    }
    const bool has_bar_line = take("|");
    if (sign.ends_repeat) read_times(sign);
    if (has_bar_line) {
      take("|");  // a double bar line means the same
      if (!rest().starts_with(":|")) sign.begins_repeat = take(":");
      read_endings(sign);
    }
    sign.piece = part(content_, begin, at_ - begin);
    return sign;
  }

  // "3 times", "twice", "vamp", "vamp 4 times" between `:|` and the next bar line or the end.
  void read_times(BarSign& sign) {
    const std::size_t end = rest().find('|');
    Piece text = trimmed(part(content_, at_, end));
    const bool has_next = end != std::string_view::npos;
    Piece after = text;
    const bool is_vamp = take_word(after).text == "vamp";
    if (is_vamp) text = after;
    const auto times = take_times(text);
    if (!text.empty() || (!times && !is_vamp)) return;
    sign.is_vamp = is_vamp;
    sign.times = times.value_or(kUsualVampTimes);
    sign.times_written = true;
    if (sign.times < 2 || sign.times > kMostTimes) {
      report_.error(trimmed(part(content_, at_, end)),
                    fmt::format("a repeat is played 2 to {} times", kMostTimes),
                    "the number counts every pass, the first one too");
      sign.times = 2;
    }
    at_ = has_next ? at_ + end + 1 : content_.text.size();
  }

  void read_endings(BarSign& sign) {
    for (;;) {
      std::size_t digits = 0;
      while (digits < rest().size() && std::isdigit(static_cast<unsigned char>(rest()[digits])))
        ++digits;
      if (digits == 0 || digits > 2 || !rest().substr(digits).starts_with(".")) return;
      sign.endings.push_back(*parse_number(rest().substr(0, digits)));
      at_ += digits + 1;
    }
  }

  Piece read_cell() {
    const std::size_t begin = at_;
    std::size_t end = content_.text.find('|', at_);
    if (end == std::string_view::npos) end = content_.text.size();
    if (end > begin && end < content_.text.size() && content_.text[end - 1] == ':') --end;
    at_ = end;
    const Piece cell = trimmed(part(content_, begin, end - begin));
    if (cell.empty()) {
      report_.error(part(content_, begin, std::max<std::size_t>(1, end - begin)),
                    "this bar is empty",
                    "write its chord, `N.C.` for a silent bar, or leave out one of the bar lines");
    }
    return cell;
  }

  std::vector<Token> read_tokens(Piece cell) {
    std::vector<Token> tokens;
    std::size_t at = 0;
    for (;;) {
      while (at < cell.text.size() && is_blank(cell.text[at])) ++at;
      if (at >= cell.text.size()) return tokens;
      if (cell.text[at] == '(') {
        tokens.push_back(read_group(cell, at));
      } else if (cell.text[at] == ')') {
        broken(part(cell, at, 1), "this parenthesis was never opened",
               "chords that share one count stand in `( )`: `(D Em)`");
        ++at;
      } else {
        tokens.push_back(read_word(cell, at));
      }
    }
  }

  void broken(Piece piece, std::string message, std::string suggestion) {
    is_broken_ = true;
    report_.error(piece, std::move(message), std::move(suggestion));
  }

  Token read_group(Piece cell, std::size_t& at) {
    Token group;
    group.kind = Token::Kind::group;
    const std::size_t begin = at++;
    for (;;) {
      while (at < cell.text.size() && is_blank(cell.text[at])) ++at;
      if (at >= cell.text.size()) {
        broken(part(cell, begin, 1), "this parenthesis is not closed in its bar",
               "add `)` behind the chords that share the count");
        break;
      }
      if (cell.text[at] == ')') {
        ++at;
        break;
      }
      if (cell.text[at] == '(') {
        broken(part(cell, at, 1), "parentheses do not stand inside each other",
               "inside one, chords and dashes share the count evenly: `(D - Em)`");
        ++at;
        continue;
      }
      group.inside.push_back(read_word(cell, at));
    }
    group.piece = part(cell, begin, at - begin);
    if (group.inside.empty()) broken(group.piece, "this parenthesis is empty", "leave it out");
    return group;
  }

  // A word ends at a blank or at a parenthesis it did not open itself: C7(b9) is one word.
  Token read_word(Piece cell, std::size_t& at) {
    const std::size_t begin = at;
    int depth = 0;
    for (; at < cell.text.size(); ++at) {
      const char c = cell.text[at];
      const bool inside_list = depth > 0 && cell.text[at - 1] == ',';
      if (is_blank(c) && !inside_list) break;
      if (c == '(') ++depth;
      if (c == ')' && depth-- == 0) break;
    }
    return token_of(part(cell, begin, at - begin));
  }

  Token token_of(Piece word) {
    Token token;
    token.piece = word;
    if (is_hold(word.text)) {
      token.kind = Token::Kind::hold;
    } else if (is_no_chord(word.text)) {
      token.kind = Token::Kind::no_chord;
    } else {
      token.symbol = parse_symbol(word.text, notation_);
      if (!token.symbol) report_unknown_chord(word);
    }
    return token;
  }

  void report_unknown_chord(Piece word) {
    if (report_.is_full()) {
      report_.error(word, "unknown chord");
      return;
    }
    const auto other = notation_of(word.text);
    if (other && *other != notation_ && parse_symbol(word.text, *other)) {
      report_.error(word,
                    fmt::format("{} is written in {}, this chart in {}", quoted(word.text),
                                name_of(*other), name_of(notation_)),
                    "use one way of writing chords throughout the chart");
      return;
    }
    if (const auto over = chord_over_chord(word.text)) {
      report_.error(
          word,
          fmt::format("{} is one chord over another; the left hand plays one bass note",
                      quoted(word.text)),
          notation_ == Notation::roman
              ? fmt::format("write {} for the bass note, or the applied chord by its own "
                            "numeral",
                            quoted(*over))
              : fmt::format("write {}, or the whole chord by its own name", quoted(*over)));
      return;
    }
    report_.error(word, fmt::format("unknown chord {}", quoted(word.text)), advice(word.text));
  }

  // "Dm/C7" is two chords: the upper one over the root of the lower one is what can be played, "Dm/C".
  std::optional<std::string> chord_over_chord(std::string_view word) const {
    for (std::size_t slash = word.rfind('/'); slash != std::string_view::npos && slash > 0;
         slash = word.rfind('/', slash - 1)) {
      const auto upper = parse_symbol(word.substr(0, slash), notation_);
      const auto lower = parse_symbol(word.substr(slash + 1), notation_);
      if (!upper || !lower || upper->bass || lower->bass || upper->root == lower->root) continue;
      Symbol slashed = *upper;
      slashed.bass = lower->root;
      return text(slashed, notation_);
    }
    return std::nullopt;
  }

  std::string advice(std::string_view word) const {
    if (word == "." || word == "/") return "a dash `-` holds the chord for one more count";
    if (word == "%") return "write the bar's chords again";
    if (word.starts_with("[")) return "chords stand without brackets";
    if (word.starts_with("-")) return "put a blank behind the dash";
    std::string front = "C";
    std::string_view suffix = word;
    if (notation_ == Notation::letters) {
      const auto found = music::suggest_chord(word);
      return found ? fmt::format("did you mean `{}`?", *found) : some_chords();
    }
    const std::size_t root_end = word.find_first_not_of("b#1234567IViv");
    if (root_end == std::string_view::npos || root_end == 0) return some_chords();
    suffix = word.substr(root_end);
    const auto found = music::suggest_chord(front + std::string(suffix));
    if (!found) return some_chords();
    return fmt::format("did you mean `{}`?",
                       std::string(word.substr(0, root_end)) + found->substr(front.size()));
  }

  std::string some_chords() const {
    switch (notation_) {
      case Notation::letters:
        return "chords look like `D`, `F#m7`, `Bb`, `Asus4`, `D/F#`";
      case Notation::numbers:
        return "chords look like `1`, `6m`, `b7`, `4maj7`, `5/7`";
      case Notation::roman:
        return "chords look like `I`, `vi`, `bVII`, `V7`, `I/3`";
    }
    return "";
  }

  Piece content_;
  Notation notation_;
  Report& report_;
  std::size_t at_ = 0;
  bool is_broken_ = false;
};

}  // namespace

std::string quoted(std::string_view word) {
  if (characters(word) <= kLongestQuote) return fmt::format("`{}`", word);
  std::size_t end = 0;
  for (std::size_t count = 0; end < word.size(); ++end) {
    const bool begins = (static_cast<unsigned char>(word[end]) & 0xC0U) != 0x80U;
    if (begins && count++ == kLongestQuote) break;
  }
  return fmt::format("`{}…`", word.substr(0, end));
}

std::string_view keyword_of(LineKind kind) {
  for (const Keyword& keyword : kKeywords) {
    if (keyword.kind == kind) return keyword.text;
  }
  return "";
}

ChartText read_lines(const Source& source, Report& report) {
  ChartText text;
  text.lines.reserve(source.lines().size());
  for (std::size_t i = 1; i <= source.lines().size(); ++i)
    text.lines.push_back(read_line(source.line(static_cast<int>(i)), report));
  text.notation = find_notation(text.lines);
  return text;
}

BarRow read_bars(Piece content, Notation notation, Report& report) {
  return BarReader(content, notation, report).read();
}

std::vector<Piece> read_words(Piece content) {
  std::vector<Piece> cells = split(content, '|');
  while (!cells.empty() && cells.back().empty()) cells.pop_back();
  return cells;
}

std::optional<int> take_times(Piece& piece) {
  const auto words = words_of(piece);
  if (words.empty()) return std::nullopt;
  const auto cut = [&](Piece from) { piece = trimmed(part(piece, 0, from.begin - piece.begin)); };
  if (lower_case(words.back().text) == "twice") {
    cut(words.back());
    return 2;
  }
  if (words.size() < 2 || lower_case(words.back().text) != "times") return std::nullopt;
  const Piece number = words[words.size() - 2];
  const auto times = parse_number(number.text);
  if (times) cut(number);
  return times;
}

std::vector<RoadMapText> read_road_map(Piece content, Report& report) {
  std::vector<RoadMapText> entries;
  for (Piece entry : split(content, ',')) {
    RoadMapText out;
    const Piece whole = entry;
    out.times = take_times(entry).value_or(1);
    out.name = entry;
    if (entry.empty()) {
      report.error(whole.empty() ? content : whole, "the road map names no section here",
                   "write the sections in order: `Verse 1, Chorus, Verse 1, Chorus twice`");
      continue;
    }
    if (out.times < 1 || out.times > kMostTimes) {
      report.error(whole, fmt::format("a section is played 1 to {} times", kMostTimes));
      out.times = 1;
    }
    entries.push_back(out);
  }
  return entries;
}

PinText read_pin(Piece content, Notation notation, Report& report) {
  PinText pin;
  pin.name = take_word(content);
  const char* example = "write `shape G  G3 B3 D4`, and fingers if you like: `1 3 5`";
  if (pin.name.empty()) {
    report.error(content, "a shape needs a chord and its piano keys", example);
    return pin;
  }
  pin.symbol = parse_symbol(pin.name.text, notation);
  if (!pin.symbol) {
    report.error(pin.name, fmt::format("unknown chord {}", quoted(pin.name.text)), example);
  }
  while (!content.empty()) {
    const Piece word = take_word(content);
    if (lower_case(word.text) == "in") {
      pin.section = content;
      if (content.empty()) report.error(word, "`in` needs the name of a section");
      break;
    }
    if (const auto pitch = music::parse_pitch(word.text)) {
      pin.pitches.push_back(*pitch);
      pin.pitch_pieces.push_back(word);
    } else if (const auto finger = parse_number(word.text)) {
      pin.fingers.push_back(*finger);
      pin.finger_pieces.push_back(word);
    } else {
      report.error(word, fmt::format("{} is neither a piano key nor a finger", quoted(word.text)),
                   "piano keys look like `G3` or `F#4`, fingers are 1 (thumb) to 5");
    }
  }
  return pin;
}

std::optional<Range> parse_range(std::string_view text) {
  const std::string plain = collapsed(text);
  for (const std::string_view between : {"-", "–", " to "}) {
    for (std::size_t at = plain.find(between); at != std::string::npos;
         at = plain.find(between, at + 1)) {
      const auto lowest = music::parse_pitch(collapsed(std::string_view(plain).substr(0, at)));
      const auto highest =
          music::parse_pitch(collapsed(std::string_view(plain).substr(at + between.size())));
      if (lowest && highest && lowest->key() < highest->key()) return Range{*lowest, *highest};
    }
  }
  return std::nullopt;
}

}  // namespace stillhand::chart
