#include "teach/length.h"

#include <gtest/gtest.h>

namespace stillhand::teach {
namespace {

TEST(Length, IsSaidInMinutesAndSeconds) {
  EXPECT_EQ(duration_in_words(0), "0 min 00 s");
  EXPECT_EQ(duration_in_words(59.6), "1 min 00 s");
  EXPECT_EQ(duration_in_words(185.2), "3 min 05 s");
  EXPECT_EQ(duration_in_words(3601), "60 min 01 s");
}

}  // namespace
}  // namespace stillhand::teach
