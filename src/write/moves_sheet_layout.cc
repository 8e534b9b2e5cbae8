#include "write/moves_sheet_layout.h"

#include <fmt/format.h>

#include <algorithm>
#include <string>

#include "write/moves_sheet_picture.h"
#include "write/sheet_blocks.h"
#include "write/sheet_hands.h"

namespace stillhand::write {
namespace {

using teach::Move;

struct PrintedMove {
  const Move* move;
  const Move* way_back;  // nullptr where the song never goes back
};

std::string times_in_words(int times) {
  return times == 1 ? "once" : times == 2 ? "twice" : fmt::format("{} times", times);
}

// "1.8": tenths, worked out in integers so that they round the same everywhere.
std::string tenths(std::int64_t thousandths) {
  const std::int64_t rounded = (thousandths + 50) / 100;
  return fmt::format("{}.{}", rounded / 10, rounded % 10);
}

SheetStyle closer(const SheetStyle& style) {
  SheetStyle out = tighter(style);
  out.row_gap = 6;
  out.keyboard_height = style.keyboard_height - 3;
  out.words.size = style.words.size - 0.5;
  out.longest_moved_whole = 0.1;
  return out;
}

class MovesSetter {
 public:
  MovesSetter(const teach::Lesson& lesson, const SheetStyle& style, const TextMeasurer& measurer)
      : lesson_(lesson), style_(style), measurer_(measurer), window_(window_of_shapes(lesson)) {
    sort_moves();
  }

  SheetPages pages() const {
    std::vector<Group> groups{Group{head_of_sheet()}};
    if (window_) {
      add_rows(groups, shapes());
      if (!lesson_.moves.empty()) add_rows(groups, moves());
    }
    SheetPages out{style_.page_width, style_.page_height, fill_pages(groups, style_)};
    const std::string title = one_line(lesson_.title);
    add_feet(out, title.empty() ? "Shapes and moves" : title + ": shapes and moves", style_,
             measurer_);
    return out;
  }

 private:
  static constexpr int kShapesInARow = 3;
  static constexpr double kMovesGap = 22;  // from a picture to its words
  static constexpr double kNumberWidth = 28;

  static void add_rows(std::vector<Group>& groups, std::vector<Group> more) {
    for (Group& group : more) groups.push_back(std::move(group));
  }

  // --- Order

  // By what the move asks of the fingers, as in Lesson::hardest.
  static bool is_harder(const Move& a, const Move& b) {
    if (a.needed != b.needed) return a.needed > b.needed;
    return a.difficulty.index > b.difficulty.index;
  }

  void sort_moves() {
    std::vector<const Move*> order;
    for (const std::size_t i : lesson_.hardest) order.push_back(&lesson_.moves.at(i));
    const auto hardest = static_cast<std::ptrdiff_t>(order.size());
    for (const Move& move : lesson_.moves) {
      if (std::find(order.begin(), order.end(), &move) == order.end()) order.push_back(&move);
    }
    std::stable_sort(order.begin() + hardest, order.end(), [](const Move* a, const Move* b) {
      if (a->is_optional != b->is_optional) return b->is_optional;
      return is_harder(*a, *b);
    });
    std::vector<const Move*> printed;
    for (std::size_t i = 0; i < order.size(); ++i) {
      const Move* move = order[i];
      if (std::find(printed.begin(), printed.end(), move) != printed.end()) continue;
      const Move* way_back = teach::way_back(lesson_, *move);
      printed.push_back(move);
      if (way_back != nullptr) printed.push_back(way_back);
      auto& list = i < lesson_.hardest.size() ? hardest_ : move->is_optional ? optional_ : others_;
      list.push_back({move, way_back});
    }
  }

  // --- Parts

  Paragraph paragraph(std::string_view text, const Font& font, Ink ink, double width,
                      Role role = Role::paragraph) const {
    return set_paragraph(text, font, ink, width, style_.leading, role, measurer_);
  }

  Block head_of_sheet() const {
    Stack stack;
    const std::string title = one_line(lesson_.title);
    stack.add(set_paragraph(title.empty() ? "Untitled" : title, style_.title, Ink::black,
                            style_.width(), 1.16, Role::title, measurer_));
    stack.space(3);
    const std::string facts =
        fmt::format("Shapes and moves of the right hand. Key {}{}, {} counts a minute.",
                    pretty_notes(music::long_text(lesson_.tonality, lesson_.note_names)),
                    lesson_.tonality_was_proposed ? " (proposed)" : "", lesson_.tempo.value());
    stack.add(paragraph(facts, style_.fact, Ink::black, style_.width()));
    for (const std::string& line : {one_line(lesson_.writers), one_line(lesson_.rights)}) {
      if (!line.empty()) stack.add(paragraph(line, style_.note, Ink::dark, style_.width()));
    }
    return std::move(stack).done();
  }

  std::vector<Group> shapes() const {
    Group out{set_heading("Shapes", "learn these first, without counting", style_, measurer_)};
    Grid grid{kShapesInARow, 0, style_.column_gap};
    while (grid.columns > 1 && column_of(grid) / window_->white_keys < style_.smallest_white_key)
      --grid.columns;
    grid.column = column_of(grid);
    std::vector<Block> cells;
    for (const auto& taught : lesson_.shapes) {
      cells.push_back(
          shape_picture(taught, *window_, lesson_.note_names, grid.column, style_, measurer_));
    }
    const auto per_row = static_cast<std::size_t>(grid.columns);
    for (std::size_t first = 0; first < cells.size(); first += per_row) {
      Block row;
      row.space_before = first == 0 ? 0 : style_.row_gap;
      const std::size_t end = std::min(cells.size(), first + per_row);
      for (std::size_t i = first; i < end; ++i) row.height = std::max(row.height, cells[i].height);
      // The keyboards of a row stand on one line.
      for (std::size_t i = first; i < end; ++i) {
        append(row.marks, cells[i].marks, grid.x(static_cast<int>(i - first)),
               row.height - cells[i].height);
      }
      out.push_back(std::move(row));
    }
    return {out};
  }
  double column_of(const Grid& grid) const {
    return (style_.width() - (grid.columns - 1) * grid.gap) / grid.columns;
  }

  std::vector<Group> moves() const {
    std::vector<Group> out;
    std::size_t number = 0;
    add_moves(out, number, hardest_, "The hardest moves", "practise these first, and slowly");
    add_moves(out, number, others_, hardest_.empty() ? "Moves" : "The other moves",
              "hardest first");
    add_moves(out, number, optional_, "Optional moves", "only the or lines need them");
    return out;
  }

  void add_moves(std::vector<Group>& out, std::size_t& number,
                 const std::vector<PrintedMove>& moves, std::string_view title,
                 std::string_view after) const {
    if (moves.empty()) return;
    Group group{set_heading(title, after, style_, measurer_)};
    if (number == 0) {
      Block legend = set_moves_legend(lesson_.note_names, style_, measurer_);
      legend.space_before = 0;
      legend.keep_with_next = true;
      group.push_back(std::move(legend));
    }
    for (const PrintedMove& printed : moves) {
      Block block = move_block(printed, ++number);
      block.space_before = &printed == &moves.front() ? 0 : style_.row_gap;
      group.push_back(std::move(block));
    }
    out.push_back(std::move(group));
  }

  // The picture, and beside it the pair of chords, how often and how hard, and the words.
  Block move_block(const PrintedMove& printed, std::size_t number) const {
    const double column = (style_.width() - kMovesGap) / 2;
    const KeyboardPicture picture = move_picture(
        *window_, lesson_.shapes.at(printed.move->from).shape,
        lesson_.shapes.at(printed.move->to).shape, lesson_.note_names, column, style_, measurer_);
    Stack words;
    words.space(kNameBand - 4);
    const Paragraph pair =
        paragraph(pair_in_words(printed), style_.picture_chord, Ink::black, column - kNumberWidth);
    const auto& first = std::get<TextMark>(pair.marks.front());
    Block heading = std::move(Stack().add(pair, kNumberWidth)).done();
    heading.marks.push_back(set_text(std::to_string(number), style_.picture_chord, Ink::grey, 0,
                                     first.baseline, measurer_));
    std::rotate(heading.marks.begin(), heading.marks.end() - 1, heading.marks.end());
    words.add(heading.marks, heading.height);
    words.space(1);
    words.add(paragraph(facts(printed), style_.note, Ink::dark, column));
    words.space(3);
    words.add(
        paragraph(pretty_notes(one_line(printed.move->words)), style_.words, Ink::black, column));
    if (printed.way_back != nullptr) {
      words.space(2);
      words.add(paragraph("Back: the same, the other way round.", style_.note, Ink::dark, column));
    }
    Block out = std::move(words).done();
    for (Mark& mark : out.marks) mark = shifted(mark, column + kMovesGap, 0);
    const std::string told = pretty_notes(one_line(printed.move->words));
    Marks marks =
        as_picture(picture.marks, fmt::format("{} to {}: {}", shape_name(printed.move->from),
                                              shape_name(printed.move->to), told));
    append(marks, out.marks, 0, 0);
    out.marks = std::move(marks);
    out.height = std::max(out.height, picture.height);
    return out;
  }

  // The chord, and its inversion where the song has two shapes of it.
  std::string shape_name(std::size_t index) const {
    const teach::TaughtShape& taught = lesson_.shapes.at(index);
    const auto same = std::count_if(lesson_.shapes.begin(), lesson_.shapes.end(),
                                    [&](const auto& other) { return other.chord == taught.chord; });
    const std::string chord = shown_chord(taught.chord, lesson_.note_names);
    return same < 2 ? chord : fmt::format("{} ({})", chord, hand::name(taught.shape.inversion));
  }

  std::string pair_in_words(const PrintedMove& printed) const {
    return fmt::format("{} to {}{}", shape_name(printed.move->from), shape_name(printed.move->to),
                       printed.way_back != nullptr ? ", and back" : "");
  }

  // "7 times, back twice; 1.8 s for it"
  std::string facts(const PrintedMove& printed) const {
    const Move& move = *printed.move;
    std::string out = times_in_words(move.times);
    if (printed.way_back != nullptr)
      out += fmt::format(", back {}", times_in_words(printed.way_back->times));
    if (move.shortest.value() > 0)
      out += fmt::format("; {} s for it", tenths(move.shortest.value()));
    return out;
  }

  const teach::Lesson& lesson_;
  const SheetStyle& style_;
  const TextMeasurer& measurer_;
  std::optional<KeyWindow>
      window_;  // one for the whole sheet, so that the pictures can be compared
  std::vector<PrintedMove> hardest_, others_, optional_;
};

}  // namespace

SheetPages lay_out_moves(const teach::Lesson& lesson, const SheetStyle& style,
                         const TextMeasurer& measurer) {
  // White space is given up where that saves a page.
  SheetPages best;
  for (const SheetStyle& attempt : {style, closer(style)}) {
    SheetPages pages = MovesSetter(lesson, attempt, measurer).pages();
    if (best.pages.empty() || pages.pages.size() < best.pages.size()) best = std::move(pages);
  }
  return best;
}

SheetStyle for_moves(SheetStyle style) {
  style.finger.size = 9.6;
  style.keyboard_height = 63;
  style.row_gap = 11;
  style.picture_chord.size = 15;
  style.words.size = 12;
  return style;
}

}  // namespace stillhand::write
