// Draws a display list as a PDF with tags: texts by their role, pictures with what they say; or one page of marks as a
// picture.
#pragma once

#include <string>
#include <vector>

#include "base/result.h"
#include "write/sheet_fonts.h"
#include "write/sheet_page.h"

namespace stillhand::write {

// In the reader's outline of the document.
struct Bookmark {
  std::string text;
  std::string place;  // of a TextMark
};

struct DocumentProperties {
  std::string title;
  std::string author;
  std::vector<Bookmark> bookmarks = {};
};

// Fails, Fault::file, where the drawing library does: no memory, a page without end.
Result<std::string> draw_pdf(const SheetPages& pages, const DocumentProperties& properties,
                             const SheetFonts& fonts);

// A PNG on paper, a pixel to the point.
std::string draw_png(const Marks& marks, int width, int height, const SheetFonts& fonts);

}  // namespace stillhand::write
