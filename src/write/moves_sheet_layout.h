// The layout of the sheet of shapes and moves: a pure function from a lesson to marks on pages.
//
//   SheetPages pages = lay_out_moves(lesson, for_moves(style_for(Paper::a4)), measurer);
//
// Order: title; every shape of the right hand; what the marks mean; the hardest moves (Lesson::hardest) and then the others,
// hardest first: by what they ask, then by their index of difficulty, then as in the lesson; the optional ones last under
// their own heading. A move and its way back are the same fingers on the same keys, so they are one picture, told in the
// harder direction.
#pragma once

#include <vector>

#include "teach/lesson.h"
#include "write/sheet_style.h"
#include "write/sheet_text.h"

namespace stillhand::write {

SheetPages lay_out_moves(const teach::Lesson& lesson, const SheetStyle& style,
                         const TextMeasurer& measurer);

// The sheet's sizes with keyboards large enough for two shapes on one.
SheetStyle for_moves(SheetStyle style);

}  // namespace stillhand::write
