// The performance of a lesson for players in a browser, in milliseconds at 100 % from the first moment of the count-in.
//
//   performance_json(lesson)["chords"][0]      {"start": 7272.73, "bar": 0, "chord": 0}
//
// `bars` are those that are played, each with whether a time through its section begins there, and with the moments at which its counts begin; its section, line and bar are indices
// into the lesson's sections. `chords`: `bar` is an index into `bars`, `chord` one into the bar's chords. Then `notes`,
// `pedal` and `clicks`, `count_in` (its length) and `end`. To a hundredth of a millisecond.
#pragma once

#include <nlohmann/json_fwd.hpp>

#include "teach/lesson.h"

namespace stillhand::write {

nlohmann::ordered_json performance_json(const teach::Lesson& lesson);

}  // namespace stillhand::write
