#include "write/sheet.h"

#include "write/embedded.h"
#include "write/sheet_draw.h"
#include "write/sheet_fonts.h"
#include "write/sheet_layout.h"

namespace stillhand::write {

std::optional<Paper> paper_named(std::string_view name) {
  if (name == "A4" || name == "a4") return Paper::a4;
  if (name == "Letter" || name == "letter") return Paper::letter;
  return std::nullopt;
}

SheetStyle style_for(Paper paper) {
  SheetStyle style;
  if (paper == Paper::letter) {
    style.page_width = 612;
    style.page_height = 792;
  }
  return style;
}

Result<std::string> sheet_pdf(const teach::Lesson& lesson, const SheetOptions& options) {
  Result<SheetFonts> fonts = SheetFonts::open(data::fonts_conf);
  if (!fonts) return tl::unexpected<Diagnostics>(std::move(fonts.error()));
  const SheetPages pages = lay_out(lesson, style_for(options.paper), *fonts);
  return draw_pdf(pages, {one_line(lesson.title), one_line(lesson.writers)}, *fonts);
}

}  // namespace stillhand::write
