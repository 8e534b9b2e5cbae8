#include "teach/other_keys.h"

#include <gtest/gtest.h>

#include <set>
#include <string>
#include <vector>

namespace stillhand::teach {
namespace {

using music::Semitones;

Arranged arranged(const std::string& text, const Wishes& wishes = {}) {
  Diagnostics remarks;
  auto song = load_for(text, "quay", wishes, remarks);
  EXPECT_TRUE(song);
  auto out = arrange_loaded(std::move(*song), wishes, remarks);
  EXPECT_TRUE(out);
  return *out;
}

std::vector<std::string> keys(const std::vector<Lesson>& lessons) {
  std::vector<std::string> out;
  for (const Lesson& lesson : lessons) out.push_back(music::text(lesson.tonality));
  return out;
}

using Keys = std::vector<std::string>;
const std::string kSong = "key A\nsection Verse\n| A | D E/G# |\n";

TEST(OtherKeys, AreThoseWithinReach) {
  const Arranged own = arranged(kSong);
  EXPECT_EQ(keys(in_other_keys(own, {}, Semitones(0))), Keys{});
  EXPECT_EQ(keys(in_other_keys(own, {}, kUsualReach)), (Keys{"G", "Ab", "Bb", "B"}));
  const Keys all = keys(in_other_keys(own, {}, kAllKeys));
  EXPECT_EQ(all.size(), 11U);
  EXPECT_EQ(std::set<std::string>(all.begin(), all.end()).size(), 11U);
}

TEST(OtherKeys, AreArrangedLikeACallForThem) {
  const Arranged own = arranged(kSong);
  Wishes in_g;
  in_g.key = music::parse_tonality("G");
  const Lesson called = lesson_of(arranged(kSong, in_g));
  const Lesson found = in_other_keys(own, {}, kUsualReach).front();
  EXPECT_EQ(found.cost, called.cost);
  ASSERT_EQ(found.shapes.size(), called.shapes.size());
  for (std::size_t i = 0; i < found.shapes.size(); ++i) {
    EXPECT_EQ(found.shapes[i].chord, called.shapes[i].chord);
    EXPECT_EQ(found.shapes[i].shape, called.shapes[i].shape);
  }
  EXPECT_EQ(found.performance.notes, called.performance.notes);
}

// The key that was asked for is the song's own here, and the reach is counted from it.
TEST(OtherKeys, LieAroundTheKeyThatWasAskedFor) {
  Wishes in_g;
  in_g.key = music::parse_tonality("G");
  EXPECT_EQ(keys(in_other_keys(arranged(kSong, in_g), in_g, Semitones(1))), (Keys{"F#", "Ab"}));
}

TEST(ShortestWay, IsAtMostSixUp) {
  const auto tonality = [](const char* text) { return *music::parse_tonality(text); };
  EXPECT_EQ(shortest_way(tonality("D"), tonality("D")), Semitones(0));
  EXPECT_EQ(shortest_way(tonality("D"), tonality("C")), Semitones(-2));
  EXPECT_EQ(shortest_way(tonality("D"), tonality("G")), Semitones(5));
  EXPECT_EQ(shortest_way(tonality("D"), tonality("Ab")), Semitones(6));
  EXPECT_EQ(shortest_way(tonality("D"), tonality("A")), Semitones(-5));
}

}  // namespace
}  // namespace stillhand::teach
