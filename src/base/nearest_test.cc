#include "base/nearest.h"

#include <gtest/gtest.h>

namespace stillhand {
namespace {

TEST(Nearest, CountsChangesAndSwaps) {
  EXPECT_EQ(edit_distance("", "abc"), 3);
  EXPECT_EQ(edit_distance("chorus", "chorus"), 0);
  EXPECT_EQ(edit_distance("chrous", "chorus"), 1);
  EXPECT_EQ(edit_distance("verse", "vers"), 1);
  EXPECT_EQ(edit_distance("kitten", "sitting"), 3);
}

TEST(Nearest, FindsTheLikelyWordOrNone) {
  EXPECT_EQ(nearest("chrous", {"Verse 1", "Chorus"}), "Chorus");
  EXPECT_EQ(nearest("xyz", {"Verse 1", "Chorus"}), std::nullopt);
  EXPECT_EQ(nearest("Verse", {"Verse 1", "Verse 2"}), "Verse 1") << "the first of equally near";
  EXPECT_EQ(nearest(std::string(1000, 'a'), {"Chorus"}), std::nullopt);
  EXPECT_EQ(nearest("", {}), std::nullopt);
}

TEST(Nearest, LowerCaseLeavesOtherCharactersAlone) {
  EXPECT_EQ(lower_case("Vérse É1"), "vérse É1");
}

}  // namespace
}  // namespace stillhand
