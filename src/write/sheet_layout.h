// The layout of the sheet: a pure function from a lesson to marks on pages.
//
//   SheetPages pages = lay_out(lesson, SheetStyle{}, measurer);
//   SheetPages chart = lay_out_numbers(lesson, SheetStyle{}, measurer);
//
// Order: title and facts; road map, left hand and the shapes of the right hand; the legend; each
// section once (where the pages are too few, sections that differ in their words alone share their bars, and the words stand below each
// other, numbered); what moves; cautions. All stands on one grid of columns as wide as a keyboard
// picture. A page ends between sections, else between lines, never inside a line (a line taller
// than a page excepted).
#pragma once

#include "teach/lesson.h"
#include "write/sheet_style.h"
#include "write/sheet_text.h"

namespace stillhand::write {

enum class Feet { numbered, left_out };  // the running title at the foot of each page

SheetPages lay_out(const teach::Lesson& lesson, const SheetStyle& style,
                   const TextMeasurer& measurer, Feet feet = Feet::numbered,
                   ChordWriting chords = ChordWriting::letters);

// The number chart: title and facts, the degrees of the key, the road map, and each section with numbers; no hands, so that it
// serves any key.
SheetPages lay_out_numbers(const teach::Lesson& lesson, const SheetStyle& style,
                           const TextMeasurer& measurer);

}  // namespace stillhand::write
