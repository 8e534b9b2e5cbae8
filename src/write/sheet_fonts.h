// The fonts of the sheet, found through our own font configuration (data/fonts.conf) and not
// through the user's, so that every run sets the same page; and the measurer made of them.
//
//   Result<SheetFonts> fonts = SheetFonts::open(data::fonts_conf);
//   fonts->measure("Lamps", {Face::serif, 11.5}).width
//
// One thread at a time: measuring remembers what it has measured. Several threads open one each.
// Errors (Fault::file): a font is missing; the message names the Debian package that has it.
#pragma once

#include <memory>
#include <string_view>

#include "base/result.h"
#include "write/sheet_text.h"

// As in cairo.h, whose name this is. NOLINTNEXTLINE(clang-diagnostic-reserved-identifier)
using cairo_t = struct _cairo;

namespace stillhand::write {

class SheetFonts : public TextMeasurer {
 public:
  static Result<SheetFonts> open(std::string_view configuration);
  SheetFonts(SheetFonts&&) noexcept;
  SheetFonts& operator=(SheetFonts&&) noexcept;
  ~SheetFonts() override;

  TextSize measure(std::string_view text, const Font& font) const override;
  // Draws one line with its left end at (x, baseline) in the current colour.
  void draw(cairo_t* cairo, std::string_view text, const Font& font, double x,
            double baseline) const;

 private:
  struct Parts;
  explicit SheetFonts(std::unique_ptr<Parts> parts);
  std::unique_ptr<Parts> parts_;
};

}  // namespace stillhand::write
