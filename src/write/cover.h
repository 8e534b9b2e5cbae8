// The picture that a player shows for a lesson's tracks: the title, an octave of keys with a disc on the song's home
// note, key and meter. A PNG of 600 × 600, a few KB, the same bytes with the same versions of cairo, pango and the fonts.
//
//   Result<std::string> png = cover_png(lesson);
//
// Errors (Fault::file): a font is missing, as for the sheet.
#pragma once

#include <string>

#include "base/result.h"
#include "teach/lesson.h"

namespace stillhand::write {

Result<std::string> cover_png(const teach::Lesson& lesson);

}  // namespace stillhand::write
