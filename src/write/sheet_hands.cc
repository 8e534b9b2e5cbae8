#include "write/sheet_hands.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "teach/words.h"
#include "write/sheet_bass.h"
#include "write/sheet_keyboard.h"
#include "write/sheet_pattern.h"

namespace stillhand::write {
namespace {

using music::PianoKey;

// One left-hand position with the sections that use it and what is to be said of it; or the sections whose left hand
// stands in their bars, with the bass notes it plays there.
struct SharedPosition {
  arrange::Position position;
  std::vector<std::string> sections;
  std::vector<std::string> remarks;
  std::vector<music::Pitch> bass = {};
};

std::string joined(const std::vector<std::string>& names) {
  return fmt::format("{}", fmt::join(names, ", "));
}

// A remark that does not hold in all sections of the position names those where it does.
std::vector<std::string> remarks_of(const std::vector<const teach::SectionPosition*>& uses) {
  std::vector<std::string> order;
  for (const auto* use : uses) {
    for (const std::string& remark : use->remarks) {
      if (std::find(order.begin(), order.end(), remark) == order.end()) order.push_back(remark);
    }
  }
  std::vector<std::string> out;
  for (const std::string& remark : order) {
    std::vector<std::string> where;
    for (const auto* use : uses) {
      if (std::find(use->remarks.begin(), use->remarks.end(), remark) != use->remarks.end()) {
        where.push_back(one_line(use->section));
      }
    }
    out.push_back((where.size() == uses.size() ? "" : joined(where) + ": ") +
                  pretty_notes(one_line(remark)));
  }
  return out;
}

// The open hand has no keys to be drawn: only what is said of it can be the same.
bool is_shared(const teach::SectionPosition& a, const teach::SectionPosition& b) {
  return a.position == b.position && (!a.position.is_open() || a.remarks == b.remarks);
}

std::vector<SharedPosition> shared_positions(const std::vector<teach::SectionPosition>& positions) {
  std::vector<SharedPosition> out;
  for (std::size_t i = 0; i < positions.size(); ++i) {
    const teach::SectionPosition& first = positions[i];
    const auto before = positions.begin() + static_cast<std::ptrdiff_t>(i);
    const bool known = std::any_of(positions.begin(), before,
                                   [&](const auto& other) { return is_shared(other, first); });
    if (known || (first.position.is_open() && first.remarks.empty())) continue;
    std::vector<const teach::SectionPosition*> uses;
    SharedPosition shared{first.position, {}, {}};
    for (const auto& other : positions) {
      if (!is_shared(other, first)) continue;
      uses.push_back(&other);
      shared.sections.push_back(one_line(other.section));
    }
    shared.remarks = remarks_of(uses);
    out.push_back(std::move(shared));
  }
  return out;
}

template <class T>
void add_once(std::vector<T>& to, T value) {
  if (std::find(to.begin(), to.end(), value) == to.end()) to.push_back(std::move(value));
}

std::string in_bars_in_words(arrange::Rung rung) {
  constexpr std::string_view where = "; the notes and fingers stand in the bars";
  switch (rung) {
    case arrange::Rung::root_and_fifth:
      return fmt::format("root and fifth{}", where);
    case arrange::Rung::octave:
      return fmt::format("octaves{}", where);
    case arrange::Rung::root_fifth_octave:
      return fmt::format("root, fifth and octave{}", where);
    case arrange::Rung::walking_bass:
      return fmt::format("walking bass{}", where);
    case arrange::Rung::one_root:
    case arrange::Rung::position:
      break;
  }
  return "";
}

// Whether it is of the first time that its section is played: that one stands in the bars.
bool is_first_time(const teach::SectionPosition& entry,
                   const std::vector<teach::SectionPosition>& all) {
  return std::none_of(all.begin(), all.end(), [&](const auto& other) {
    return other.of == entry.of && other.time < entry.time;
  });
}

// What the bars do not show themselves: the same section played otherwise another time.
std::string told_of_other_time(const teach::SectionPosition& entry,
                               const std::vector<teach::SectionPosition>& all) {
  std::vector<std::string> first_time;
  for (const auto& other : all) {
    if (other.of == entry.of && is_first_time(other, all))
      first_time.insert(first_time.end(), other.remarks.begin(), other.remarks.end());
  }
  std::vector<std::string> out;
  for (const std::string& remark : entry.remarks) {
    const bool is_known =
        std::find(first_time.begin(), first_time.end(), remark) != first_time.end();
    if (!is_known && !remark.starts_with("held: ")) out.push_back(remark);
  }
  if (out.empty()) return "";
  return fmt::format("{}: {}", one_line(entry.section),
                     pretty_notes(one_line(fmt::format("{}", fmt::join(out, "; ")))));
}

arrange::Rung highest_rung(const teach::SheetSection& section) {
  arrange::Rung out = arrange::Rung::one_root;
  for (const auto& line : section.lines) {
    for (const auto& bar : line.bars) {
      for (const auto& chord : bar.chords) {
        if (chord.bass) out = std::max(out, chord.bass->rung);
      }
    }
  }
  return out;
}

// One for each rung that stands in the bars.
std::vector<SharedPosition> positions_in_bars(const teach::Lesson& lesson) {
  std::map<arrange::Rung, SharedPosition> by_rung;
  for (std::size_t s = 0; s < lesson.sections.size(); ++s) {
    const auto& section = lesson.sections[s];
    if (!has_bass_in_bars(section)) continue;
    const arrange::Rung rung = highest_rung(section);
    SharedPosition& shared = by_rung[rung];
    if (shared.remarks.empty()) shared.remarks.push_back(in_bars_in_words(rung));
    shared.sections.push_back(one_line(section.name));
    for (const LineBass& line : bass_in_bars(section)) {
      for (const BarBass& bar : line.bars) {
        for (const BassStroke& stroke : bar.strokes)
          add_once(shared.bass, stroke.tones.front().pitch);
      }
    }
    for (const auto& entry : lesson.positions) {
      if (entry.of != s || is_first_time(entry, lesson.positions)) continue;
      std::string told = told_of_other_time(entry, lesson.positions);
      if (!told.empty()) shared.remarks.push_back(std::move(told));
    }
  }
  std::vector<SharedPosition> out;
  for (auto& [rung, shared] : by_rung) out.push_back(std::move(shared));
  return out;
}

// The places of the left hand in the order of the song, those that stand in the bars before them.
std::vector<SharedPosition> left_hand_of(const teach::Lesson& lesson) {
  std::vector<SharedPosition> out = positions_in_bars(lesson);
  std::vector<teach::SectionPosition> others;
  for (const auto& entry : lesson.positions) {
    const bool stands_in_bars =
        entry.rung >= arrange::Rung::root_and_fifth && has_bass_in_bars(lesson.sections[entry.of]);
    if (!stands_in_bars) others.push_back(entry);
  }
  for (SharedPosition& shared : shared_positions(others)) out.push_back(std::move(shared));
  return out;
}

class HandsSetter {
 public:
  HandsSetter(const teach::Lesson& lesson, const ChordNaming& naming, const SheetStyle& style,
              const TextMeasurer& measurer)
      : lesson_(lesson),
        naming_(naming),
        style_(style),
        measurer_(measurer),
        positions_(left_hand_of(lesson)) {
    choose_windows();
    choose_grid();
  }

  std::vector<Group> groups() const {
    const auto beside = side_by_side();
    if (beside) return {Group{*beside}};
    std::vector<Group> out{road_map_wide()};
    const auto add = [&](Group rows) {
      if (style_.print == Print::normal) return out.push_back(std::move(rows));
      // A page of large print has few rows: they begin where there is room.
      for (Group& part : block_by_block(std::move(rows))) out.push_back(std::move(part));
    };
    if (!positions_.empty()) add(pictures("Left hand", left_pictures(), 0));
    const std::vector<Block> right = right_pictures();
    const std::vector<Block> patterns = pattern_cells(width_behind(right.size(), 0));
    const auto columns = static_cast<std::size_t>(grid_.columns);
    const std::size_t last_row = right.size() % columns;
    const bool fit_behind = last_row > 0 && last_row + patterns.size() <= columns;
    if (!right.empty())
      add(pictures("Right hand", right, 0, fit_behind ? patterns : std::vector<Block>()));
    if (!fit_behind && !patterns.empty()) {
      Group rows = pictures("", {}, 0, patterns);
      rows.front().space_before = style_.section_gap;
      out.push_back(std::move(rows));
    }
    return out;
  }

  Group road_map_wide() const { return road_map_in_columns(); }

 private:
  static constexpr double kLongestSide = 0.56;  // of the page: above it all goes over the width
  static constexpr std::size_t kMostSideSteps = 12;

  // One width of window for the whole sheet, so that the pictures can be compared.
  void choose_windows() {
    std::vector<PianoKey> left;
    int most = 7;
    for (const auto& shared : positions_) {
      std::vector<PianoKey> own;
      for (const auto& pitch : shared.position.keys) own.push_back(pitch.key());
      for (const auto& pitch : shared.bass) own.push_back(pitch.key());
      if (own.empty()) continue;
      left.insert(left.end(), own.begin(), own.end());
      most = std::max(most, window_over(own).white_keys);
    }
    if (const auto right = window_of_shapes(lesson_)) {
      right_ = *right;
      most = std::max(most, right->white_keys);
    }
    white_keys_ = most;
    right_ = widened(right_, white_keys_);
    if (!left.empty()) {
      const KeyWindow all = window_over(left);
      if (all.white_keys <= white_keys_) left_ = widened(all, white_keys_);
    }
  }

  void choose_grid() {
    grid_.gap = style_.column_gap;
    for (grid_.columns = style_.most_columns; grid_.columns > 1; --grid_.columns) {
      if (column_of(grid_.columns) / white_keys_ >= style_.smallest_white_key) break;
    }
    grid_.column = column_of(grid_.columns);
  }
  double column_of(int columns) const {
    return (style_.width() - (columns - 1) * style_.column_gap) / columns;
  }

  Paragraph head(std::string_view text, double width) const {
    Paragraph out = set_paragraph(text, style_.head, Ink::accent, width, style_.leading,
                                  Role::heading, measurer_);
    out.height += 5 * style_.unit;
    return out;
  }

  // --- Road map

  static std::string step_text(const teach::RoadMapStep& step) {
    const std::string name = one_line(step.section);
    return step.times == 1 ? name : fmt::format("{} ×{}", name, step.times);
  }

  Paragraph step(const teach::RoadMapStep& value) const {
    return set_paragraph(step_text(value), style_.road, Ink::black, grid_.column,
                         style_.road_leading, Role::paragraph, measurer_);
  }

  void road_map_column(Stack& stack) const {
    stack.add(head("Road map", grid_.column));
    for (const auto& value : lesson_.road_map) stack.add(step(value));
  }

  // Rows read from left to right, like the bars below.
  Group road_map_in_columns() const {
    constexpr std::size_t kRowsAtOnce = 20;
    Group out;
    Block title = std::move(Stack().add(head("Road map", style_.width()))).done();
    title.keep_with_next = true;
    title.space_before = style_.section_gap;
    out.push_back(std::move(title));
    const auto columns = static_cast<std::size_t>(grid_.columns);
    const auto& steps = lesson_.road_map;
    for (std::size_t first = 0; first < steps.size(); first += kRowsAtOnce * columns) {
      const std::size_t here = std::min(steps.size() - first, kRowsAtOnce * columns);
      const std::size_t rows = (here + columns - 1) / columns;
      for (std::size_t row = 0; row < rows; ++row) {
        Block block;
        for (std::size_t column = 0; column < columns; ++column) {
          const std::size_t index = row * columns + column;
          if (index >= here) continue;
          const Paragraph text = step(steps[first + index]);
          append(block.marks, text.marks, grid_.x(static_cast<int>(column)), 0);
          block.height = std::max(block.height, text.height);
        }
        out.push_back(std::move(block));
      }
    }
    return out;
  }

  // --- Pictures

  Block right_picture(const teach::TaughtShape& taught) const {
    return shape_picture(taught, right_, lesson_.note_names, grid_.column, style_, measurer_,
                         degrees_of(taught));
  }

  // "4", where the chords of the bars are numbers; more than one where the key changes.
  std::string degrees_of(const teach::TaughtShape& taught) const {
    if (naming_.writing == ChordWriting::letters) return "";
    const auto index = static_cast<std::size_t>(&taught - lesson_.shapes.data());
    std::vector<std::string> degrees;
    for (const auto& section : lesson_.sections) {
      for (const auto& line : section.lines) {
        add_degrees(line.bars, index, degrees);
        for (const auto& option : line.options) add_degrees(option.bars, index, degrees);
      }
    }
    return joined(degrees);
  }

  void add_degrees(const std::vector<teach::SheetBar>& bars, std::size_t shape,
                   std::vector<std::string>& degrees) const {
    for (const auto& bar : bars) {
      for (const auto& chord : bar.chords) {
        if (chord.shape == shape)
          add_once(degrees, shown_number(lesson_.shapes[shape].chord, bar.tonality));
      }
    }
  }

  KeyboardPicture left_keyboard(const SharedPosition& shared) const {
    std::vector<FingerOnKey> fingers;
    std::vector<PianoKey> keys;
    for (const auto& pitch : shared.bass) {
      keys.push_back(pitch.key());
      fingers.push_back({pitch});
    }
    int finger = 5;
    for (const auto& pitch : shared.position.keys) {
      keys.push_back(pitch.key());
      fingers.push_back({pitch, hand::Finger(finger)});
      finger = std::max(1, finger - 1);
    }
    const KeyWindow window = left_ ? *left_ : widened(window_over(keys), white_keys_);
    KeyboardPicture out = keyboard(window, fingers, hand::Hand::left, lesson_.note_names,
                                   grid_.column, style_, measurer_);
    out.marks =
        as_picture(std::move(out.marks), in_words(fingers, hand::Hand::left, lesson_.note_names));
    return out;
  }

  Block left_picture(const SharedPosition& shared) const {
    Stack stack;
    const std::string where =
        lesson_.one_position || is_everywhere(shared) ? "the whole song" : joined(shared.sections);
    stack.add(set_paragraph(where, style_.note, Ink::grey, grid_.column, style_.leading,
                            Role::paragraph, measurer_));
    stack.space(1);
    if (!shared.position.is_open() || !shared.bass.empty()) {
      const KeyboardPicture picture = left_keyboard(shared);
      stack.add(picture.marks, picture.height);
    }
    stack.space(2);
    for (const std::string& remark : shared.remarks) {
      stack.add(set_paragraph(remark, style_.note, Ink::black, grid_.column, style_.leading,
                              Role::paragraph, measurer_));
      stack.space(1.5);
    }
    return std::move(stack).done();
  }

  bool is_everywhere(const SharedPosition& shared) const {
    return !shared.bass.empty() && shared.sections.size() == lesson_.sections.size();
  }

  // --- Patterns

  // Each with its name, where it is played, the strip and what is said of it; the first one below a heading.
  std::vector<Block> pattern_cells(double width) const {
    std::vector<Block> out;
    const auto is_other_meter = [&](const teach::TaughtPattern& a) {
      return std::count_if(lesson_.patterns.begin(), lesson_.patterns.end(),
                           [&](const auto& b) { return a.name == b.name; }) > 1;
    };
    for (const teach::TaughtPattern& pattern : lesson_.patterns) {
      if (pattern.moments.empty()) continue;
      Stack stack;
      if (out.empty())
        stack.add(head(lesson_.patterns.size() == 1 ? "Pattern" : "Patterns", width));
      const auto add = [&](const std::string& text, const Font& font, Ink ink) {
        stack.add(
            set_paragraph(text, font, ink, width, style_.leading, Role::paragraph, measurer_));
      };
      add(one_line(pattern.name), style_.body_strong, Ink::black);
      std::string where = lesson_.patterns.size() == 1
                              ? "the whole song"
                              : one_line(fmt::format("{}", fmt::join(pattern.sections, ", ")));
      if (is_other_meter(pattern)) where += "; in " + music::text(pattern.meter);
      add(where, style_.note, Ink::grey);
      stack.space(2 * style_.unit);
      const Block strip = set_pattern(pattern, width, style_, measurer_);
      stack.add(strip.marks, strip.height);
      out.push_back(std::move(stack).done());
    }
    return out;
  }

  std::vector<Block> right_pictures() const {
    std::vector<Block> out;
    for (const auto& taught : lesson_.shapes) out.push_back(right_picture(taught));
    return out;
  }
  std::vector<Block> left_pictures() const {
    std::vector<Block> out;
    for (const auto& shared : positions_) out.push_back(left_picture(shared));
    return out;
  }

  // Rows of pictures from the given column of the grid on, and behind them in the same rows what is no picture.
  Group pictures(std::string_view title, const std::vector<Block>& cells, int from,
                 const std::vector<Block>& behind = {}) const {
    Group out;
    if (!title.empty()) {
      Block heading = std::move(Stack().add(head(title, grid_.column))).done();
      for (Mark& mark : heading.marks) mark = shifted(mark, grid_.x(from), 0);
      heading.keep_with_next = true;
      heading.space_before = style_.section_gap;
      out.push_back(std::move(heading));
    }
    const auto per_row = static_cast<std::size_t>(grid_.columns - from);
    const std::size_t all = cells.size() + behind.size();
    const auto cell = [&](std::size_t i) -> const Block& {
      return i < cells.size() ? cells[i] : behind[i - cells.size()];
    };
    for (std::size_t first = 0; first < all; first += per_row) {
      Block row;
      row.space_before = first == 0 ? 0 : style_.row_gap * 0.5;
      const std::size_t end = std::min(all, first + per_row);
      double tallest_picture = 0;
      for (std::size_t i = first; i < end; ++i) {
        row.height = std::max(row.height, cell(i).height);
        if (i < cells.size()) tallest_picture = std::max(tallest_picture, cell(i).height);
      }
      // Keyboards of one row stand on one line even where a symbol above one of them wraps.
      const bool on_one_line = from > 0 || title == "Right hand";
      for (std::size_t i = first; i < end; ++i) {
        const double down = on_one_line && i < cells.size() ? tallest_picture - cell(i).height : 0;
        append(row.marks, cell(i).marks, grid_.x(from + static_cast<int>(i - first)), down);
      }
      out.push_back(std::move(row));
    }
    return out;
  }

  // A single pattern may have all that is left of the last row of pictures, or the row below it.
  double width_behind(std::size_t pictures, int from) const {
    const auto per_row = static_cast<std::size_t>(grid_.columns - from);
    const std::size_t in_last_row = pictures % per_row;
    if (lesson_.patterns.size() != 1) return grid_.column;
    const auto free = static_cast<double>(per_row - in_last_row);
    return free * grid_.column + (free - 1) * grid_.gap;
  }

  // Where the patterns stand: below the left hand, or behind the shapes of the right hand.
  enum class Patterns { below_left, behind_right };

  Block beside(Patterns where) const {
    const std::vector<Block> patterns = pattern_cells(
        where == Patterns::behind_right ? width_behind(lesson_.shapes.size(), 1) : grid_.column);
    Stack stack;
    road_map_column(stack);
    if (!positions_.empty()) {
      stack.space(style_.section_gap * 0.8);
      stack.add(head("Left hand", grid_.column));
      bool first = true;
      for (const Block& picture : left_pictures()) {
        if (!first) stack.space(8 * style_.unit);
        first = false;
        stack.add(picture.marks, picture.height);
      }
    }
    if (where == Patterns::below_left) {
      for (const Block& pattern : patterns) {
        stack.space(style_.section_gap * 0.8);
        stack.add(pattern.marks, pattern.height);
      }
    }
    Block out = std::move(stack).done();
    double y = 0;
    const bool has_right =
        !lesson_.shapes.empty() || (where == Patterns::behind_right && !patterns.empty());
    if (has_right) {
      const Group rows =
          pictures(lesson_.shapes.empty() ? "" : "Right hand", right_pictures(), 1,
                   where == Patterns::behind_right ? patterns : std::vector<Block>());
      for (const Block& row : rows) {
        if (y > 0) y += row.space_before;
        append(out.marks, row.marks, 0, y);
        y += row.height;
      }
    }
    out.height = std::max(out.height, y);
    out.space_before = style_.section_gap;
    return out;
  }

  std::optional<Block> side_by_side() const {
    if (lesson_.road_map.size() > kMostSideSteps || grid_.columns < 2) return std::nullopt;
    Block out = beside(Patterns::below_left);
    Block other = beside(Patterns::behind_right);
    if (other.height < out.height) out = std::move(other);
    if (out.height > kLongestSide * style_.height()) return std::nullopt;
    return out;
  }

  const teach::Lesson& lesson_;
  ChordNaming naming_;
  const SheetStyle& style_;
  const TextMeasurer& measurer_;
  std::vector<SharedPosition> positions_;
  KeyWindow right_{PianoKey(53), 11};
  std::optional<KeyWindow> left_;  // one for all positions, where they fit into one
  int white_keys_ = 11;
  Grid grid_;
};

bool any_held(const teach::Lesson& lesson) {
  for (const auto& section : lesson.sections) {
    for (const auto& line : section.lines) {
      for (const auto& bar : line.bars) {
        for (const auto& chord : bar.chords) {
          if (chord.is_held) return true;
        }
      }
    }
  }
  return false;
}

std::vector<LegendItem> count_signs(const teach::Lesson& lesson, const SheetStyle& style,
                                    const TextMeasurer& measurer) {
  const double middle = -style.note.size * 0.35;
  const double dot = style.count_radius;
  std::vector<LegendItem> items;
  items.push_back(
      {{DiscMark{dot, middle, dot, Ink::black, std::nullopt, 0}}, 2 * dot, "new chord"});
  items.push_back(
      {{DiscMark{dot, middle, dot - 0.2, std::nullopt, Ink::grey, 0.5}}, 2 * dot, "goes on"});
  if (any_held(lesson)) {
    const Font light{style.chord_light.face, style.note.size * 1.2};
    const TextMark sample = set_text("A", light, Ink::grey, 0, 0, measurer);
    items.push_back({{sample}, sample.box.width, "light: still held"});
  }
  return items;
}

// Whether a pattern strip has marks of two sizes.
bool has_single_notes(const teach::Lesson& lesson) {
  return std::any_of(lesson.patterns.begin(), lesson.patterns.end(), [](const auto& pattern) {
    return std::any_of(pattern.moments.begin(), pattern.moments.end(), [](const auto& moment) {
      return moment.right.starts_with("low") || moment.right.starts_with("middle") ||
             moment.right.starts_with("high");
    });
  });
}

LegendItem pattern_signs(const SheetStyle& style) {
  const double middle = -style.note.size * 0.35;
  const double whole = 3.3 * style.unit;
  const double small = 1.9 * style.unit;
  const double x = 2 * whole + 3 * style.unit + small;
  return {{DiscMark{whole, middle, whole, Ink::black, std::nullopt, 0},
           DiscMark{x, middle, small, Ink::black, std::nullopt, 0}},
          x + small,
          "pattern: whole chord, one note"};
}

// How the numbers are read. In a minor key 7 may be either of two notes, and the sign says which.
std::vector<LegendItem> number_signs(const teach::Lesson& lesson) {
  std::vector<LegendItem> items{{{}, 0, "6m: minor chord on 6"},
                                {{}, 0, "5(7): seventh chord on 5"},
                                {{}, 0, "5/7: chord on 5, bass note 7"}};
  if (lesson.tonality.mode == music::Mode::minor)
    items.push_back({{}, 0, "♯7: the raised seventh, ♭7: the plain one"});
  return items;
}

}  // namespace

std::optional<KeyWindow> window_of_shapes(const teach::Lesson& lesson) {
  std::vector<PianoKey> keys;
  for (const auto& taught : lesson.shapes) {
    for (const auto& note : taught.shape.notes) keys.push_back(note.key());
  }
  if (keys.empty()) return std::nullopt;
  return window_over(keys);
}

Block shape_picture(const teach::TaughtShape& taught, const KeyWindow& window,
                    music::NoteNames names, double width, const SheetStyle& style,
                    const TextMeasurer& measurer, std::string_view degrees) {
  Stack stack;
  stack.add(set_paragraph(shown_chord(taught.chord, names), style.picture_chord, Ink::black, width,
                          1.15, Role::paragraph, measurer));
  std::string about = teach::about(taught);
  if (!degrees.empty()) about = fmt::format("{}: {}", degrees, about);
  if (!taught.where.empty()) about += ", in " + one_line(taught.where);
  if (taught.is_optional) about += ", optional";
  stack.add(
      set_paragraph(about, style.note, Ink::grey, width, style.leading, Role::paragraph, measurer));
  stack.space(1);
  std::vector<FingerOnKey> fingers;
  for (const auto& note : taught.shape.notes) fingers.push_back({note.pitch, note.finger});
  const KeyboardPicture picture =
      keyboard(window, fingers, hand::Hand::right, names, width, style, measurer);
  const std::string says =
      shown_chord(taught.chord, names) + ": " + in_words(fingers, hand::Hand::right, names);
  stack.add(as_picture(picture.marks, says), picture.height);
  return std::move(stack).done();
}

// B is another key in English than in German, and the letters do not show which is meant.
std::string names_in_words(music::NoteNames names) {
  switch (names) {
    case music::NoteNames::english:
      return "";
    case music::NoteNames::german:
      return "notes: German (H, B)";
    case music::NoteNames::do_re_mi:
      return "notes: Do-Re-Mi (Do is C)";
  }
  return "";
}

std::vector<Group> set_hands(const teach::Lesson& lesson, const ChordNaming& naming,
                             const SheetStyle& style, const TextMeasurer& measurer) {
  return HandsSetter(lesson, naming, style, measurer).groups();
}

Group set_road_map(const teach::Lesson& lesson, const SheetStyle& style,
                   const TextMeasurer& measurer) {
  return HandsSetter(lesson, {}, style, measurer).road_map_wide();
}

Block set_number_legend(const teach::Lesson& lesson, const SheetStyle& style,
                        const TextMeasurer& measurer) {
  std::vector<LegendItem> items = count_signs(lesson, style, measurer);
  for (LegendItem& item : number_signs(lesson)) items.push_back(std::move(item));
  return set_signs(items, style, measurer, style.note.size * 1.6);
}

Block set_legend(const teach::Lesson& lesson, const ChordNaming& naming, const SheetStyle& style,
                 const TextMeasurer& measurer) {
  const double r = style.finger.size * 0.58;
  const double middle = -style.note.size * 0.35;
  std::vector<LegendItem> items;
  items.push_back({finger_mark(hand::kThumb, hand::Hand::right, r, middle, r, style, measurer),
                   2 * r, "right hand"});
  items.push_back({finger_mark(hand::kThumb, hand::Hand::left, r, middle, r, style, measurer),
                   2 * r, "left hand"});
  items.push_back({{}, 0, "1 thumb, 5 little finger"});
  items.push_back({middle_c_sign(2.4 * style.unit, middle - 2.8 * style.unit, style.unit),
                   4.8 * style.unit, "middle C"});
  for (LegendItem& item : count_signs(lesson, style, measurer)) items.push_back(std::move(item));
  if (has_single_notes(lesson)) items.push_back(pattern_signs(style));
  if (naming.writing == ChordWriting::numbers) {
    for (LegendItem& item : number_signs(lesson)) items.push_back(std::move(item));
  }
  const std::string names = names_in_words(lesson.note_names);
  if (!names.empty()) items.push_back({{}, 0, names});
  return set_signs(items, style, measurer, style.note.size * 1.6);
}

}  // namespace stillhand::write
