// The piano that the page plays: write/piano_samples.h, made at the first request and kept.
//
//   Piano piano;
//   piano.list();         {"keys": [28, 31, …], "milliseconds": 4000}
//   piano.sample("31");   audio/flac
//
// 503 without a sound font; it is looked for again at the next request. May be called by several threads at once.
#pragma once

#include <mutex>
#include <optional>
#include <string_view>
#include <vector>

#include "desk/answer.h"
#include "write/piano_samples.h"

namespace stillhand::desk {

class Piano {
 public:
  Answer list();
  Answer sample(std::string_view key);

 private:
  std::optional<Answer> make();  // what went wrong

  std::mutex busy_;
  std::vector<write::PianoSample> samples_;
};

}  // namespace stillhand::desk
