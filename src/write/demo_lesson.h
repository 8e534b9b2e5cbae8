// For the tests of this room: lessons made by hand, so that writers are tested without the rooms
// before them.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "teach/lesson.h"

namespace stillhand::write::test {

// "Lamps Along the Quay": D major, 4/4, four sections, an option, a pick-up, a repeat with endings,
// slash chords, a chord held over a bar line. Our own words.
teach::Lesson demo_lesson();

// Anything a layout may meet: words of any length and script, sixty shapes, sixteen chords in a bar,
// bad bytes. The same seed gives the same lesson.
teach::Lesson random_lesson(unsigned seed);

// Whatever captions and tables may meet: any meter and tempo, changes of meter, pick-ups, chords as
// short as a sixth of a count, words and names as in random_lesson; no notes. The same seed gives the same.
perform::Performance random_performance(unsigned seed);

// One shape of a lesson: shape("G", "G3 B3 D4", {1, 3, 5}).
teach::TaughtShape shape(const std::string& chord, std::string_view pitches,
                         const std::vector<int>& fingers);

// A bar of 4/4: chords share it evenly.
teach::SheetBar bar(const std::vector<std::string>& chords, const std::string& words);

}  // namespace stillhand::write::test
