#include "write/sheet_bars.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace stillhand::write {
namespace {

using teach::SheetBar;
using teach::SheetChord;
using teach::SheetLine;

// What stands above a bar: its ending, a change, an open repeat.
std::string sign_text(const SheetBar& bar) {
  std::vector<std::string> parts;
  if (!bar.endings.empty()) {
    std::string numbers;
    for (int ending : bar.endings)
      numbers += fmt::format("{}{}.", numbers.empty() ? "" : " ", ending);
    parts.push_back(numbers);
  }
  if (bar.is_pick_up) parts.emplace_back("pick-up");
  if (!bar.change.empty()) parts.push_back(pretty_notes(one_line(bar.change)));
  if (bar.is_vamp) {
    parts.push_back(fmt::format("repeat until the cue, about {} times", bar.repeat_times));
  } else if (bar.repeat_times > 2) {
    parts.push_back(fmt::format("{} times", bar.repeat_times));
  }
  return fmt::format("{}", fmt::join(parts, " · "));
}

bool repeat_ends(const SheetBar& bar) { return bar.repeat_times > 1 || bar.is_vamp; }

bool is_silent(const SheetChord& chord) { return chord.chord == "N.C."; }

// A filled mark says: play here.
bool is_played(const SheetChord& chord) { return !chord.is_held && !is_silent(chord); }

Font chord_font(const SheetChord& chord, bool option, const SheetStyle& style) {
  if (option) return style.chord_option;
  return chord.is_held || is_silent(chord) ? style.chord_light : style.chord;
}

// One bar of the line with the bars of the options that stand above it.
struct Cell {
  const SheetBar* bar = nullptr;
  std::vector<const SheetBar*> options;  // nullptr where an option has no such bar
  double width = 0;
};

class LineSetter {
 public:
  LineSetter(const SheetLine& line, music::NoteNames names, double width, const SheetStyle& style,
             const TextMeasurer& measurer)
      : line_(line), names_(names), width_(width), style_(style), measurer_(measurer) {}

  std::vector<Row> rows() const {
    std::vector<Row> out;
    if (line_.bars.empty()) return out;
    for (const auto& cells : chosen_rows()) out.push_back(row(cells, out.empty()));
    return out;
  }

 private:
  // The most bars a row that holds everything; at last one bar a row, where what is too wide wraps.
  std::vector<std::vector<Cell>> chosen_rows() const {
    const auto bars = static_cast<int>(std::count_if(
        line_.bars.begin(), line_.bars.end(), [](const SheetBar& b) { return !b.is_pick_up; }));
    for (int k = preferred(bars); k > 1; --k) {
      const bool leaves_one_alone = bars > k && bars % k == 1 && k > 2;
      if (leaves_one_alone) continue;
      auto rows = cells(k);
      if (std::all_of(rows.begin(), rows.end(), [&](auto& row) { return share_width(row, k); })) {
        return rows;
      }
    }
    auto rows = cells(1);
    for (auto& row : rows) {
      if (!share_width(row, 1)) share_evenly(row);
    }
    return rows;
  }

  static int preferred(int bars) {
    if (bars == 5) return 5;
    if (bars == 6) return 3;
    return 4;
  }

  // k full bars a row; a pick-up rides along in a narrow cell of its own.
  std::vector<std::vector<Cell>> cells(int k) const {
    std::vector<std::vector<Cell>> rows;
    int full = 0;
    for (std::size_t i = 0; i < line_.bars.size(); ++i) {
      const SheetBar& bar = line_.bars[i];
      if (rows.empty() || full == k) {
        rows.emplace_back();
        full = 0;
      }
      Cell cell{&bar, {}, 0};
      for (const auto& option : line_.options) {
        cell.options.push_back(i < option.bars.size() ? &option.bars[i] : nullptr);
      }
      rows.back().push_back(cell);
      if (!bar.is_pick_up) ++full;
    }
    return rows;
  }

  // Bars are equally wide; where one needs more, the others give it, down to what they need
  // themselves. False if the row cannot hold them.
  bool share_width(std::vector<Cell>& row, int k) const {
    double needed = 0;
    double for_bars = width_;
    for (Cell& cell : row) {
      cell.width = needed_width(cell);
      needed += cell.width;
      if (cell.bar->is_pick_up) for_bars -= cell.width;
    }
    if (needed > width_) return false;
    const std::vector<Cell> narrowest = row;
    double level = for_bars / k;
    const auto widen = [&] {
      double total = 0;
      for (std::size_t i = 0; i < row.size(); ++i) {
        if (!row[i].bar->is_pick_up) row[i].width = std::max(narrowest[i].width, level);
        total += row[i].width;
      }
      return total;
    };
    constexpr double kStep = 0.5;  // points
    while (widen() > width_ + 0.001 && level > 0) level -= kStep;
    return true;
  }

  void share_evenly(std::vector<Cell>& row) const {
    for (Cell& cell : row) cell.width = width_ / static_cast<double>(row.size());
  }

  // What a bar and its options need so that each chord stands over its count.
  double needed_width(const Cell& cell) const {
    constexpr double kNarrowestCount = 7;
    const SheetBar& bar = *cell.bar;
    const int counts = bar.length.value() / std::max(1, bar.meter.count_length().value());
    const double beside = style_.bar_padding + 4;
    double out = std::max({2 * style_.bar_padding + kNarrowestCount * counts,
                           measurer_.measure(one_line(bar.words), style_.words).width + beside,
                           measurer_.measure(sign_text(bar), style_.note).width + beside,
                           chords_need(bar, false)});
    for (const SheetBar* option : cell.options) {
      if (option != nullptr) out = std::max(out, chords_need(*option, true));
    }
    return out + 0.01;
  }

  double chords_need(const SheetBar& bar, bool option) const {
    const double length = std::max(1, bar.length.value());
    double out = 0;
    for (std::size_t i = 0; i < bar.chords.size(); ++i) {
      const bool is_last = i + 1 == bar.chords.size();
      const double from = std::clamp<double>(bar.chords[i].start.value(), 0, length);
      const double to =
          is_last ? length : std::clamp<double>(bar.chords[i + 1].start.value(), from, length);
      const double part = std::max(to - from, 1.0) / length;
      // The last chord may run on into the padding before the bar line.
      const double text = chord_width(bar.chords[i], option) +
                          (is_last ? 3 - style_.bar_padding : style_.chord_gap);
      out = std::max(out, text / part);
    }
    return out + 2 * style_.bar_padding;
  }

  double chord_width(const SheetChord& chord, bool option) const {
    return measurer_.measure(shown_chord(chord.chord, names_), chord_font(chord, option, style_))
        .width;
  }

  double x_of(const SheetBar& bar, music::Tick tick, double width) const {
    const double room = width - 2 * style_.bar_padding;
    const int length = std::max(1, bar.length.value());
    return style_.bar_padding + room * std::clamp(tick.value(), 0, length) / length;
  }

  bool chords_fit(const SheetBar& bar, bool option, double width) const {
    return chords_need(bar, option) <= width;
  }

  double text_room(double width) const { return width - style_.bar_padding - 4; }

  // --- Drawing

  struct Pen {
    Marks marks;
    double y = 0;
    void add(Mark mark) { marks.push_back(std::move(mark)); }
    void add(const Marks& more, double dx, double dy) {
      for (const Mark& mark : more) marks.push_back(shifted(mark, dx, dy));
    }
  };

  Row row(const std::vector<Cell>& cells_of_row, bool first_of_line) const {
    Pen pen;
    signs(cells_of_row, pen);
    for (std::size_t i = 0; i < line_.options.size(); ++i) {
      option(cells_of_row, i, first_of_line, pen);
    }
    const double top = pen.y;
    chord_tier(
        cells_of_row, [](const Cell& cell) { return cell.bar; }, false, pen);
    const double bottom = counts(cells_of_row, pen);
    bar_lines(cells_of_row, top, bottom, pen);
    words(cells_of_row, pen);
    return {std::move(pen.marks), pen.y};
  }

  void signs(const std::vector<Cell>& row, Pen& pen) const {
    double tallest = 0;
    double x = 0;
    for (const Cell& cell : row) {
      const std::string sign = sign_text(*cell.bar);
      if (!sign.empty()) {
        const Paragraph text = set_paragraph(sign, style_.note, Ink::black, text_room(cell.width),
                                             style_.leading, Role::paragraph, measurer_);
        pen.add(text.marks, x + style_.bar_padding, pen.y + 2);
        tallest = std::max(tallest, text.height + 4);
      }
      if (!cell.bar->endings.empty()) {
        pen.add(RuleMark{x + 2, pen.y, x + cell.width - 3, pen.y, 0.7, Ink::black});
        pen.add(RuleMark{x + 2, pen.y, x + 2, pen.y + 9, 0.7, Ink::black});
      }
      x += cell.width;
    }
    pen.y += tallest;
  }

  void option(const std::vector<Cell>& row, std::size_t index, bool first, Pen& pen) const {
    const std::string label = one_line(line_.options[index].label);
    std::string text = (first ? "or" : "or, continued") + (label.empty() ? "" : ": " + label);
    const auto& remarks = line_.options[index].remarks;
    if (first && !remarks.empty())
      text += one_line(fmt::format("; left hand: {}", fmt::join(remarks, "; ")));
    const Paragraph paragraph =
        set_paragraph(pretty_notes(text), style_.note, Ink::accent, width_ - style_.bar_padding,
                      style_.leading, Role::paragraph, measurer_);
    pen.add(paragraph.marks, style_.bar_padding, pen.y);
    pen.y += paragraph.height + 2;
    chord_tier(
        row, [&](const Cell& cell) { return cell.options[index]; }, true, pen);
    pen.y += 5;
  }

  // All bars of one kind side by side.
  template <class BarOf>
  void chord_tier(const std::vector<Cell>& row, BarOf bar_of, bool is_option, Pen& pen) const {
    double tallest = 0;
    double x = 0;
    for (const Cell& cell : row) {
      if (const SheetBar* bar = bar_of(cell)) {
        tallest = std::max(tallest, chords(*bar, is_option, cell.width, x, pen));
      }
      x += cell.width;
    }
    pen.y += std::max(tallest, style_.chord.size);
  }

  // Returns the height used. Chords too many for one tier go on in the next.
  double chords(const SheetBar& bar, bool option, double width, double left, Pen& pen) const {
    const bool over_their_counts = chords_fit(bar, option, width);
    const double tier = style_.chord.size * style_.leading;
    double free_from = style_.bar_padding;
    double y = 0;
    for (const SheetChord& chord : bar.chords) {
      const Font font = chord_font(chord, option, style_);
      const Ink ink = option ? Ink::accent : chord.is_held ? Ink::grey : Ink::black;
      std::string symbol = shown_chord(chord.chord, names_);
      symbol = fitted(symbol, font, text_room(width), measurer_);
      const double wide = measurer_.measure(symbol, font).width;
      double x = over_their_counts ? x_of(bar, chord.start, width) : free_from;
      if (!over_their_counts && x > style_.bar_padding && x + wide > width - 2) {
        y += tier;
        x = style_.bar_padding;
      }
      free_from = x + wide + 2 * style_.chord_gap;
      pen.add(set_text(symbol, font, ink, left + x, pen.y + y + font.size * 0.80, measurer_));
    }
    return y + style_.chord.size;
  }

  // Returns the bottom of the marks.
  double counts(const std::vector<Cell>& row, Pen& pen) const {
    const double r = style_.count_radius;
    const double y = pen.y + 4;
    double x = 0;
    for (const Cell& cell : row) {
      const SheetBar& bar = *cell.bar;
      const bool shown = chords_fit(bar, false, cell.width);
      const music::Tick count = bar.meter.count_length();
      for (music::Tick at; at < bar.length && shown; at += count) {
        if (begins_at(bar, at) || is_silent_at(bar, at)) continue;
        pen.add(
            DiscMark{x + x_of(bar, at, cell.width) + r, y, r - 0.2, std::nullopt, Ink::grey, 0.5});
      }
      for (const SheetChord& chord : bar.chords) {
        if (!shown || !is_played(chord)) continue;
        pen.add(DiscMark{x + x_of(bar, chord.start, cell.width) + r, y, r, Ink::black, std::nullopt,
                         0});
      }
      x += cell.width;
    }
    pen.y = y + 6;
    return y + r;
  }

  static bool begins_at(const SheetBar& bar, music::Tick at) {
    return std::any_of(bar.chords.begin(), bar.chords.end(), [&](const SheetChord& chord) {
      return chord.start == at && is_played(chord);
    });
  }

  // Under N.C. the hands rest: no mark.
  static bool is_silent_at(const SheetBar& bar, music::Tick at) {
    return std::any_of(bar.chords.begin(), bar.chords.end(), [&](const SheetChord& chord) {
      return chord.start <= at && at < chord.start + chord.duration && is_silent(chord);
    });
  }

  void bar_lines(const std::vector<Cell>& row, double top, double bottom, Pen& pen) const {
    double x = 0;
    for (std::size_t i = 0; i <= row.size(); ++i) {
      const bool ends = i > 0 && repeat_ends(*row[i - 1].bar);
      const bool begins = i < row.size() && row[i].bar->repeat_begins;
      const double thickness = ends || begins ? 1.8 : 0.6;
      pen.add(RuleMark{x, top, x, bottom, thickness, ends || begins ? Ink::black : Ink::grey});
      if (begins) repeat_dots(x + 3.8, top, bottom, pen);
      if (ends) repeat_dots(x - 3.8, top, bottom, pen);
      if (i < row.size()) x += row[i].width;
    }
  }

  static void repeat_dots(double x, double top, double bottom, Pen& pen) {
    const double middle = (top + bottom) / 2;
    for (double y : {middle - 3, middle + 3}) {
      pen.add(DiscMark{x, y, 1.1, Ink::black, std::nullopt, 0});
    }
  }

  void words(const std::vector<Cell>& row, Pen& pen) const {
    double tallest = 0;
    double x = 0;
    for (const Cell& cell : row) {
      const std::string text = one_line(cell.bar->words);
      if (!text.empty()) {
        const Paragraph paragraph =
            set_paragraph(text, style_.words, Ink::black, text_room(cell.width), style_.leading,
                          Role::paragraph, measurer_);
        pen.add(paragraph.marks, x + style_.bar_padding, pen.y);
        tallest = std::max(tallest, paragraph.height);
      }
      x += cell.width;
    }
    pen.y += tallest;
  }

  const SheetLine& line_;
  music::NoteNames names_;
  double width_;
  const SheetStyle& style_;
  const TextMeasurer& measurer_;
};

}  // namespace

std::vector<Row> set_line(const teach::SheetLine& line, music::NoteNames names, double width,
                          const SheetStyle& style, const TextMeasurer& measurer) {
  return LineSetter(line, names, width, style, measurer).rows();
}

}  // namespace stillhand::write
