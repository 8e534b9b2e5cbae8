// The teaching plan of one song: what is introduced in which order and why, what to say, what to count aloud, where to
// stop and repeat, and how long each step takes.
//
//   Plan plan = teaching_plan(lesson);
//   for (const Sitting& sitting : plan.sittings)
//     for (const Step& step : sitting.steps) …
//
// Order (common practice, no source): listen and sing; clap and count; then section by section, as the road map comes to
// them: its new shapes, two or three at a time, with the moves between them; its place of the left hand; the section in
// time (line by line where it needs more than three new shapes), right hand, left hand, both at 50 to 60 % of the tempo.
// Then the ways from section to section, the pattern, the pedal, the whole song. What may be left out stands apart, each
// with what is played instead.
//
// - Every shape, move, place of the left hand, pattern and section of the lesson is introduced in exactly one step, and
//   before any step that needs it.
// - Minutes are our judgement, from counts that stand in plan.cc. They add up: a sitting's are those of its steps.
// - A sitting ends before 20 minutes are over and before a fifth new shape (common practice, no source), except that a
//   longer step stands alone, or alone behind the recall.
// - All is said in the lesson's note names. Pure: the same lesson gives the same plan.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "base/strong.h"
#include "teach/claims.h"
#include "teach/count_aloud.h"
#include "teach/lesson.h"

namespace stillhand::teach {

struct MinutesTag;
using Minutes = Amount<MinutesTag, int>;

inline constexpr Minutes kLongestSitting{20};
inline constexpr std::size_t kMostNewShapes = 4;  // in one sitting

enum class StepKind {
  listen,
  clap,
  recall,  // the first of every later sitting
  shapes,
  left_hand,
  lines,  // some lines of a section in time, before the whole
  section,
  joins,
  pattern,
  pedal,
  whole_song,
  option,   // an `or` line
  unplayed  // a section that the road map leaves out
};

struct Step {
  StepKind kind = StepKind::listen;
  std::string title;                     // "Two shapes: D and G"
  std::string why = {};                  // "Verse 1 begins with them."
  std::vector<Claim> claims = {};        // behind `why`
  std::vector<std::string> say = {};     // the speaking notes, to the student
  std::vector<std::string> repeat = {};  // where to stop, and what to repeat
  CountAloud counts = {};                // of a section; of an option one line
  // Index into Lesson::sections: the step says that it is counted as this one, and how its end differs.
  std::optional<std::size_t> counted_as = {};
  std::string fallback = {};  // of what is optional: "the plain line: Bm, two, three, four | …"
  Minutes minutes = {};

  // Introduced here: indices into the Lesson's lists.
  std::vector<std::size_t> shapes = {};
  std::vector<std::size_t> moves = {};
  std::vector<std::size_t> positions = {};
  std::vector<std::size_t> patterns = {};
  std::vector<std::size_t> sections = {};  // at most one
};

struct Sitting {
  std::vector<Step> steps;
  Minutes minutes;  // of all steps
};

struct Plan {
  std::vector<Sitting> sittings;
  Minutes minutes;            // of all sittings
  std::vector<Step> options;  // each with its fallback
  Minutes optional_minutes;   // of all of them
};

Plan teaching_plan(const Lesson& lesson);

}  // namespace stillhand::teach
