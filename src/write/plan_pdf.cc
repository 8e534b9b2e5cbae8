#include <fmt/format.h>

#include <algorithm>

#include "write/embedded.h"
#include "write/plan.h"
#include "write/plan_document.h"
#include "write/sheet_blocks.h"
#include "write/sheet_draw.h"
#include "write/sheet_fonts.h"
#include "write/sheet_hands.h"

namespace stillhand::write {
namespace {

// Sizes and distances in points: our judgement, beside those of the sheet (sheet_style.h).
constexpr Font kStep{Face::sans_bold, 11.5};
constexpr Font kKind{Face::serif, 14};
constexpr Font kLabel{Face::sans_bold, 8.8};
constexpr double kSpeechIndent = 12;
constexpr double kSentenceGap = 2.5;
constexpr double kPointIndent = 12;
constexpr double kStepGap = 13;
constexpr double kGap = 5;  // between the parts of a step
constexpr double kCountPadding = 6;
constexpr int kShapesInARow = 4;
// Of a page: a longer step is broken between its sentences.
constexpr double kLongestMovedWhole = 0.2;

class PlanSetter {
 public:
  PlanSetter(const teach::Lesson& lesson, const PlanDocument& document, const SheetStyle& style,
             const TextMeasurer& measurer)
      : lesson_(lesson), document_(document), style_(style), measurer_(measurer) {}

  SheetPages pages() {
    groups_.push_back({head()});
    for (const PlanPart& part : document_.parts) std::visit(*this, part);
    SheetPages out{style_.page_width, style_.page_height, fill_pages(groups_, style_)};
    add_feet(out, document_.title + ": " + document_.kind, style_, measurer_);
    return out;
  }

  void operator()(const PlanHeading& heading) {
    groups_.push_back({set_heading(heading.text, heading.after, style_, measurer_)});
    awaits_first_ = true;
  }

  // A step is a group of its own, the first one together with its heading.
  void operator()(const PlanStep& step) {
    Stack stack;
    const TextMark after = set_text(step.after, style_.note, Ink::grey, 0, 0, measurer_);
    const double room = style_.width() - after.box.width - 12;
    const Paragraph name =
        set_paragraph(step.text, kStep, Ink::black, room, 1.25, Role::paragraph, measurer_);
    stack.add(name);
    Block block = std::move(stack).done();
    if (!step.after.empty()) {
      const auto& first = std::get<TextMark>(name.marks.front());
      block.marks.push_back(shifted(after, style_.width() - after.box.width, first.baseline));
    }
    const double space = awaits_first_ ? 2 : kStepGap;
    block.keep_with_next = true;
    if (!awaits_first_) groups_.emplace_back();
    awaits_first_ = false;
    put(std::move(block), space);
  }

  // Of a step: stays with what it is the reason for.
  void operator()(const PlanParagraph& paragraph) {
    const Paragraph text = set(paragraph.text, style_.body, style_.width());
    const bool is_reason = !groups_.back().empty() && groups_.back().back().keep_with_next;
    put({text.marks, text.height, 0, is_reason}, kGap);
  }

  void operator()(const PlanSpeech& speech) {
    bool is_first = true;
    for (const std::string& sentence : speech.sentences) {
      const Paragraph text = set(sentence, style_.words, style_.width() - kSpeechIndent);
      // The gap to the sentence before is part of the block, so that the rule runs through; it is drawn line by line, so that a
      // page may end between any two.
      const double gap = is_first ? 0 : kSentenceGap;
      const double each = text.height / static_cast<double>(text.marks.size());
      Block block;
      append(block.marks, text.marks, kSpeechIndent, gap);
      block.height = gap + text.height;
      for (std::size_t line = 0; line < text.marks.size(); ++line) {
        const double top = gap + static_cast<double>(line) * each;
        block.marks.emplace_back(RuleMark{1, line == 0 ? 0 : top, 1, top + each, 1.4, Ink::accent});
      }
      put(std::move(block), is_first ? kGap + 1 : 0);
      is_first = false;
    }
  }

  void operator()(const PlanCounts& counts) {
    double widest = 0;
    for (const auto& line : counts.lines) {
      for (const std::string& bar : line)
        widest = std::max(widest, measurer_.measure(bar, style_.fact).width);
    }
    bool is_first = true;
    for (const auto& line : counts.lines) {
      for (Block& row : rows_of(line, widest)) {
        put(std::move(row), is_first ? kGap + 1 : 4);
        is_first = false;
      }
    }
  }

  void operator()(const PlanPoints& points) {
    bool is_first = true;
    for (const std::string& point : points.points) {
      Block block;
      const Paragraph text = set(point, style_.body, style_.width() - kPointIndent);
      const auto& first = std::get<TextMark>(text.marks.front());
      block.marks.emplace_back(
          DiscMark{3, first.baseline - style_.body.size * 0.32, 1.5, Ink::accent, std::nullopt, 0});
      append(block.marks, text.marks, kPointIndent, 0);
      block.height = text.height;
      put(std::move(block), is_first ? kGap : 2.5);
      is_first = false;
    }
  }

  void operator()(const PlanRows& rows) {
    const double widest = label_width(rows);
    bool is_first = true;
    for (const PlanRow& row : rows.rows) {
      const Paragraph label = set_paragraph(row.label, kLabel, Ink::dark, widest, style_.leading,
                                            Role::paragraph, measurer_);
      const double x = widest + 10;
      const Paragraph text = set(row.text, style_.body, style_.width() - x);
      Block block;
      // Both begin on one line.
      const double down = std::get<TextMark>(text.marks.front()).baseline -
                          std::get<TextMark>(label.marks.front()).baseline;
      append(block.marks, label.marks, 0, std::max(0.0, down));
      append(block.marks, text.marks, x, std::max(0.0, -down));
      block.height =
          std::max(label.height + std::max(0.0, down), text.height + std::max(0.0, -down));
      put(std::move(block), is_first ? kGap : 2.5);
      is_first = false;
    }
  }

  void operator()(const PlanShapes& shapes) {
    const auto window = window_of_shapes(lesson_);
    if (!window) return;
    const double column =
        (style_.width() - (kShapesInARow - 1) * style_.column_gap) / kShapesInARow;
    for (std::size_t first = 0; first < shapes.shapes.size(); first += kShapesInARow) {
      const std::size_t end = std::min(first + kShapesInARow, shapes.shapes.size());
      std::vector<Block> cells;
      Block row;
      for (std::size_t i = first; i < end; ++i) {
        cells.push_back(shape_picture(lesson_.shapes[shapes.shapes[i].shape], *window,
                                      lesson_.note_names, column, style_, measurer_));
        row.height = std::max(row.height, cells.back().height);
      }
      for (std::size_t i = 0; i < cells.size(); ++i) {
        append(row.marks, cells[i].marks, static_cast<double>(i) * (column + style_.column_gap),
               row.height - cells[i].height);
      }
      put(std::move(row), kGap + 2);
    }
  }

 private:
  Paragraph set(std::string_view text, const Font& font, double width) const {
    return set_paragraph(text, font, Ink::black, width, style_.leading, Role::paragraph, measurer_);
  }

  void put(Block block, double space) {
    block.space_before = space;
    groups_.back().push_back(std::move(block));
  }

  Block head() const {
    Stack stack;
    stack.add(set_paragraph(document_.title, style_.title, Ink::black, style_.width(), 1.16,
                            Role::title, measurer_));
    stack.space(1);
    stack.add(set(document_.kind, kKind, style_.width()));
    stack.space(3);
    if (!document_.writers.empty()) stack.add(set(document_.writers, style_.body, style_.width()));
    if (!document_.rights.empty())
      stack.add(set_paragraph(document_.rights, style_.note, Ink::dark, style_.width(),
                              style_.leading, Role::paragraph, measurer_));
    stack.space(8);
    stack.add({RuleMark{0, 0, style_.width(), 0, 0.6, Ink::black}}, 5);
    stack.add(set(document_.facts, style_.fact, style_.width()));
    stack.space(3);
    return std::move(stack).done();
  }

  double label_width(const PlanRows& rows) const {
    double out = 14;
    for (const PlanRow& row : rows.rows)
      out = std::max(out, measurer_.measure(row.label, kLabel).width + 1);
    return std::min(out, style_.width() / 4);
  }

  // The bars of one line between bar lines, as many beside each other as stay on one line of text.
  std::vector<Block> rows_of(const std::vector<std::string>& bars, double widest) const {
    int most = 4;
    while (most > 1 && style_.width() / most - 2 * kCountPadding < widest) --most;
    // Four bars of which three would fit stand two and two.
    const int number = std::max(static_cast<int>(bars.size()), 1);
    const int rows = (number + most - 1) / most;
    const int columns = number < most ? most : (number + rows - 1) / rows;
    const double column = style_.width() / columns;
    std::vector<Block> out;
    for (std::size_t first = 0; first < bars.size(); first += static_cast<std::size_t>(columns)) {
      const std::size_t end = std::min(first + static_cast<std::size_t>(columns), bars.size());
      Block row;
      for (std::size_t i = first; i < end; ++i) {
        const double x = static_cast<double>(i - first) * column;
        const Paragraph cell = set(bars[i], style_.fact, column - 2 * kCountPadding);
        append(row.marks, cell.marks, x + kCountPadding, 0);
        row.height = std::max(row.height, cell.height);
      }
      for (std::size_t i = first; i <= end; ++i) {
        const double x = std::min(static_cast<double>(i - first) * column, style_.width());
        row.marks.emplace_back(RuleMark{x, 0, x, row.height - 2, 0.6, Ink::grey});
      }
      out.push_back(std::move(row));
    }
    return out;
  }

  const teach::Lesson& lesson_;
  const PlanDocument& document_;
  const SheetStyle& style_;
  const TextMeasurer& measurer_;
  std::vector<Group> groups_;
  bool awaits_first_ = false;  // a heading that nothing has followed yet
};

PlanDocument document_of(const teach::Lesson& lesson, const PlanOptions& options) {
  return options.reader == PlanReader::teacher ? teacher_document(lesson)
                                               : student_document(lesson, options.tracks);
}

}  // namespace

SheetPages lay_out_plan(const teach::Lesson& lesson, const PlanOptions& options,
                        const TextMeasurer& measurer) {
  const PlanDocument document = document_of(lesson, options);
  SheetStyle style = style_for(options.paper);
  style.longest_moved_whole = kLongestMovedWhole;
  return PlanSetter(lesson, document, style, measurer).pages();
}

Result<std::string> plan_pdf(const teach::Lesson& lesson, const PlanOptions& options) {
  Result<SheetFonts> fonts = SheetFonts::open(data::fonts_conf);
  if (!fonts) return tl::unexpected<Diagnostics>(std::move(fonts.error()));
  const PlanDocument document = document_of(lesson, options);
  const SheetPages pages = lay_out_plan(lesson, options, *fonts);
  return draw_pdf(pages, {document.title + ": " + document.kind, document.writers}, *fonts);
}

}  // namespace stillhand::write
