#include "desk/pace.h"

#include <algorithm>
#include <cmath>

namespace stillhand::desk {

std::optional<std::chrono::seconds> Pace::refusal(Clock::time_point now) {
  const std::lock_guard lock(busy_);
  if (last_ && now > *last_) {
    const std::chrono::duration<double> rest = now - *last_;
    left_ = std::min<double>(limits_.at_once, left_ + rest.count() * limits_.a_second);
  }
  if (!last_ || now > *last_) last_ = now;
  if (left_ >= 1) {
    left_ -= 1;
    return std::nullopt;
  }
  if (limits_.a_second <= 0) return std::chrono::seconds(1);
  const double wait = (1 - left_) / limits_.a_second;
  return std::chrono::seconds(std::max<long>(1, std::lround(std::ceil(wait))));
}

}  // namespace stillhand::desk
