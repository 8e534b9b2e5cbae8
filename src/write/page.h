// The student's page: one file of HTML for a tablet at the piano, which needs no network and asks for none.
//
//   PageOptions options{.other_keys = teach::in_other_keys(…), .piano = samples};
//   std::string html = page(lesson, options);
//
// In it: the chart with both hands at every chord, what moves, one keyboard; the performance, to be heard slower, hand by
// hand, over and over; the other keys; playing along on a MIDI keyboard; the practice plan. All of it comes from the lessons.
// The script and the look are built from web/student.
//
// Of the piano only the keys go in that some note is nearest to: about 90 kB each, a third more as text. Without samples the
// page plays a plain tone and says so. A strict content policy in the page forbids it every request.
//
// The same lessons and samples give the same bytes. Text that is no valid UTF-8 has its bad bytes replaced by U+FFFD.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "teach/lesson.h"
#include "write/piano_samples.h"

namespace stillhand::write {

using PianoSamples = std::vector<PianoSample>;

struct PageOptions {
  std::vector<teach::Lesson> other_keys = {};      // the same song in other keys
  std::shared_ptr<const PianoSamples> piano = {};  // nullptr: a plain tone
};

std::string page(const teach::Lesson& lesson, const PageOptions& options);

}  // namespace stillhand::write
