// For the tests of sheets: what must hold of the marks on their pages.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "write/sheet_fonts.h"
#include "write/sheet_page.h"
#include "write/sheet_style.h"

namespace stillhand::write::test {

// Every character is as wide as the next, so that goldens do not hang on installed fonts.
class EvenMeasurer : public TextMeasurer {
 public:
  TextSize measure(std::string_view text, const Font& font) const override;
};

const SheetFonts& fonts();

// Texts that overlap, or that a rule runs through. Finger numbers lie on their keys by intent.
std::vector<std::string> collisions(const SheetPages& pages, const SheetStyle& style);

// What lies beyond the margins.
std::vector<std::string> outside(const SheetPages& pages, const SheetStyle& style);

// One text a line.
std::string all_text(const SheetPages& pages);

}  // namespace stillhand::write::test
