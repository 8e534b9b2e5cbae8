#include "write/sheet_blocks.h"

#include <fmt/format.h>

#include <algorithm>

namespace stillhand::write {
namespace {

// The greatest y up to `limit` where the block can be cut without cutting a mark; `limit` if none.
double cut_at(const Block& block, double limit) {
  const auto is_free = [&](double y) {
    return std::none_of(block.marks.begin(), block.marks.end(), [&](const Mark& mark) {
      const Box box = extent(mark);
      return box.top < y - 0.01 && box.bottom() > y + 0.01;
    });
  };
  double best = 0;
  for (const Mark& mark : block.marks) {
    const double y = extent(mark).bottom() + 0.02;
    if (y > best && y <= limit && is_free(y)) best = y;
  }
  return best > 0 ? best : limit;
}

// The front of a block down to `y`; the rest stays in `block`.
Block cut_off(Block& block, double y) {
  Block front{{}, y, block.space_before, false};
  Marks rest;
  for (const Mark& mark : block.marks) {
    const Box box = extent(mark);
    if (box.top + box.height / 2 < y) {
      front.marks.push_back(mark);
    } else {
      rest.push_back(shifted(mark, 0, -y));
    }
  }
  block.marks = std::move(rest);
  block.height -= y;
  return front;
}

class Filler {
 public:
  explicit Filler(const SheetStyle& style) : style_(style), pages_(1) {}

  void add(const Group& group) {
    const double height = height_of(group.begin(), group.end());
    if (height > room() && height <= style_.longest_moved_whole * style_.height()) new_page();
    for (auto block = group.begin(); block != group.end(); ++block) {
      auto together = block + 1;  // a heading goes with what follows it
      while (together != group.end() && (together - 1)->keep_with_next) ++together;
      if (height_of(block, together) > room()) new_page();
      place_whole_or_cut(*block);
    }
  }

  std::vector<Marks> done() && { return std::move(pages_); }

 private:
  bool at_top() const { return used_ == 0; }
  double room() const { return style_.height() - used_; }

  double height_of(Group::const_iterator from, Group::const_iterator to) const {
    double height = 0;
    for (auto block = from; block != to; ++block) {
      height += block->height + (at_top() && block == from ? 0 : block->space_before);
    }
    return height;
  }

  void new_page() {
    if (at_top()) return;
    pages_.emplace_back();
    used_ = 0;
  }

  // Only what is taller than a page is cut, between its lines of text.
  void place_whole_or_cut(Block block) {
    while (block.height > style_.height()) {
      place(cut_off(block, cut_at(block, style_.height())));
      new_page();
    }
    place(block);
  }

  void place(const Block& block) {
    if (!at_top()) used_ += block.space_before;
    append(pages_.back(), block.marks, style_.margin_side, style_.margin_top + used_);
    used_ += block.height;
  }

  const SheetStyle& style_;
  std::vector<Marks> pages_;
  double used_ = 0;
};

}  // namespace

void append(Marks& to, const Marks& marks, double dx, double dy) {
  for (const Mark& mark : marks) to.push_back(shifted(mark, dx, dy));
}

Stack& Stack::add(const Paragraph& paragraph, double x) {
  return add(paragraph.marks, paragraph.height, x);
}

Stack& Stack::add(const Marks& marks, double height, double x) {
  append(block_.marks, marks, x, block_.height);
  block_.height += height;
  return *this;
}

Stack& Stack::space(double points) {
  block_.height += points;
  return *this;
}

std::vector<Group> block_by_block(Group group) {
  std::vector<Group> out;
  bool goes_with_the_last = false;
  for (Block& block : group) {
    if (!goes_with_the_last) out.emplace_back();
    goes_with_the_last = block.keep_with_next;
    out.back().push_back(std::move(block));
  }
  return out;
}

std::vector<Marks> fill_pages(const std::vector<Group>& groups, const SheetStyle& style) {
  Filler filler(style);
  for (const Group& group : groups) filler.add(group);
  return std::move(filler).done();
}

Block set_heading(std::string_view text, std::string_view after, const SheetStyle& style,
                  const TextMeasurer& measurer) {
  Stack stack;
  stack.add({RuleMark{0, 0, style.width(), 0, 0.6, Ink::black}}, 7 * style.unit);
  const Paragraph name =
      set_paragraph(text, style.section, Ink::black, style.width(), 1.2, Role::heading, measurer);
  stack.add(name);
  Block block = std::move(stack).done();
  if (!after.empty()) {
    const auto& last = std::get<TextMark>(name.marks.back());
    const double x = last.box.right() + 9 * style.unit;
    const TextMark note =
        set_text(after, style.note, Ink::grey, x, last.baseline + 7 * style.unit, measurer);
    if (note.box.right() > style.width()) {
      const Paragraph below = set_paragraph(after, style.note, Ink::grey, style.width(),
                                            style.leading, Role::paragraph, measurer);
      append(block.marks, below.marks, 0, block.height);
      block.height += below.height;
    } else {
      block.marks.push_back(note);
    }
  }
  block.height += 5 * style.unit;
  block.space_before = style.section_gap;
  block.keep_with_next = true;
  return block;
}

Block set_signs(const std::vector<LegendItem>& items, const SheetStyle& style,
                const TextMeasurer& measurer, double row) {
  Block out;
  out.space_before = 6 * style.unit;
  double x = 0;
  double baseline = style.note.size;
  for (const LegendItem& item : items) {
    const double sign = item.sign_width > 0 ? item.sign_width + 4 * style.unit : 0;
    const double width = sign + measurer.measure(item.text, style.note).width;
    if (x > 0 && x + width > style.width()) {
      x = 0;
      baseline += row;
    }
    append(out.marks, item.says.empty() ? item.sign : as_picture(item.sign, item.says), x,
           baseline);
    // What is wider than the page goes on below itself.
    const Paragraph meaning = set_paragraph(item.text, style.note, Ink::dark, style.width() - sign,
                                            1.6, Role::paragraph, measurer);
    append(out.marks, meaning.marks, x + sign, baseline - style.note.size * 0.80);
    baseline += std::get<TextMark>(meaning.marks.back()).baseline - style.note.size * 0.80;
    x += width + 18 * style.unit;
  }
  out.height = baseline + style.note.size * 0.4;
  return out;
}

void add_feet(SheetPages& pages, std::string_view title, const SheetStyle& style,
              const TextMeasurer& measurer) {
  const double baseline = style.page_height - 26;
  const double end = style.page_width - style.margin_side;
  for (std::size_t i = 0; i < pages.pages.size(); ++i) {
    const std::string place = fmt::format("{} of {}", i + 1, pages.pages.size());
    TextMark number = set_text(place, style.note, Ink::grey, 0, baseline, measurer);
    number.role = Role::foot;
    const double room = style.width() - number.box.width - 20;
    TextMark name = set_text(fitted(title, style.note, room, measurer), style.note, Ink::grey,
                             style.margin_side, baseline, measurer);
    name.role = Role::foot;
    pages.pages[i].push_back(name);
    pages.pages[i].push_back(shifted(number, end - number.box.width, 0));
  }
}

}  // namespace stillhand::write
