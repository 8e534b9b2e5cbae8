#include "write/sung_words.h"

#include <gtest/gtest.h>

namespace stillhand::write {
namespace {

TEST(SungWords, AreReadWithoutTheirSyllables) {
  EXPECT_EQ(joined_syllables("qui-et quay,"), "quiet quay,");
  EXPECT_EQ(joined_syllables("a-maz-ing"), "amazing");
  EXPECT_EQ(joined_syllables("a- maz-ing"), "amazing");
  EXPECT_EQ(joined_syllables("home a-"), "home a");
  EXPECT_EQ(joined_syllables("\xC3\xBC-ber"),
            "\xC3\xBC"
            "ber");
  EXPECT_EQ(joined_syllables("-"), "-");
  EXPECT_EQ(joined_syllables("oh - oh"), "oh - oh");
  EXPECT_EQ(joined_syllables("1-2"), "1-2");
  EXPECT_EQ(joined_syllables(""), "");
}

}  // namespace
}  // namespace stillhand::write
