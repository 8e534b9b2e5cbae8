// What a section asks of the right hand: its shapes and its moves, in the order in which they are first needed.
//
//   SectionUse use = section_use(lesson, 0);
//   use.shapes        // indices into Lesson::shapes
//   use.moves         // indices into Lesson::moves, with the bar where each is first made
//
// Read from the bars as written, repeats and endings included; moves from one section to the next are no part of it
// (joins). Linear in the number of chords times the number of moves.
#pragma once

#include <optional>
#include <vector>

#include "teach/lesson.h"

namespace stillhand::teach {

struct UsedMove {
  std::size_t move = 0;  // index into Lesson::moves
  int bar = 0;           // of the chord moved to, counted as printed: from 1, pick-ups 0
};

struct SectionUse {
  std::vector<std::size_t> shapes;  // each once
  std::vector<UsedMove> moves;      // each once
  std::optional<std::size_t> first_shape, last_shape;
};

SectionUse section_use(const Lesson& lesson, std::size_t section);
// The same of its first `lines` typed lines.
SectionUse section_use(const Lesson& lesson, std::size_t section, std::size_t lines);

// The same of an `or` line, with the ways into it from the bar before and out of it into the bar after.
SectionUse option_use(const Lesson& lesson, std::size_t section, std::size_t line,
                      std::size_t option);

// The move from one shape to another, if the lesson has it.
std::optional<std::size_t> find_move(const Lesson& lesson, std::size_t from, std::size_t to);

// The sections in the order in which the road map first comes to them; of no road map, or one that names none of them, as
// written. Indices into Lesson::sections.
std::vector<std::size_t> played_order(const Lesson& lesson);

// The number of a typed line as one speaks of it: "Verse, line 1" is the first with a whole bar. A pick-up typed on a line
// of its own belongs to the line after it and has that line's number.
std::size_t line_number(const SheetSection& section, std::size_t line);

// Nothing but a pick-up.
bool is_pick_up_alone(const SheetLine& line);

// One way from a section into the next, or into itself, as the road map takes it.
struct Join {
  std::size_t from = 0, to = 0;  // indices into Lesson::sections
  friend bool operator==(const Join&, const Join&) = default;
};
std::vector<Join> joins(const Lesson& lesson);  // each once

}  // namespace stillhand::teach
