// Blocks: what is set as one piece and never broken; and pages filled with them.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "write/sheet_style.h"
#include "write/sheet_text.h"

namespace stillhand::write {

struct Block {
  Marks marks;  // from (0, 0), the left margin, down
  double height = 0;
  double space_before = 0;      // dropped at the top of a page
  bool keep_with_next = false;  // a heading
};

void append(Marks& to, const Marks& marks, double dx, double dy);

// Stacks paragraphs and marks downwards into one block.
class Stack {
 public:
  Stack& add(const Paragraph& paragraph, double x = 0);
  Stack& add(const Marks& marks, double height, double x = 0);
  Stack& space(double points);
  double height() const { return block_.height; }
  Block done() && { return std::move(block_); }

 private:
  Block block_;
};

// A group is kept on one page where it fits there and is no longer than most of a page; else it is
// broken between its blocks.
using Group = std::vector<Block>;
// The same as groups of one block each, a heading with the block that follows it: broken wherever a page ends.
std::vector<Group> block_by_block(Group group);
std::vector<Marks> fill_pages(const std::vector<Group>& groups, const SheetStyle& style);

// A heading under a rule with something light after it, or below it where it does not fit.
Block set_heading(std::string_view text, std::string_view after, const SheetStyle& style,
                  const TextMeasurer& measurer);

// Signs with their meaning, one after the other, in as many rows as they need; from one baseline to the next `row` points.
struct LegendItem {
  Marks sign;  // drawn from x = 0, about a baseline at y = 0
  double sign_width = 0;
  std::string text;
  std::string says = {};  // the sign itself, in words
};
Block set_signs(const std::vector<LegendItem>& items, const SheetStyle& style,
                const TextMeasurer& measurer, double row);

// The running title and "2 of 3" at the foot of each page.
void add_feet(SheetPages& pages, std::string_view title, const SheetStyle& style,
              const TextMeasurer& measurer);

}  // namespace stillhand::write
