#include "hand/finger.h"

#include <array>

namespace stillhand::hand {

std::string_view name(Finger finger) {
  constexpr std::array<std::string_view, 6> names{"",         "thumb",    "finger 2",
                                                  "finger 3", "finger 4", "little finger"};
  return names[static_cast<std::size_t>(finger.number())];
}

}  // namespace stillhand::hand
