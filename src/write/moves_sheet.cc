#include "write/moves_sheet.h"

#include "write/embedded.h"
#include "write/moves_sheet_layout.h"
#include "write/sheet_draw.h"
#include "write/sheet_fonts.h"

namespace stillhand::write {

Result<std::string> moves_sheet_pdf(const teach::Lesson& lesson, const SheetOptions& options) {
  Result<SheetFonts> fonts = SheetFonts::open(data::fonts_conf);
  if (!fonts) return tl::unexpected<Diagnostics>(std::move(fonts.error()));
  const SheetPages pages = lay_out_moves(lesson, for_moves(style_for(options.paper)), *fonts);
  const std::string title = one_line(lesson.title);
  return draw_pdf(
      pages,
      {(title.empty() ? "Untitled" : title) + ": shapes and moves", one_line(lesson.writers)},
      *fonts);
}

}  // namespace stillhand::write
