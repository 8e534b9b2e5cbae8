#include "write/sheet_bars.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "write/sheet_keyboard.h"

namespace stillhand::write {
namespace {

using teach::SheetBar;
using teach::SheetChord;
using teach::SheetLine;

// What stands above a bar: the number of an ending above its first bar, a change, an open repeat.
enum class Ending { begins, goes_on };

std::string sign_text(const SheetBar& bar, Ending ending, const ChordNaming& naming) {
  std::vector<std::string> parts;
  if (!bar.endings.empty() && ending == Ending::begins) {
    std::string numbers;
    for (const int number : bar.endings)
      numbers += fmt::format("{}{}.", numbers.empty() ? "" : " ", number);
    parts.push_back(numbers);
  }
  if (bar.is_pick_up) parts.emplace_back("pick-up");
  if (!bar.change.empty()) {
    std::string change = pretty_notes(one_line(bar.change));
    if (bar.is_key_change && naming.writing == ChordWriting::numbers)
      change += ": 1 is " + music::display(bar.tonality.tonic, naming.names);
    parts.push_back(std::move(change));
  }
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
  std::size_t index = 0;  // of the bar in its line
  const SheetBar* bar = nullptr;
  std::vector<const SheetBar*> options;  // nullptr where an option has no such bar
  double width = 0;
};

class LineSetter {
 public:
  LineSetter(const LineToSet& set, const BarNaming& naming, double width, const SheetStyle& style,
             const TextMeasurer& measurer)
      : set_(set),
        line_(*set.line),
        naming_(naming),
        width_(width),
        style_(style),
        measurer_(measurer) {}

  std::vector<Row> rows() const {
    std::vector<Row> out;
    if (line_.bars.empty()) return out;
    for (const auto& cells : chosen_rows()) out.push_back(row(cells, out.empty()));
    return out;
  }

 private:
  struct Pen {
    Marks marks;
    double y = 0;
    void add(Mark mark) { marks.push_back(std::move(mark)); }
    void add(const Marks& more, double dx, double dy) {
      for (const Mark& mark : more) marks.push_back(shifted(mark, dx, dy));
    }
  };

  // The most bars a row that holds everything; at last one bar a row, where what is too wide wraps.
  std::vector<std::vector<Cell>> chosen_rows() const {
    const auto bars = static_cast<int>(std::count_if(
        line_.bars.begin(), line_.bars.end(), [](const SheetBar& b) { return !b.is_pick_up; }));
    for (int k = std::min(preferred(bars), style_.most_bars); k > 1; --k) {
      const bool leaves_one_alone = bars > k && bars % k == 1 && k > 2;
      if (leaves_one_alone) continue;
      auto rows = cells(k);
      // In large print a calm row has equal bars, or two.
      if (style_.print == Print::large && k > 2 && widest_of(rows) > width_ / k) continue;
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

  double widest_of(const std::vector<std::vector<Cell>>& rows) const {
    double out = 0;
    for (const auto& row : rows) {
      for (const Cell& cell : row) out = std::max(out, needed_width(cell));
    }
    return out;
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
      Cell cell{i, &bar, {}, 0};
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
    const double narrowest_count = 7 * style_.unit;
    const SheetBar& bar = *cell.bar;
    const int counts = bar.length.value() / std::max(1, bar.meter.count_length().value());
    const double beside = style_.bar_padding + 4;
    double out = std::max(
        {2 * style_.bar_padding + narrowest_count * counts,
         measurer_.measure(sign_text(bar, Ending::begins, naming_.chords), style_.note).width +
             beside,
         chords_need(bar, false)});
    for (const std::string& words : words_of(cell))
      out = std::max(out, measurer_.measure(words, style_.words).width + beside);
    for (const SheetBar* option : cell.options) {
      if (option != nullptr) out = std::max(out, chords_need(*option, true));
    }
    if (const BarBass* bass = bass_of(cell)) out = std::max(out, bass_needs(bar, *bass));
    for (std::size_t o = 0; o < cell.options.size(); ++o) {
      const BarBass* bass = bass_of_option(cell, o);
      if (bass != nullptr) out = std::max(out, bass_needs(*cell.options[o], *bass));
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
      const double text = chord_width(bar, bar.chords[i], option) +
                          (is_last ? before_line(bar) - style_.bar_padding : style_.chord_gap);
      out = std::max(out, text / part);
    }
    return out + 2 * style_.bar_padding;
  }

  // What stays free before the bar line: the dots of a repeat stand there.
  static double before_line(const SheetBar& bar) { return repeat_ends(bar) ? 7 : 3; }

  double chord_width(const SheetBar& bar, const SheetChord& chord, bool option) const {
    return measurer_
        .measure(shown_chord(chord.chord, bar.tonality, naming_.chords),
                 chord_font(chord, option, style_))
        .width;
  }

  // The words of each section that shares the bar.
  std::vector<std::string> words_of(const Cell& cell) const {
    std::vector<std::string> out{one_line(cell.bar->words)};
    for (const SheetLine* verse : set_.other_verses)
      out.push_back(one_line(verse->bars[cell.index].words));
    return out;
  }

  // --- The left hand in the bars

  const BarBass* bass_of(const Cell& cell) const {
    return set_.bass == nullptr ? nullptr : &set_.bass->bars[cell.index];
  }
  const BarBass* bass_of_option(const Cell& cell, std::size_t option) const {
    if (set_.bass == nullptr || cell.options[option] == nullptr) return nullptr;
    return &set_.bass->options[option][cell.index];
  }

  double finger_radius() const { return style_.finger.size * 0.58; }
  double tone_gap() const { return 2 * style_.unit; }

  std::string bass_name(const BassStroke& stroke, std::size_t tone) const {
    const music::Pitch& pitch = stroke.tones[tone].pitch;
    std::string out = music::display(pitch.name, naming_.chords.names);
    const bool octave = naming_.octaves == BassOctaves::write && tone == 0 && !stroke.is_step;
    return octave ? out + std::to_string(pitch.octave) : out;
  }

  double tone_width(const BassStroke& stroke, std::size_t tone) const {
    return std::max(measurer_.measure(bass_name(stroke, tone), style_.bass).width,
                    2 * finger_radius());
  }
  double stroke_width(const BassStroke& stroke) const {
    double out = 0;
    for (std::size_t t = 0; t < stroke.tones.size(); ++t)
      out += tone_width(stroke, t) + (t > 0 ? tone_gap() : 0);
    return out;
  }

  double bass_needs(const SheetBar& bar, const BarBass& bass) const {
    const double length = std::max(1, bar.length.value());
    double out = 0;
    for (std::size_t i = 0; i < bass.strokes.size(); ++i) {
      const bool is_last = i + 1 == bass.strokes.size();
      const double from = std::clamp<double>(bass.strokes[i].at.value(), 0, length);
      const double to =
          is_last ? length : std::clamp<double>(bass.strokes[i + 1].at.value(), from, length);
      const double part = std::max(to - from, 1.0) / length;
      const double wide = stroke_width(bass.strokes[i]) +
                          (is_last ? before_line(bar) - style_.bar_padding : style_.chord_gap);
      out = std::max(out, wide / part);
    }
    return out + 2 * style_.bar_padding;
  }

  // A note name with its finger below it. Returns the height of a tier.
  double stroke(const BassStroke& stroke, double x, double y, Ink ink, Pen& pen) const {
    const double r = finger_radius();
    const double name_height = style_.bass.size * 1.12;
    for (std::size_t t = 0; t < stroke.tones.size(); ++t) {
      const double wide = tone_width(stroke, t);
      TextMark name = set_text(bass_name(stroke, t), style_.bass, ink, 0, 0, measurer_);
      pen.add(shifted(name, x + (wide - name.box.width) / 2, y + style_.bass.size * 0.82));
      pen.add(finger_mark(stroke.tones[t].finger, hand::Hand::left, x + wide / 2,
                          y + name_height + r, r, style_, measurer_),
              0, 0);
      x += wide + tone_gap();
    }
    return name_height + 2 * r + 2 * style_.unit;
  }

  // Returns the height used.
  double bass(const SheetBar& bar, const BarBass& bass, double width, double left, Ink ink,
              Pen& pen) const {
    const bool under_their_counts = bass_needs(bar, bass) <= width;
    double free_from = style_.bar_padding;
    double y = 0;
    double tier = 0;
    for (const BassStroke& one : bass.strokes) {
      const double wide = stroke_width(one);
      double x = under_their_counts ? x_of(bar, one.at, width) : free_from;
      if (!under_their_counts && x > style_.bar_padding && x + wide > width - before_line(bar)) {
        y += tier;
        x = style_.bar_padding;
      }
      free_from = x + wide + style_.chord_gap;
      tier = stroke(one, left + x, pen.y + y, ink, pen);
    }
    return y + tier;
  }

  template <class BassOf, class BarOf>
  void bass_tier(const std::vector<Cell>& row, BassOf bass_of_cell, BarOf bar_of, Ink ink,
                 Pen& pen) const {
    double tallest = 0;
    double x = 0;
    for (const Cell& cell : row) {
      const BarBass* here = bass_of_cell(cell);
      if (here != nullptr)
        tallest = std::max(tallest, bass(*bar_of(cell), *here, cell.width, x, ink, pen));
      x += cell.width;
    }
    pen.y += tallest;
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

  Row row(const std::vector<Cell>& cells_of_row, bool first_of_line) const {
    Pen pen;
    signs(cells_of_row, pen);
    for (std::size_t i = 0; i < line_.options.size(); ++i) {
      option(cells_of_row, i, first_of_line, pen);
    }
    const double top = pen.y;
    chord_tier(
        cells_of_row, [](const Cell& cell) { return cell.bar; }, false, pen);
    double bottom = counts(cells_of_row, pen);
    if (set_.bass != nullptr) {
      pen.y += 1.5 * style_.unit;
      bass_tier(
          cells_of_row, [&](const Cell& cell) { return bass_of(cell); },
          [](const Cell& cell) { return cell.bar; }, Ink::black, pen);
      bottom = pen.y;
      pen.y += 2 * style_.unit;
    }
    bar_lines(cells_of_row, top, bottom, pen);
    words(cells_of_row, pen);
    return {std::move(pen.marks), pen.y};
  }

  bool has_ending_of_bar_before(std::size_t index) const {
    return index > 0 && index < line_.bars.size() && !line_.bars[index].endings.empty() &&
           line_.bars[index].endings == line_.bars[index - 1].endings;
  }

  void signs(const std::vector<Cell>& row, Pen& pen) const {
    double tallest = 0;
    double x = 0;
    for (const Cell& cell : row) {
      const Ending ending = has_ending_of_bar_before(cell.index) ? Ending::goes_on : Ending::begins;
      const std::string sign = sign_text(*cell.bar, ending, naming_.chords);
      if (!sign.empty()) {
        const Paragraph text = set_paragraph(sign, style_.note, Ink::black, text_room(cell.width),
                                             style_.leading, Role::paragraph, measurer_);
        pen.add(text.marks, x + style_.bar_padding, pen.y + 2 * style_.unit);
        tallest = std::max(tallest, text.height + 4 * style_.unit);
      }
      if (!cell.bar->endings.empty()) {
        const bool begins = ending == Ending::begins;
        const bool ends = !has_ending_of_bar_before(cell.index + 1);
        pen.add(RuleMark{begins ? x + 2 : x, pen.y, x + cell.width - (ends ? 3 : 0), pen.y, 0.7,
                         Ink::black});
        if (begins)
          pen.add(RuleMark{x + 2, pen.y, x + 2, pen.y + 9 * style_.unit, 0.7, Ink::black});
      }
      x += cell.width;
    }
    pen.y += tallest;
  }

  void option(const std::vector<Cell>& row, std::size_t index, bool first, Pen& pen) const {
    const std::string label = one_line(line_.options[index].label);
    std::string text = (first ? "or" : "or, continued") + (label.empty() ? "" : ": " + label);
    const auto& remarks = line_.options[index].remarks;
    if (first && !remarks.empty() && set_.bass == nullptr &&
        naming_.remarks == OptionRemarks::write)
      text += one_line(fmt::format("; left hand: {}", fmt::join(remarks, "; ")));
    const Paragraph paragraph =
        set_paragraph(pretty_notes(text), style_.note, Ink::accent, width_ - style_.bar_padding,
                      style_.leading, Role::paragraph, measurer_);
    pen.add(paragraph.marks, style_.bar_padding, pen.y);
    pen.y += paragraph.height + 2;
    chord_tier(
        row, [&](const Cell& cell) { return cell.options[index]; }, true, pen);
    if (set_.bass != nullptr) {
      pen.y += 4 * style_.unit;
      bass_tier(
          row, [&](const Cell& cell) { return bass_of_option(cell, index); },
          [&](const Cell& cell) { return cell.options[index]; }, Ink::accent, pen);
    }
    pen.y += 5 * style_.unit;
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
      std::string symbol = shown_chord(chord.chord, bar.tonality, naming_.chords);
      symbol = fitted(symbol, font, text_room(width) - before_line(bar) + 3, measurer_);
      const double wide = measurer_.measure(symbol, font).width;
      double x = over_their_counts ? x_of(bar, chord.start, width) : free_from;
      if (!over_their_counts && x > style_.bar_padding && x + wide > width - before_line(bar)) {
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
    const double y = pen.y + 4 * style_.unit;
    double x = 0;
    for (const Cell& cell : row) {
      const SheetBar& bar = *cell.bar;
      const bool shown = chords_fit(bar, false, cell.width);
      const music::Tick count = bar.meter.count_length();
      Marks marks;
      for (music::Tick at; at < bar.length && shown; at += count) {
        if (begins_at(bar, at) || is_silent_at(bar, at)) continue;
        marks.push_back(
            DiscMark{x + x_of(bar, at, cell.width) + r, y, r - 0.2, std::nullopt, Ink::grey, 0.5});
      }
      for (const SheetChord& chord : bar.chords) {
        if (!shown || !is_played(chord)) continue;
        marks.push_back(DiscMark{x + x_of(bar, chord.start, cell.width) + r, y, r, Ink::black,
                                 std::nullopt, 0});
      }
      pen.add(as_picture(std::move(marks), counts_in_words(bar)), 0, 0);
      x += cell.width;
    }
    pen.y = y + 6 * style_.unit;
    return y + r;
  }

  // What the marks of the counts say: "4 counts: D on 1, Em on 4", "4 counts: D goes on". A chord between two
  // counts comes after the first.
  std::string counts_in_words(const SheetBar& bar) const {
    const int count = bar.meter.count_length().value();
    const int counts = (bar.length.value() + count - 1) / count;
    std::string out;
    for (const SheetChord& chord : bar.chords) {
      const int start = chord.start.value();
      out += out.empty() ? ": " : ", ";
      out += is_silent(chord) ? "no chord" : shown_chord(chord.chord, bar.tonality, naming_.chords);
      out += chord.is_held
                 ? " goes on"
                 : fmt::format(" {} {}", start % count == 0 ? "on" : "after", start / count + 1);
    }
    return fmt::format("{} {}{}", counts, counts == 1 ? "count" : "counts", out);
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

  // Verses that share the bars stand below each other, numbered in front of each row.
  void words(const std::vector<Cell>& row, Pen& pen) const {
    const std::size_t verses = 1 + set_.other_verses.size();
    for (std::size_t verse = 0; verse < verses; ++verse) {
      double tallest = 0;
      double x = 0;
      for (const Cell& cell : row) {
        const std::string text = words_of(cell)[verse];
        if (!text.empty()) {
          const Paragraph paragraph =
              set_paragraph(text, style_.words, Ink::black, text_room(cell.width), style_.leading,
                            Role::paragraph, measurer_);
          pen.add(paragraph.marks, x + style_.bar_padding, pen.y);
          tallest = std::max(tallest, paragraph.height);
        }
        x += cell.width;
      }
      if (verses > 1 && tallest > 0) {
        const std::string number = std::to_string(verse + 1);
        pen.add(set_text(number, style_.note, Ink::grey, 0, pen.y + style_.words.size * 0.80,
                         measurer_));
      }
      pen.y += tallest;
    }
  }

  const LineToSet& set_;
  const SheetLine& line_;
  const BarNaming& naming_;
  double width_;
  const SheetStyle& style_;
  const TextMeasurer& measurer_;
};

}  // namespace

std::vector<Row> set_line(const LineToSet& line, const BarNaming& naming, double width,
                          const SheetStyle& style, const TextMeasurer& measurer) {
  return LineSetter(line, naming, width, style, measurer).rows();
}

}  // namespace stillhand::write
