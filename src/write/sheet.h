// The printed sheet: one lesson as a PDF, without staff notation.
//
//   Result<std::string> pdf = write::sheet_pdf(lesson, {Paper::letter});
//   write_file("sheet.pdf", *pdf);
//
// The same lesson gives the same bytes with the same versions of cairo, pango and the fonts. The
// text can be selected and searched; title and author stand in the document's properties.
// Errors (Fault::file): a font is missing.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "base/result.h"
#include "teach/lesson.h"
#include "write/sheet_style.h"

namespace stillhand::write {

enum class Paper { a4, letter };
std::optional<Paper> paper_named(std::string_view name);  // "A4", "a4", "Letter", "letter"

struct SheetOptions {
  Paper paper = Paper::a4;
};

Result<std::string> sheet_pdf(const teach::Lesson& lesson, const SheetOptions& options);

// The sizes used for a paper.
SheetStyle style_for(Paper paper);

}  // namespace stillhand::write
