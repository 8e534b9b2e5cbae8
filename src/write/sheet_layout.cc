#include "write/sheet_layout.h"

#include <fmt/format.h>

#include <algorithm>
#include <string>
#include <vector>

#include "write/sheet_bars.h"
#include "write/sheet_blocks.h"
#include "write/sheet_hands.h"

namespace stillhand::write {
namespace {

std::string counted(int number, std::string_view one, std::string_view many) {
  return fmt::format("{} {}", number, number == 1 ? one : many);
}

class SheetSetter {
 public:
  SheetSetter(const teach::Lesson& lesson, const SheetStyle& style, const TextMeasurer& measurer)
      : lesson_(lesson), style_(style), measurer_(measurer) {}

  SheetPages pages(Feet feet) const {
    std::vector<Group> groups{Group{head_of_sheet()}};
    for (Group& group : set_hands(lesson_, style_, measurer_)) groups.push_back(std::move(group));
    groups.push_back({set_legend(lesson_, style_, measurer_)});
    for (const auto& section : lesson_.sections) groups.push_back(section_group(section));
    const auto plain = moves_to_print(false);
    if (!plain.empty())
      groups.push_back(moves(heading("What moves", "right hand, most frequent first"), plain));
    const auto optional = moves_to_print(true);
    if (!optional.empty()) {
      groups.push_back(
          moves(heading("What moves in the or lines", "right hand, optional"), optional));
    }
    if (lesson_.student) groups.push_back({for_student()});
    if (!lesson_.cautions.empty()) groups.push_back({cautions()});
    SheetPages out{style_.page_width, style_.page_height, fill_pages(groups, style_)};
    if (feet == Feet::numbered) add_feet(out, one_line(lesson_.title), style_, measurer_);
    return out;
  }

 private:
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
    const std::string writers = one_line(lesson_.writers);
    if (!writers.empty()) stack.add(paragraph(writers, style_.body, Ink::black, style_.width()));
    const std::string rights = one_line(lesson_.rights);
    if (!rights.empty()) stack.add(paragraph(rights, style_.note, Ink::dark, style_.width()));
    stack.space(10);
    const Block row = facts();
    stack.add(row.marks, row.height);
    return std::move(stack).done();
  }

  // Key, meter, tempo and range side by side on the four columns of the page.
  Block facts() const {
    const bool compound = lesson_.meter.is_compound();
    std::vector<std::pair<std::string, std::string>> all{
        {"Key", pretty_notes(music::long_text(lesson_.tonality, lesson_.note_names)) +
                    (lesson_.tonality_was_proposed ? " (proposed)" : "")},
        {"Meter", music::text(lesson_.meter) + ", " +
                      counted(lesson_.meter.counts().value(), "count", "counts") +
                      (compound ? " of three" : " a bar")},
        {"Tempo", counted(lesson_.tempo.value(), "count", "counts") + " a minute"}};
    if (lesson_.range) {
      all.emplace_back(
          "Melody", pretty_notes(music::text(lesson_.range->lowest, lesson_.note_names) + " to " +
                                 music::text(lesson_.range->highest, lesson_.note_names)));
    }
    Block out;
    const double column = (style_.width() - 3 * style_.column_gap) / 4;
    double x = 0;
    out.marks.push_back(RuleMark{0, 0, style_.width(), 0, 0.6, Ink::black});
    for (const auto& [label, value] : all) {
      Stack cell;
      cell.space(6);
      cell.add(paragraph(label, style_.note, Ink::grey, column));
      cell.space(1);
      cell.add(paragraph(value, style_.fact, Ink::black, column));
      const Block block = std::move(cell).done();
      append(out.marks, block.marks, x, 0);
      out.height = std::max(out.height, block.height);
      x += column + style_.column_gap;
    }
    return out;
  }

  Block heading(std::string_view text, std::string_view after) const {
    return set_heading(text, after, style_, measurer_);
  }

  Group section_group(const teach::SheetSection& section) const {
    std::vector<std::string> after{counted(section.bars, "bar", "bars")};
    for (const teach::TaughtPattern& pattern : lesson_.patterns) {
      const bool is_here = std::find(pattern.sections.begin(), pattern.sections.end(),
                                     section.name) != pattern.sections.end();
      // A pattern stands once for each meter.
      if (is_here && std::find(after.begin(), after.end(), pattern.name) == after.end())
        after.push_back(pattern.name);
    }
    Group out{heading(one_line(section.name), fmt::format("{}", fmt::join(after, ", ")))};
    bool first = true;
    for (const auto& line : section.lines) {
      const auto rows = set_line(line, lesson_.note_names, style_.width(), style_, measurer_);
      for (std::size_t i = 0; i < rows.size(); ++i) {
        Block block{rows[i].marks, rows[i].height, first ? 0 : style_.row_gap, false};
        block.keep_with_next = i + 1 < rows.size();
        first = false;
        out.push_back(std::move(block));
      }
    }
    return out;
  }

  // The move that leads back, if the song has it.
  const teach::Move* back(const teach::Move& move) const {
    for (const teach::Move& other : lesson_.moves) {
      const bool leads_back = other.from == move.to && other.to == move.from;
      if (leads_back && other.is_optional == move.is_optional) return &other;
    }
    return nullptr;
  }

  struct PrintedMove {
    const teach::Move* move;
    const teach::Move* way_back;  // nullptr where the song never goes back
    int times;                    // both ways together
  };

  // A move and its way back are the same fingers on the same keys, so they stand together, told in the direction that
  // comes more often.
  std::vector<PrintedMove> moves_to_print(bool optional) const {
    std::vector<PrintedMove> out;
    for (const teach::Move& move : lesson_.moves) {
      if (move.is_optional != optional) continue;
      const teach::Move* way_back = back(move);
      if (way_back != nullptr && way_back < &move) continue;
      out.push_back({&move, way_back, move.times + (way_back != nullptr ? way_back->times : 0)});
    }
    std::stable_sort(out.begin(), out.end(),
                     [](const PrintedMove& a, const PrintedMove& b) { return a.times > b.times; });
    return out;
  }

  // Pair and number of times in the first column, the words beside them.
  Group moves(Block title, const std::vector<PrintedMove>& printed) const {
    Group out{std::move(title)};
    const double column = (style_.width() - 3 * style_.column_gap) / 4;
    const double words_x = column + style_.column_gap;
    const double times_width = 30;
    for (const auto& [move, way_back, times_played] : printed) {
      const std::string told = one_line(move->words) +
                               (way_back != nullptr ? " Back: the same, the other way round." : "");
      const std::string pair =
          shown_chord(lesson_.shapes.at(move->from).chord, lesson_.note_names) + " to " +
          shown_chord(lesson_.shapes.at(move->to).chord, lesson_.note_names);
      const Paragraph chords =
          paragraph(pair, style_.body_strong, Ink::black, column - times_width);
      const Paragraph words =
          paragraph(pretty_notes(told), style_.body, Ink::black, style_.width() - words_x);
      Block block;
      append(block.marks, chords.marks, 0, 0);
      const auto& first = std::get<TextMark>(chords.marks.front());
      TextMark times = set_text(fmt::format("×{}", times_played), style_.note, Ink::grey, 0,
                                first.baseline, measurer_);
      block.marks.push_back(shifted(times, column - times.box.width, 0));
      append(block.marks, words.marks, words_x, 0);
      block.height = std::max(chords.height, words.height);
      block.space_before = 2.5;
      out.push_back(std::move(block));
    }
    return out;
  }

  Block for_student() const {
    Stack stack;
    std::string all = lesson_.student->news;
    for (const std::string& reduction : lesson_.student->reductions) all += " " + reduction + ".";
    stack.add(paragraph(pretty_notes(one_line(all)), style_.note, Ink::dark, style_.width()));
    Block out = std::move(stack).done();
    out.space_before = style_.section_gap;
    return out;
  }

  Block cautions() const {
    Stack stack;
    stack.add({RuleMark{0, 0, style_.width(), 0, 0.6, Ink::black}}, 7);
    const std::string all = fmt::format("{}", fmt::join(lesson_.cautions, " "));
    stack.add(paragraph(pretty_notes(one_line(all)), style_.note, Ink::dark, style_.width()));
    Block out = std::move(stack).done();
    out.space_before = style_.section_gap;
    return out;
  }

  const teach::Lesson& lesson_;
  const SheetStyle& style_;
  const TextMeasurer& measurer_;
};

}  // namespace

SheetPages lay_out(const teach::Lesson& lesson, const SheetStyle& style,
                   const TextMeasurer& measurer, Feet feet) {
  // An ordinary song shall stand on two facing pages: first with all its white space, then closer,
  // then with sections broken between lines. Where nothing helps, the fewest pages.
  constexpr std::size_t kFacingPages = 2;
  SheetStyle broken = tighter(style);
  broken.longest_moved_whole = 0.1;
  SheetPages best;
  for (const SheetStyle& attempt : {style, tighter(style), broken}) {
    SheetPages pages = SheetSetter(lesson, attempt, measurer).pages(feet);
    if (best.pages.empty() || pages.pages.size() < best.pages.size()) best = std::move(pages);
    if (best.pages.size() <= kFacingPages) break;
  }
  return best;
}

}  // namespace stillhand::write
