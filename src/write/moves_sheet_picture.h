// A move as a picture: both shapes on one keyboard.
//
//   KeyboardPicture picture = move_picture(window, from, to, names, 236, style, measurer);
//
// A filled disc is a finger where it lies in the first shape, an outlined disc where it goes; an arrow leads from one to
// the other. A key that stays down has a filled disc in a ring; where another finger takes it over, both discs stand in one
// frame. A finger that is lifted has an arrow up and away from its filled disc, one that is added
// an arrow down to its outlined disc. Each disc has its finger number. All is told by form: black and white loses nothing.
#pragma once

#include "hand/shape.h"
#include "music/note_names.h"
#include "write/sheet_blocks.h"
#include "write/sheet_keyboard.h"

namespace stillhand::write {

KeyboardPicture move_picture(const KeyWindow& window, const hand::Shape& from,
                             const hand::Shape& to, music::NoteNames names, double width,
                             const SheetStyle& style, const TextMeasurer& measurer);

// What the marks mean.
Block set_moves_legend(music::NoteNames names, const SheetStyle& style,
                       const TextMeasurer& measurer);

}  // namespace stillhand::write
