// A performance's notes played on the synthesiser, block by block, without click and at whatever level
// they come out.
//
//   Result<Rendered> done = render_notes(performance, 100, synth, take_block, progress);
#pragma once

#include <cstdint>
#include <functional>
#include <span>

#include "base/result.h"
#include "perform/performance.h"
#include "write/audio_synth.h"

namespace stillhand::write {

struct Rendered {
  std::int64_t frames = 0;
  float highest = 0;  // of all samples, without sign
};

// What becomes of each piece of sound; an error stops the rendering.
using TakeSound = std::function<Result<void>(std::span<const float> interleaved_stereo)>;
// How much is done, 0–1.
using RenderProgress = std::function<void(double part)>;

// Each key is struck at the start of the block nearest to perform::seconds. After the end the last
// sound may die away, four seconds at most.
Result<Rendered> render_notes(const perform::Performance& performance, int tempo_percent,
                              Synth& synth, const TakeSound& take, const RenderProgress& progress);

}  // namespace stillhand::write
