// The printed sheets: one lesson as a PDF or as SVG pages, without staff notation.
//
//   Result<std::string> pdf = write::sheet_pdf(lesson, {Paper::letter});
//   write_file("sheet.pdf", *pdf);
//   Result<std::vector<std::string>> pages = write::sheet_svg(lesson, {.print = Print::large});
//
// The same lesson gives the same bytes with the same versions of cairo, pango and the fonts. The
// text can be selected and searched; title and author stand in the document's properties.
// Errors (Fault::file): a font is missing.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "teach/lesson.h"
#include "write/sheet_layout.h"
#include "write/sheet_style.h"

namespace stillhand::write {

enum class Paper { a4, letter };
std::optional<Paper> paper_named(std::string_view name);  // "A4", "a4", "Letter", "letter"

// What a sheet is about.
enum class SheetKind {
  song,     // the song with its hands: shapes, left hand, chords over counts and words, moves
  numbers,  // the song alone, its chords as degrees of the key, for any key
  moves,    // every shape and every move of the right hand, as pictures
};
std::string_view name(SheetKind kind);  // "song", "numbers", "moves"
std::optional<SheetKind> sheet_kind_named(std::string_view wanted);
const std::vector<SheetKind>& all_sheet_kinds();

std::optional<Print> print_named(std::string_view wanted);  // "normal", "large"

struct SheetOptions {
  Paper paper = Paper::a4;
  SheetKind kind = SheetKind::song;
  Print print = Print::normal;
  ChordWriting chords = ChordWriting::letters;  // of the song sheet; a number chart has numbers
};

Result<std::string> sheet_pdf(const teach::Lesson& lesson, const SheetOptions& options);
// One document for each page.
Result<std::vector<std::string>> sheet_svg(const teach::Lesson& lesson,
                                           const SheetOptions& options);

// The pages of any kind before they are drawn; the one place that knows which kind is laid out by what.
SheetPages lay_out(const teach::Lesson& lesson, const SheetOptions& options,
                   const TextMeasurer& measurer);

// The sizes used for a paper and a print.
SheetStyle style_for(Paper paper, Print print = Print::normal);

}  // namespace stillhand::write
