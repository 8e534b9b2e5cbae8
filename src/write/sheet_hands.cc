#include "write/sheet_hands.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "teach/words.h"
#include "write/sheet_keyboard.h"

namespace stillhand::write {
namespace {

using music::PianoKey;

// One left-hand position with the sections that use it and what is to be said of it.
struct SharedPosition {
  arrange::Position position;
  std::vector<std::string> sections;
  std::vector<std::string> remarks;
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

std::vector<SharedPosition> shared_positions(const teach::Lesson& lesson) {
  std::vector<SharedPosition> out;
  for (std::size_t i = 0; i < lesson.positions.size(); ++i) {
    const teach::SectionPosition& first = lesson.positions[i];
    const auto before = lesson.positions.begin() + static_cast<std::ptrdiff_t>(i);
    const bool known = std::any_of(lesson.positions.begin(), before,
                                   [&](const auto& other) { return is_shared(other, first); });
    if (known || (first.position.is_open() && first.remarks.empty())) continue;
    std::vector<const teach::SectionPosition*> uses;
    SharedPosition shared{first.position, {}, {}};
    for (const auto& other : lesson.positions) {
      if (!is_shared(other, first)) continue;
      uses.push_back(&other);
      shared.sections.push_back(one_line(other.section));
    }
    shared.remarks = remarks_of(uses);
    out.push_back(std::move(shared));
  }
  return out;
}

class HandsSetter {
 public:
  HandsSetter(const teach::Lesson& lesson, const SheetStyle& style, const TextMeasurer& measurer)
      : lesson_(lesson), style_(style), measurer_(measurer), positions_(shared_positions(lesson)) {
    choose_windows();
    choose_grid();
  }

  std::vector<Group> groups() const {
    const auto beside = side_by_side();
    if (beside) return {Group{*beside}};
    std::vector<Group> out{road_map_wide()};
    if (!positions_.empty()) out.push_back(pictures("Left hand", left_pictures(), 0));
    if (!lesson_.shapes.empty()) out.push_back(pictures("Right hand", right_pictures(), 0));
    return out;
  }

 private:
  static constexpr double kLongestSide = 0.56;  // of the page: above it all goes over the width
  static constexpr std::size_t kMostSideSteps = 12;

  // One width of window for the whole sheet, so that the pictures can be compared.
  void choose_windows() {
    std::vector<PianoKey> left;
    int most = 7;
    for (const auto& shared : positions_) {
      if (shared.position.is_open()) continue;
      std::vector<PianoKey> own;
      for (const auto& pitch : shared.position.keys) own.push_back(pitch.key());
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
    for (grid_.columns = 4; grid_.columns > 1; --grid_.columns) {
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
    out.height += 5;
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

  // Columns read top to bottom, then left to right.
  Group road_map_wide() const {
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
          const std::size_t index = column * rows + row;
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
    return shape_picture(taught, right_, lesson_.note_names, grid_.column, style_, measurer_);
  }

  KeyboardPicture left_keyboard(const arrange::Position& position) const {
    std::vector<FingerOnKey> fingers;
    std::vector<PianoKey> keys;
    int finger = 5;
    for (const auto& pitch : position.keys) {
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
    const std::string where = lesson_.one_position ? "the whole song" : joined(shared.sections);
    stack.add(set_paragraph(where, style_.note, Ink::grey, grid_.column, style_.leading,
                            Role::paragraph, measurer_));
    stack.space(1);
    if (!shared.position.is_open()) {
      const KeyboardPicture picture = left_keyboard(shared.position);
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

  // Rows of pictures from the given column of the grid on.
  Group pictures(std::string_view title, const std::vector<Block>& cells, int from) const {
    Group out;
    Block heading = std::move(Stack().add(head(title, grid_.column))).done();
    for (Mark& mark : heading.marks) mark = shifted(mark, grid_.x(from), 0);
    heading.keep_with_next = true;
    heading.space_before = style_.section_gap;
    out.push_back(std::move(heading));
    const auto per_row = static_cast<std::size_t>(grid_.columns - from);
    for (std::size_t first = 0; first < cells.size(); first += per_row) {
      Block row;
      row.space_before = first == 0 ? 0 : 8;
      const std::size_t end = std::min(cells.size(), first + per_row);
      // Keyboards of one row stand on one line even where a symbol above one of them wraps.
      for (std::size_t i = first; i < end; ++i) row.height = std::max(row.height, cells[i].height);
      const bool on_one_line = from > 0 || title == "Right hand";
      for (std::size_t i = first; i < end; ++i) {
        const double down = on_one_line ? row.height - cells[i].height : 0;
        append(row.marks, cells[i].marks, grid_.x(from + static_cast<int>(i - first)), down);
      }
      out.push_back(std::move(row));
    }
    return out;
  }

  std::optional<Block> side_by_side() const {
    if (lesson_.road_map.size() > kMostSideSteps || grid_.columns < 2) return std::nullopt;
    Stack stack;
    road_map_column(stack);
    if (!positions_.empty()) {
      stack.space(style_.section_gap * 0.8);
      stack.add(head("Left hand", grid_.column));
      bool first = true;
      for (const Block& picture : left_pictures()) {
        if (!first) stack.space(8);
        first = false;
        stack.add(picture.marks, picture.height);
      }
    }
    Block out = std::move(stack).done();
    double y = 0;
    if (!lesson_.shapes.empty()) {
      for (const Block& row : pictures("Right hand", right_pictures(), 1)) {
        if (y > 0) y += row.space_before;
        append(out.marks, row.marks, 0, y);
        y += row.height;
      }
    }
    out.height = std::max(out.height, y);
    out.space_before = style_.section_gap;
    if (out.height > kLongestSide * style_.height()) return std::nullopt;
    return out;
  }

  const teach::Lesson& lesson_;
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
                    const TextMeasurer& measurer) {
  Stack stack;
  stack.add(set_paragraph(shown_chord(taught.chord, names), style.picture_chord, Ink::black, width,
                          1.15, Role::paragraph, measurer));
  std::string about = teach::about(taught);
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

std::vector<Group> set_hands(const teach::Lesson& lesson, const SheetStyle& style,
                             const TextMeasurer& measurer) {
  return HandsSetter(lesson, style, measurer).groups();
}

Block set_legend(const teach::Lesson& lesson, const SheetStyle& style,
                 const TextMeasurer& measurer) {
  const double r = style.finger.size * 0.58;
  const double middle = -style.note.size * 0.35;
  const double dot = style.count_radius;
  std::vector<LegendItem> items;
  items.push_back({finger_mark(hand::kThumb, hand::Hand::right, r, middle, r, style, measurer),
                   2 * r, "right hand"});
  items.push_back({finger_mark(hand::kThumb, hand::Hand::left, r, middle, r, style, measurer),
                   2 * r, "left hand"});
  items.push_back({{}, 0, "1 thumb, 5 little finger"});
  items.push_back({middle_c_sign(2.4, middle - 2.8), 4.8, "middle C"});
  items.push_back(
      {{DiscMark{dot, middle, dot, Ink::black, std::nullopt, 0}}, 2 * dot, "new chord"});
  items.push_back(
      {{DiscMark{dot, middle, dot - 0.2, std::nullopt, Ink::grey, 0.5}}, 2 * dot, "goes on"});
  if (any_held(lesson)) {
    const Font light{style.chord_light.face, style.note.size * 1.2};
    const TextMark sample = set_text("A", light, Ink::grey, 0, 0, measurer);
    items.push_back({{sample}, sample.box.width, "light: still held"});
  }
  const std::string names = names_in_words(lesson.note_names);
  if (!names.empty()) items.push_back({{}, 0, names});
  return set_signs(items, style, measurer, style.note.size * 1.6);
}

}  // namespace stillhand::write
