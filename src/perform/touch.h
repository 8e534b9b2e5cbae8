// How keys are struck and let go. Inside the room; all our judgement, out of 127: the first count of a bar leads, the bass
// carries, repeats step back.
#pragma once

#include "perform/performance.h"

namespace stillhand::perform {

inline constexpr Velocity kFirstOfBar{84};
inline constexpr Velocity kChordChange{78};
inline constexpr Velocity kRepeat{64};
inline constexpr Velocity kBass{80};
inline constexpr Velocity kFigure{70};  // the left hand's other tones and a walk
inline constexpr int kBarsOfCountIn = 2;
// A key is let go this part of a count before the next stroke.
inline constexpr int kReleasePart = 16;

}  // namespace stillhand::perform
