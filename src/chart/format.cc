#include <fmt/format.h>

#include <algorithm>

#include "chart/chart.h"
#include "chart/reading.h"

namespace stillhand::chart {
namespace {

constexpr std::size_t kHeaderWidth = 11;  // "road map" and three blanks
constexpr std::size_t kHandWidth = 6;     // "right" and a blank

std::string padded(std::string text, std::size_t width) {
  const std::size_t now = characters(text);
  if (now < width) text.append(width - now, ' ');
  return text;
}

std::string times_text(int times) { return times == 2 ? "twice" : fmt::format("{} times", times); }

std::string token_text(const Token& token, Notation notation) {
  switch (token.kind) {
    case Token::Kind::chord:
      return text(*token.symbol, notation);
    case Token::Kind::hold:
      return "-";
    case Token::Kind::no_chord:
      return "N.C.";
    case Token::Kind::group:
      break;
  }
  std::string inside;
  for (const Token& part : token.inside)
    inside += (inside.empty() ? "" : " ") + token_text(part, notation);
  return "(" + inside + ")";
}

std::string bar_text(const BarText& bar, Notation notation) {
  std::string out;
  for (const Token& token : bar.tokens)
    out += (out.empty() ? "" : " ") + token_text(token, notation);
  return out;
}

std::string after_bar_line(const BarSign& sign, bool is_last) {
  std::string out;
  if (sign.is_vamp) out += fmt::format(" vamp {} times", sign.times);
  if (!sign.is_vamp && sign.times != 2) out += " " + times_text(sign.times);
  if (!out.empty() && !is_last) out += " |";
  if (sign.begins_repeat) out += ":";
  for (const int number : sign.endings) out += fmt::format("{}.", number);
  return out;
}

// A line of bars or words in columns. Before and behind every bar line stand what its sign says.
struct Row {
  std::size_t line = 0;  // index into ChartText::lines
  std::string front;  // "pick-up ", or a quotation mark that takes the place of the first bar line
  bool is_words = false;
  std::vector<std::string> before;  // ":" or nothing, one for each bar line
  std::vector<std::string> behind;  // ":", "1.", " 3 times |" …
  std::vector<std::string> cells;   // one less than bar lines
};

Row bars_row(std::size_t index, const TextLine& line, Notation notation, Report& report) {
  Row row;
  row.line = index;
  if (line.kind == LineKind::pick_up) row.front = "pick-up ";
  const BarRow bars = read_bars(line.content, notation, report);
  for (std::size_t i = 0; i < bars.signs.size(); ++i) {
    const bool is_last = i + 1 == bars.signs.size();
    row.before.emplace_back(bars.signs[i].ends_repeat ? ":" : "");
    row.behind.push_back(after_bar_line(bars.signs[i], is_last));
    if (!is_last) row.cells.push_back(bar_text(bars.bars[i], notation));
  }
  return row;
}

Row words_row(std::size_t index, const TextLine& line) {
  Row row;
  row.line = index;
  row.is_words = true;
  for (const Piece cell : read_words(line.content)) row.cells.push_back(collapsed(cell.text));
  row.before.resize(row.cells.size() + 1);
  row.behind.resize(row.cells.size() + 1);
  return row;
}

// Rows whose bar lines stand below each other.
class Columns {
 public:
  explicit Columns(const std::vector<Row>& rows) {
    for (const Row& row : rows) {
      widen(front_, 0, row.front);
      for (std::size_t i = 0; i < row.before.size(); ++i) {
        widen(before_, i, row.before[i]);
        if (i < row.cells.size()) {
          widen(behind_, i, row.behind[i]);
          widen(cell_, i, row.cells[i]);
        }
      }
    }
  }

  std::string text(const Row& row) const {
    std::string out = row.is_words ? "\"" : row.front;
    for (std::size_t i = 0; i < row.before.size(); ++i) {
      const bool is_last = i == row.cells.size();
      const bool is_quotation_mark = row.is_words && i == 0;
      const std::size_t lead = (i == 0 ? front_[0] : 0) + before_[i];
      if (is_quotation_mark) {
        out = padded(out, lead + 1);
      } else {
        const std::size_t have = i == 0 ? row.front.size() : 0;
        out += std::string(lead - have - row.before[i].size(), ' ') + row.before[i] + "|";
      }
      if (is_last) return out + row.behind[i];
      out += padded(row.behind[i], behind_[i]) + " " + padded(row.cells[i], cell_[i]) + " ";
    }
    return out;
  }

 private:
  static void widen(std::vector<std::size_t>& widths, std::size_t i, const std::string& text) {
    if (widths.size() <= i) widths.resize(i + 1, 0);
    widths[i] = std::max(widths[i], characters(text));
  }
  std::vector<std::size_t> front_;
  std::vector<std::size_t> before_;
  std::vector<std::size_t> behind_;
  std::vector<std::size_t> cell_;
};

class Formatter {
 public:
  explicit Formatter(const Reading& reading)
      : reading_(reading), report_(*reading.source), out_(reading.text.lines.size()) {}

  std::string format() {
    for (std::size_t i = 0; i < reading_.text.lines.size(); ++i) read(i);
    lay_out(rows_);
    lay_out(pick_up_rows_);
    return joined();
  }

 private:
  void read(std::size_t i) {
    const TextLine& line = reading_.text.lines[i];
    const Notation notation = reading_.text.notation;
    switch (line.kind) {
      case LineKind::section:
        lay_out(rows_);
        lay_out(pick_up_rows_);
        inside_ = true;
        out_[i] = "section " + collapsed(line.content.text);
        break;
      case LineKind::bars:
        rows_.push_back(bars_row(i, line, notation, report_));
        last_rows_ = &rows_;
        break;
      case LineKind::pick_up:
        // A pick-up is indented by its keyword; it stands in columns with its own words only.
        if (!pick_up_rows_.empty() && !after_option_) lay_out(pick_up_rows_);
        pick_up_rows_.push_back(bars_row(i, line, notation, report_));
        last_rows_ = &pick_up_rows_;
        break;
      case LineKind::words:
        if (last_rows_ != nullptr) last_rows_->push_back(words_row(i, line));
        break;
      default:
        out_[i] = plain_line(line);
    }
    if (line.kind != LineKind::blank) after_option_ = line.kind == LineKind::option;
  }

  std::string header(LineKind kind, const std::string& content) const {
    const bool narrow = inside_ && (kind == LineKind::key || kind == LineKind::meter);
    const std::string keyword(keyword_of(kind));
    return (narrow ? keyword + " " : padded(keyword, kHeaderWidth)) + content;
  }

  std::string plain_line(const TextLine& line) {
    const Song& song = reading_.song;
    const std::string content = collapsed(line.content.text);
    switch (line.kind) {
      case LineKind::title:
      case LineKind::writers:
      case LineKind::rights:
        return header(line.kind, content);
      case LineKind::tempo:
        return header(line.kind, std::to_string(song.tempo.value()));
      case LineKind::key:
        return header(line.kind, music::text(*music::parse_tonality(content)));
      case LineKind::meter:
        return header(line.kind, music::text(*music::parse_meter(content)));
      case LineKind::range:
        return header(line.kind,
                      music::text(song.range->lowest) + "-" + music::text(song.range->highest));
      case LineKind::road_map:
        return header(line.kind, road_map_text());
      case LineKind::shape:
        return shape_text(line);
      case LineKind::option:
        return content.empty() ? "or" : "or " + content;
      case LineKind::pedal:
        return "pedal " + pedal_text(content);
      case LineKind::pattern:
        return inside_ ? "pattern " + content : header(line.kind, content);
      case LineKind::left:
      case LineKind::right:
        return hand_text(line);
      default:
        return "";
    }
  }

  std::string road_map_text() const {
    std::string out;
    for (const RoadMapEntry& entry : reading_.song.road_map) {
      out += (out.empty() ? "" : ", ") + reading_.song.sections[entry.section].name;
      if (entry.times > 1) out += " " + times_text(entry.times);
    }
    return out;
  }

  std::string pedal_text(const std::string& content) const {
    const auto note = parse_symbol_note(content, reading_.text.notation);
    return note ? text(*note, reading_.text.notation) : "off";
  }

  std::string hand_text(const TextLine& line) {
    const auto hand = line.kind == LineKind::left ? PatternHand::left : PatternHand::right;
    const std::string bar = chart::text(*read_pattern_bar(line.content, hand, report_));
    return padded(std::string(keyword_of(line.kind)), inside_ ? kHandWidth : kHeaderWidth) + bar;
  }

  std::string shape_text(const TextLine& line) {
    const PinText pin = read_pin(line.content, reading_.text.notation, report_);
    const Pin& meant = reading_.song.pins[next_pin_++];
    std::string out =
        padded("shape " + text(*pin.symbol, reading_.text.notation) + " ", kHeaderWidth);
    for (std::size_t i = 0; i < pin.pitches.size(); ++i)
      out += (i == 0 ? "" : " ") + music::text(pin.pitches[i]);
    for (std::size_t i = 0; i < pin.fingers.size(); ++i)
      out += (i == 0 ? "  " : " ") + std::to_string(pin.fingers[i]);
    if (meant.section) out += "  in " + reading_.song.sections[*meant.section].name;
    return out;
  }

  void lay_out(std::vector<Row>& rows) {
    const Columns columns(rows);
    for (const Row& row : rows) out_[row.line] = columns.text(row);
    rows.clear();
  }

  std::string joined() const {
    std::string all;
    std::size_t blanks = 0;  // held back, so that none stand at the beginning and the end
    for (std::size_t i = 0; i < out_.size(); ++i) {
      std::string line = out_[i];
      const Piece comment = reading_.text.lines[i].comment;
      if (!comment.empty()) line += (line.empty() ? "" : "  ") + std::string(comment.text);
      while (!line.empty() && is_blank(line.back())) line.pop_back();
      if (line.empty()) {
        ++blanks;
        continue;
      }
      if (!all.empty()) all.append(blanks, '\n');
      blanks = 0;
      all += line + "\n";
    }
    return all;
  }

  const Reading& reading_;
  Report report_;  // what parse() would have said already; nothing reaches it
  std::vector<std::string> out_;
  std::vector<Row> rows_;
  std::vector<Row> pick_up_rows_;
  std::vector<Row>* last_rows_ = nullptr;
  bool inside_ = false;
  bool after_option_ = false;
  std::size_t next_pin_ = 0;
};

}  // namespace

Result<std::string> format(std::string_view text, const std::string& file) {
  auto reading = read_chart(text, file);
  if (!reading) return tl::unexpected(std::move(reading.error()));
  return Formatter(*reading).format();
}

}  // namespace stillhand::chart
