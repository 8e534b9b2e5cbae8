#include "write/sheet.h"

#include "write/embedded.h"
#include "write/moves_sheet_layout.h"
#include "write/sheet_draw.h"
#include "write/sheet_fonts.h"
#include "write/sheet_svg.h"

namespace stillhand::write {
namespace {

// In the window and among the document's properties.
std::string title_of(const teach::Lesson& lesson, SheetKind kind) {
  const std::string title = one_line(lesson.title);
  switch (kind) {
    case SheetKind::song:
      return title;
    case SheetKind::moves:
      return title.empty() ? "Shapes and moves" : title + ": shapes and moves";
    case SheetKind::numbers:
      break;
  }
  return title.empty() ? "Number chart" : title + ": number chart";
}

struct Drawing {
  SheetFonts fonts;
  SheetPages pages;
  DocumentProperties properties;
};

Result<Drawing> laid_out(const teach::Lesson& lesson, const SheetOptions& options) {
  Result<SheetFonts> fonts = SheetFonts::open(data::fonts_conf);
  if (!fonts) return tl::unexpected<Diagnostics>(std::move(fonts.error()));
  SheetPages pages = lay_out(lesson, options, *fonts);
  return Drawing{std::move(*fonts),
                 std::move(pages),
                 {title_of(lesson, options.kind), one_line(lesson.writers)}};
}

// For the description of a page.
std::string_view about(SheetKind kind) {
  switch (kind) {
    case SheetKind::song:
      return "Song sheet for piano: chords over counts and words, with the keys and fingers of "
             "both "
             "hands";
    case SheetKind::moves:
      return "Shapes and moves of the right hand: keyboard pictures with fingers";
    case SheetKind::numbers:
      break;
  }
  return "Number chart: the song's chords as degrees of its key";
}

}  // namespace

std::optional<Paper> paper_named(std::string_view name) {
  if (name == "A4" || name == "a4") return Paper::a4;
  if (name == "Letter" || name == "letter") return Paper::letter;
  return std::nullopt;
}

std::string_view name(SheetKind kind) {
  switch (kind) {
    case SheetKind::song:
      return "song";
    case SheetKind::moves:
      return "moves";
    case SheetKind::numbers:
      break;
  }
  return "numbers";
}

const std::vector<SheetKind>& all_sheet_kinds() {
  static const std::vector<SheetKind> all{SheetKind::song, SheetKind::numbers, SheetKind::moves};
  return all;
}

std::optional<SheetKind> sheet_kind_named(std::string_view wanted) {
  for (const SheetKind kind : all_sheet_kinds()) {
    if (name(kind) == wanted) return kind;
  }
  return std::nullopt;
}

std::optional<Print> print_named(std::string_view wanted) {
  if (wanted == "normal") return Print::normal;
  if (wanted == "large") return Print::large;
  return std::nullopt;
}

SheetStyle style_for(Paper paper, Print print) {
  SheetStyle style;
  if (paper == Paper::letter) {
    style.page_width = 612;
    style.page_height = 792;
  }
  return print == Print::large ? large(style) : style;
}

SheetPages lay_out(const teach::Lesson& lesson, const SheetOptions& options,
                   const TextMeasurer& measurer) {
  const SheetStyle style = style_for(options.paper, options.print);
  switch (options.kind) {
    case SheetKind::song:
      return lay_out(lesson, style, measurer, Feet::numbered, options.chords);
    case SheetKind::moves:
      return lay_out_moves(lesson, for_moves(style), measurer);
    case SheetKind::numbers:
      break;
  }
  return lay_out_numbers(lesson, style, measurer);
}

Result<std::string> sheet_pdf(const teach::Lesson& lesson, const SheetOptions& options) {
  const Result<Drawing> drawing = laid_out(lesson, options);
  if (!drawing) return tl::unexpected(drawing.error());
  return draw_pdf(drawing->pages, drawing->properties, drawing->fonts);
}

Result<std::vector<std::string>> sheet_svg(const teach::Lesson& lesson,
                                           const SheetOptions& options) {
  const Result<Drawing> drawing = laid_out(lesson, options);
  if (!drawing) return tl::unexpected(drawing.error());
  return draw_svg(drawing->pages, drawing->properties, about(options.kind));
}

}  // namespace stillhand::write
