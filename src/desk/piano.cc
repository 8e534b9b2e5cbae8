#include "desk/piano.h"

#include <nlohmann/json.hpp>
#include <string>

#include "write/audio.h"

namespace stillhand::desk {

std::optional<Answer> Piano::make() {
  if (samples_) return std::nullopt;
  const auto font = write::find_sound_font({});
  if (!font) {
    return problem(Status::no_sound_font, "no sound font is installed",
                   "install the Debian package fluid-soundfont-gm");
  }
  auto made = write::piano_samples(*font);
  if (!made) return problem(made.error());
  samples_ = std::make_shared<const write::PianoSamples>(std::move(*made));
  return std::nullopt;
}

Answer Piano::list() {
  const std::lock_guard lock(busy_);
  if (auto fault = make()) return *fault;
  Json keys = Json::array();
  for (const write::PianoSample& sample : *samples_) keys.push_back(sample.key.number());
  return answer({{"keys", std::move(keys)}, {"milliseconds", write::kSampleMilliseconds}});
}

Answer Piano::sample(std::string_view key) {
  const std::lock_guard lock(busy_);
  if (auto fault = make()) return *fault;
  for (const write::PianoSample& sample : *samples_) {
    if (std::to_string(sample.key.number()) == key) return {Status::ok, "audio/flac", sample.flac};
  }
  return problem(Status::not_found, "there is no sample of this key", "see /api/piano");
}

std::shared_ptr<const write::PianoSamples> Piano::samples() {
  const std::lock_guard lock(busy_);
  (void)make();
  return samples_;
}

}  // namespace stillhand::desk
