// How many requests the desk takes, so that a page or program that has gone wild does not keep it from the teacher: a bucket of
// tokens, one for each request, filled at a steady rate.
//
//   Pace pace;
//   if (const auto wait = pace.refusal(Pace::Clock::now())) …      come again in *wait; nullopt: it may come in
//
// Only requests that know the secret are counted, so that nobody else can use it up. May be called by several threads at once.
#pragma once

#include <chrono>
#include <mutex>
#include <optional>

namespace stillhand::desk {

// Far above what typing in several windows makes, about 60 requests a second; the 50 clients of the tests stay below it. Our
// judgement.
struct PaceLimits {
  int a_second = 400;  // 0: no more than at once
  int at_once = 4000;  // after a rest
};

class Pace {
 public:
  using Clock = std::chrono::steady_clock;
  explicit Pace(PaceLimits limits = {}) : limits_(limits), left_(limits.at_once) {}
  std::optional<std::chrono::seconds> refusal(Clock::time_point now);  // at least 1 s

 private:
  PaceLimits limits_;
  std::mutex busy_;
  double left_;
  std::optional<Clock::time_point> last_;
};

}  // namespace stillhand::desk
