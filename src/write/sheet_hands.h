// The upper part of the sheet: road map, left-hand positions, and the shapes of the right hand.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "teach/lesson.h"
#include "write/sheet_blocks.h"
#include "write/sheet_keyboard.h"

namespace stillhand::write {

// The page grid: `columns` columns as wide as a keyboard picture.
struct Grid {
  int columns = 4;
  double column = 0;  // width of one
  double gap = 0;
  double x(int index) const { return index * (column + gap); }
};

// Road map and left hand in the first column beside the shapes where that is short; else below each
// other over the whole width.
// The patterns come after them, in whatever room is left. A left hand that is written into the bars has one picture of all its bass
// notes.
std::vector<Group> set_hands(const teach::Lesson& lesson, const ChordNaming& naming,
                             const SheetStyle& style, const TextMeasurer& measurer);

// The road map alone, over the whole width.
Group set_road_map(const teach::Lesson& lesson, const SheetStyle& style,
                   const TextMeasurer& measurer);

// A window that shows every shape of the right hand, so that their pictures can be compared; nullopt: no shapes.
std::optional<KeyWindow> window_of_shapes(const teach::Lesson& lesson);

// One shape: its chord, which inversion it is and where it is played, and its keyboard picture. `degrees`: the chord's degrees of
// the key, where they are to be named.
Block shape_picture(const teach::TaughtShape& taught, const KeyWindow& window,
                    music::NoteNames names, double width, const SheetStyle& style,
                    const TextMeasurer& measurer, std::string_view degrees = {});

// "notes: German (H, B)"; nothing for English names.
std::string names_in_words(music::NoteNames names);

// What the marks of the sheet mean.
Block set_legend(const teach::Lesson& lesson, const ChordNaming& naming, const SheetStyle& style,
                 const TextMeasurer& measurer);
// The same of the number chart.
Block set_number_legend(const teach::Lesson& lesson, const SheetStyle& style,
                        const TextMeasurer& measurer);

}  // namespace stillhand::write
