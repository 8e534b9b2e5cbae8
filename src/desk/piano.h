// The piano that the page plays: write/piano_samples.h, made at the first request and kept.
//
//   Piano piano;
//   piano.list();         {"keys": [28, 31, …], "milliseconds": 4000}
//   piano.sample("31");   audio/flac
//   piano.samples();      for a page that has its own; nullptr without a sound font
//
// 503 without a sound font; it is looked for again at the next request. May be called by several threads at once.
#pragma once

#include <memory>
#include <mutex>
#include <optional>
#include <string_view>

#include "desk/answer.h"
#include "write/page.h"

namespace stillhand::desk {

class Piano {
 public:
  Answer list();
  Answer sample(std::string_view key);
  std::shared_ptr<const write::PianoSamples> samples();

 private:
  std::optional<Answer> make();  // what went wrong

  std::mutex busy_;
  std::shared_ptr<const write::PianoSamples> samples_;
};

}  // namespace stillhand::desk
