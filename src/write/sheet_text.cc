#include "write/sheet_text.h"

#include <algorithm>
#include <cctype>
#include <cstdint>
#include <utility>

#include "chart/symbol.h"

namespace stillhand::write {
namespace {

constexpr std::string_view kSharp = "♯";
constexpr std::string_view kFlat = "♭";
constexpr std::string_view kReplacement = "\uFFFD";

// Bytes of the valid UTF-8 character at the front, 0 if there is none.
std::size_t character_size(std::string_view text) {
  const auto byte = [&](std::size_t i) {
    return i < text.size() ? static_cast<unsigned char>(text[i]) : 0U;
  };
  const auto follows = [&](std::size_t i) { return (byte(i) & 0xC0U) == 0x80U; };
  const unsigned first = byte(0);
  if (first < 0x80) return 1;
  if (first >= 0xC2 && first < 0xE0) return follows(1) ? 2 : 0;
  if (first >= 0xE0 && first < 0xF0) {
    const bool too_long = first == 0xE0 && byte(1) < 0xA0;
    const bool surrogate = first == 0xED && byte(1) >= 0xA0;
    return follows(1) && follows(2) && !too_long && !surrogate ? 3 : 0;
  }
  if (first >= 0xF0 && first < 0xF5) {
    const bool too_long = first == 0xF0 && byte(1) < 0x90;
    const bool too_high = first == 0xF4 && byte(1) >= 0x90;
    return follows(1) && follows(2) && follows(3) && !too_long && !too_high ? 4 : 0;
  }
  return 0;
}

char32_t code_point(std::string_view character) {
  const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(character[i]); };
  switch (character.size()) {
    case 1:
      return byte(0);
    case 2:
      return (byte(0) & 0x1FU) << 6U | (byte(1) & 0x3FU);
    case 3:
      return (byte(0) & 0x0FU) << 12U | (byte(1) & 0x3FU) << 6U | (byte(2) & 0x3FU);
    default:
      return (byte(0) & 0x07U) << 18U | (byte(1) & 0x3FU) << 12U | (byte(2) & 0x3FU) << 6U |
             (byte(3) & 0x3FU);
  }
}

// Characters that cling to the one before: combining marks, joiners, variation selectors.
bool clings(char32_t c) {
  return (c >= 0x300 && c <= 0x36F) || (c >= 0x1AB0 && c <= 0x1AFF) ||
         (c >= 0x1DC0 && c <= 0x1DFF) || (c >= 0x20D0 && c <= 0x20FF) || c == 0x200D ||
         (c >= 0xFE00 && c <= 0xFE0F) || (c >= 0xFE20 && c <= 0xFE2F) ||
         (c >= 0x0591 && c <= 0x05C7) || (c >= 0x064B && c <= 0x065F) ||
         (c >= 0x1F3FB && c <= 0x1F3FF);
}

// Line and paragraph separators and direction controls would break the one line.
bool is_control(char32_t c) {
  return c < 0x20 || (c >= 0x7F && c < 0xA0) || c == 0x2028 || c == 0x2029 ||
         (c >= 0x202A && c <= 0x202E) || (c >= 0x2066 && c <= 0x2069) || c == 0xFEFF;
}

bool is_root(char c) { return c >= 'A' && c <= 'G'; }
bool is_digit(char c) { return c >= '0' && c <= '9'; }
bool is_letter(char c) { return std::isalpha(static_cast<unsigned char>(c)) != 0; }

// The note name or chord symbol that makes up `word` after an opening sign, with its signs; the
// rest of the word must be what may follow one in a sentence.
std::string pretty_word(std::string_view word) {
  std::size_t at = 0;
  while (at < word.size() && (word[at] == '(' || word[at] == '"')) ++at;
  const std::size_t root = at;
  if (at >= word.size() || !is_root(word[at])) return std::string(word);
  ++at;
  std::string signs;
  while (at < word.size() && (word[at] == '#' || word[at] == 'b')) {
    signs += word[at++] == '#' ? kSharp : kFlat;
  }
  if (signs.empty()) return std::string(word);
  if (at < word.size() && is_letter(word[at]) && word[at] != 'm') return std::string(word);
  return std::string(word.substr(0, root + 1)) + signs + std::string(word.substr(at));
}

// Cuts the front of `word` that fits; at least one character.
std::string cut_front(std::string_view& word, const Font& font, double width,
                      const TextMeasurer& measurer) {
  std::size_t end = 0;
  while (end < word.size()) {
    std::size_t next = end + std::max<std::size_t>(1, character_size(word.substr(end)));
    while (next < word.size()) {
      const std::size_t size = std::max<std::size_t>(1, character_size(word.substr(next)));
      if (!clings(code_point(word.substr(next, size)))) break;
      next += size;
    }
    if (end > 0 && measurer.measure(word.substr(0, next), font).width > width) break;
    end = next;
  }
  std::string out(word.substr(0, end));
  word.remove_prefix(end);
  return out;
}

}  // namespace

std::string one_line(std::string_view text) {
  std::string out;
  while (!text.empty()) {
    const std::size_t size = character_size(text);
    if (size == 0) {
      out += kReplacement;
    } else if (is_control(code_point(text.substr(0, size)))) {
      out += ' ';
    } else {
      out += text.substr(0, size);
    }
    text.remove_prefix(std::max<std::size_t>(1, size));
  }
  const std::size_t first = out.find_first_not_of(' ');
  if (first == std::string::npos) return "";
  return out.substr(first, out.find_last_not_of(' ') - first + 1);
}

bool runs_leftward(std::string_view text) {
  while (!text.empty()) {
    const std::size_t size = character_size(text);
    if (size > 0) {
      const char32_t c = code_point(text.substr(0, size));
      // The blocks of the scripts written so (Unicode Standard Annex 9); all other letters run to the right.
      if ((c >= 0x0590 && c <= 0x08FF) || (c >= 0xFB1D && c <= 0xFDFF) ||
          (c >= 0xFE70 && c <= 0xFEFC) || (c >= 0x10800 && c <= 0x10FFF) ||
          (c >= 0x1E800 && c <= 0x1EFFF))
        return true;
      if (c >= 0xAA || (size == 1 && is_letter(text.front()))) return false;
    }
    text.remove_prefix(std::max<std::size_t>(1, size));
  }
  return false;
}

std::string pretty_chord(std::string_view symbol) {
  std::string out;
  for (std::size_t i = 0; i < symbol.size(); ++i) {
    const char c = symbol[i];
    const bool after_root = i > 0 && (is_root(symbol[i - 1]) ||
                                      (symbol[i - 1] == 'b' && i > 1 && is_root(symbol[i - 2])));
    const bool before_degree = i + 1 < symbol.size() && is_digit(symbol[i + 1]);
    if (c == '#') {
      out += kSharp;
    } else if (c == 'b' && (after_root || before_degree)) {
      out += kFlat;
    } else {
      out += c;
    }
  }
  return out;
}

std::string shown_chord(std::string_view symbol, music::NoteNames names) {
  const std::string line = one_line(symbol);
  return names == music::NoteNames::english ? pretty_chord(line)
                                            : music::display_symbol(line, names);
}

std::optional<ChordWriting> chord_writing_named(std::string_view wanted) {
  if (wanted == "letters") return ChordWriting::letters;
  if (wanted == "numbers") return ChordWriting::numbers;
  return std::nullopt;
}

std::string shown_number(std::string_view symbol, music::Tonality tonality) {
  const std::string line = one_line(symbol);
  const auto chord = music::parse_chord(line);
  if (!chord) return line;
  chart::Symbol number = chart::in_numbers(*chord, tonality);
  std::string& suffix = number.quality.suffix;
  if (!suffix.empty() && is_digit(suffix.front())) suffix = "(" + suffix + ")";
  std::string out = chart::text(number, chart::Notation::numbers);
  // In a number every b is a flat that stands before a figure.
  for (const auto& [plain, sign] : {std::pair{'#', kSharp}, std::pair{'b', kFlat}}) {
    for (std::size_t at = out.find(plain); at != std::string::npos; at = out.find(plain, at + 1)) {
      if (at + 1 < out.size() && is_digit(out[at + 1])) out.replace(at, 1, sign);
    }
  }
  return out;
}

std::string shown_chord(std::string_view symbol, music::Tonality tonality, ChordNaming naming) {
  return naming.writing == ChordWriting::numbers ? shown_number(symbol, tonality)
                                                 : shown_chord(symbol, naming.names);
}

std::string pretty_notes(std::string_view sentence) {
  std::string out;
  while (!sentence.empty()) {
    const std::size_t end = std::min(sentence.find(' '), sentence.size());
    out += pretty_word(sentence.substr(0, end));
    sentence.remove_prefix(end);
    if (!sentence.empty()) {
      out += ' ';
      sentence.remove_prefix(1);
    }
  }
  return out;
}

std::vector<std::string> break_lines(std::string_view text, const Font& font, double width,
                                     const TextMeasurer& measurer) {
  std::vector<std::string> lines;
  std::string line;
  const auto fits = [&](const std::string& candidate) {
    return measurer.measure(candidate, font).width <= width;
  };
  while (!text.empty()) {
    const std::size_t end = std::min(text.find(' '), text.size());
    std::string_view word = text.substr(0, end);
    text.remove_prefix(std::min(end + 1, text.size()));
    if (word.empty()) continue;
    const std::string longer = line.empty() ? std::string(word) : line + " " + std::string(word);
    if (fits(longer)) {
      line = longer;
      continue;
    }
    if (!line.empty()) lines.push_back(line);
    while (!fits(std::string(word))) {
      lines.push_back(cut_front(word, font, width, measurer));
      if (word.empty()) break;
    }
    line = word;
  }
  if (!line.empty() || lines.empty()) lines.push_back(line);
  return lines;
}

std::string fitted(std::string_view text, const Font& font, double width,
                   const TextMeasurer& measurer) {
  if (measurer.measure(text, font).width <= width) return std::string(text);
  const double room = width - measurer.measure("…", font).width;
  return cut_front(text, font, room, measurer) + "…";
}

TextMark set_text(std::string_view text, const Font& font, Ink ink, double x, double baseline,
                  const TextMeasurer& measurer) {
  const TextSize size = measurer.measure(text, font);
  return {std::string(text),
          font,
          ink,
          x,
          baseline,
          {x, baseline - size.ascent, size.width, size.ascent + size.descent},
          Role::paragraph,
          Line::first,
          {},
          {},
          {}};
}

Paragraph set_paragraph(std::string_view text, const Font& font, Ink ink, double width,
                        double leading, Role role, const TextMeasurer& measurer) {
  Paragraph out;
  for (const std::string& line : break_lines(text, font, width, measurer)) {
    TextMark mark = set_text(line, font, ink, 0, 0, measurer);
    // Scripts with tall letters get the room they need.
    const double above = std::max(font.size * 0.80, -mark.box.top);
    const double below = std::max(font.size * (leading - 0.80), mark.box.bottom() + 0.5);
    mark.role = role;
    mark.line = out.marks.empty() ? Line::first : Line::next;
    out.marks.push_back(shifted(mark, 0, out.height + above));
    out.height += above + below;
  }
  return out;
}

}  // namespace stillhand::write
