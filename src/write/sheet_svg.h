// Draws a display list as SVG, one document for each page, in which text stays text.
//
//   std::vector<std::string> pages = draw_svg(sheet, {"Lamps Along the Quay", "…"}, "song sheet");
//
// Fonts are named, not embedded, with others to fall back on; each text has the width that was measured for it
// (textLength), so that another font cannot run into what stands beside it. Standard: SVG 1.1 (W3C, 2011).
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "write/sheet_draw.h"
#include "write/sheet_page.h"

namespace stillhand::write {

// `about` says what kind of sheet it is, for the description.
std::vector<std::string> draw_svg(const SheetPages& pages, const DocumentProperties& properties,
                                  std::string_view about);

}  // namespace stillhand::write
