// The sheet of shapes and moves: every shape of the right hand, and every move as two shapes on one keyboard with its words,
// the hardest first. What a student has on the music desk while the hands learn a song.
//
//   Result<std::string> pdf = write::moves_sheet_pdf(lesson, {Paper::letter});
//
// The same lesson gives the same bytes, as with sheet_pdf. Errors (Fault::file): a font is missing.
#pragma once

#include <string>

#include "base/result.h"
#include "teach/lesson.h"
#include "write/sheet.h"

namespace stillhand::write {

Result<std::string> moves_sheet_pdf(const teach::Lesson& lesson, const SheetOptions& options);

}  // namespace stillhand::write
