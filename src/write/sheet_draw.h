// Draws a display list as a PDF.
#pragma once

#include <string>

#include "write/sheet_fonts.h"
#include "write/sheet_page.h"

namespace stillhand::write {

struct DocumentProperties {
  std::string title;
  std::string author;
};

std::string draw_pdf(const SheetPages& pages, const DocumentProperties& properties,
                     const SheetFonts& fonts);

}  // namespace stillhand::write
