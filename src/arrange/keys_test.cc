#include "arrange/keys.h"

#include <gtest/gtest.h>

#include <random>
#include <set>

#include "arrange/embedded.h"
#include "chart/chart.h"
#include "testing/build.h"
#include "testing/random_songs.h"

namespace stillhand::arrange {
namespace {

chart::Song song(const std::string& text) {
  const auto parsed = chart::parse(text, "test");
  EXPECT_TRUE(parsed) << render(parsed.error().front());
  return parsed->song;
}

music::Tonality key(const char* text) { return *music::parse_tonality(text); }

std::vector<std::string> names(const std::vector<music::Tonality>& all) {
  std::vector<std::string> out;
  for (const auto& tonality : all) out.push_back(music::text(tonality));
  return out;
}

const KeyOption& in(const std::vector<KeyOption>& options, const char* tonality) {
  for (const KeyOption& option : options)
    if (option.tonality == key(tonality)) return option;
  ADD_FAILURE() << tonality << " is missing";
  return options.front();
}

TEST(Keys, TwelveUsualNames) {
  const auto major = names(usual_tonalities(testing::song_of("I IV V I", key("G"))));
  EXPECT_EQ(major, (std::vector<std::string>{"C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A",
                                             "Bb", "B"}));
  const auto minor = names(usual_tonalities(testing::song_of("i iv v", key("Am"))));
  EXPECT_EQ(minor, (std::vector<std::string>{"Cm", "C#m", "Dm", "D#m", "Em", "Fm", "F#m", "Gm",
                                             "G#m", "Am", "Bbm", "Bm"}));
}

TEST(Keys, OfTheTwoNamesTheOneThatIsEasierToRead) {
  // F#, C#/E#, C#, A#m have five sharps; Gb, Db/F, Db, Bbm four flats. F# and B have one, Gb and Cb two.
  const auto by_third = usual_tonalities(testing::song_of("I V/7 V iii", key("C")));
  EXPECT_EQ(music::text(by_third[6]), "Gb");
  const auto by_fourth = usual_tonalities(testing::song_of("I IV", key("C")));
  EXPECT_EQ(music::text(by_fourth[6]), "F#");
}

TEST(Keys, EachIsTheTransposedSongArranged) {
  const chart::Song quay = song(
      "key D\nrange A3-B4\nsection A\n| D | G D/F# | Em A | D |\n| Bm | G | Em A7 | D |\n"
      "section B\nkey E\n| E | A B | E | E |\n");
  const auto options = rank_keys(quay, KeyWishes{});
  ASSERT_EQ(options.size(), 12u);
  std::set<int> pitch_classes;
  for (const KeyOption& option : options) {
    pitch_classes.insert(option.tonality.tonic.pitch_class().value());
    const auto moved = chart::transpose(quay, option.tonality);
    ASSERT_TRUE(moved);
    const auto a = arrange(*moved, Choices{});
    ASSERT_TRUE(a);
    EXPECT_EQ(option.cost, a->right.cost) << music::text(option.tonality);
    EXPECT_EQ(option.difficulty.points, difficulty(*a).song.points);
    EXPECT_EQ(quay.tonality.tonic.pitch_class() + option.up, option.tonality.tonic.pitch_class());
  }
  EXPECT_EQ(pitch_classes.size(), 12u);
}

TEST(Keys, ThePartsAreCountedAndAddUp) {
  const auto options = rank_keys(testing::song_of("I IV V I", key("C")), KeyWishes{});
  for (const KeyOption& option : options) {
    Points sum;
    ASSERT_EQ(option.parts.size(), all_key_parts().size());
    for (std::size_t i = 0; i < option.parts.size(); ++i) {
      EXPECT_EQ(option.parts[i].part, all_key_parts()[i]);
      sum += option.parts[i].points;
    }
    EXPECT_EQ(sum, option.points);
  }
  const KeyOption& c = in(options, "C");
  EXPECT_EQ(c.parts[1].value, 0) << "C, F and G have no black key";
  EXPECT_EQ(c.parts[5].value, 0);
  const KeyOption& d_flat = in(options, "Db");
  EXPECT_EQ(d_flat.parts[5].value, 5);
  EXPECT_EQ(d_flat.parts[6].value, 3) << "Db, Gb, Ab";
  EXPECT_LT(c.points, d_flat.points);
}

TEST(Keys, MinorSongs) {
  const auto options = rank_keys(song("key Am\nsection A\n| Am | Dm | E7 | Am |\n"), KeyWishes{});
  ASSERT_EQ(options.size(), 12u);
  for (const KeyOption& option : options) EXPECT_EQ(option.tonality.mode, music::Mode::minor);
  EXPECT_TRUE(in(options, "G#m").can_be_played());
}

TEST(Keys, TheRangeComesBeforeEase) {
  const auto options =
      rank_keys(song("key C\nrange C4-E5\nsection A\n| C | F | G | C |\n"), KeyWishes{});
  bool outside = false;
  for (const KeyOption& option : options) {
    ASSERT_TRUE(option.range);
    EXPECT_FALSE(outside && option.range->fits()) << music::text(option.tonality);
    outside = outside || !option.range->fits();
  }
  EXPECT_EQ(in(options, "C").range->above, music::Semitones(2));
  EXPECT_EQ(in(options, "Bb").range->above, music::Semitones(0));
  EXPECT_TRUE(in(options, "Bb").range->fits());
}

TEST(Keys, AMelodyMayBeSungInAnotherOctave) {
  const auto options =
      rank_keys(song("key G\nrange D4-C5\nsection A\n| G | C | D | G |\n"), KeyWishes{});
  // Five semitones up leaves the range; the same key an octave lower is nearer.
  const KeyOption& c = in(options, "C");
  EXPECT_EQ(c.range->octaves_up, -1);
  EXPECT_EQ(music::text(c.range->melody.lowest), "G3");
  EXPECT_EQ(c.range->below, music::Semitones(2));
}

TEST(Keys, WithoutARangeLine) {
  const auto options = rank_keys(testing::song_of("I IV V I", key("C")), KeyWishes{});
  for (const KeyOption& option : options) EXPECT_FALSE(option.range);
}

TEST(Keys, AKeyThatCannotBePlayedSaysWhyAndStandsLast) {
  KeyWishes wishes;
  wishes.choices.hand = hand::HandSize::small();
  wishes.choices.registers.limit = {PianoKey(60),
                                    PianoKey(67)};  // C4–G4: only C fits in root position
  wishes.choices.registers.preferred = wishes.choices.registers.limit;
  const auto options = rank_keys(testing::song_of("I", key("C")), wishes);
  ASSERT_FALSE(options.back().can_be_played());
  EXPECT_FALSE(options.back().errors.empty());
  EXPECT_TRUE(options.front().can_be_played());
}

TEST(Keys, EveryPartHasItsLineInTheTable) {
  for (const KeyPart part : all_key_parts())
    EXPECT_GT(points_of(data::key_choice_tsv, name(part), 1'000'000).value(), 0) << name(part);
}

// From whatever key the song is written in: the same ranking. (Pins move to the nearest octave, so songs with pins may
// differ.)
TEST(Keys, RankingDoesNotDependOnTheKeyOfTheChart) {
  for (const char* degrees : {"I V vi IV", "I IV V7 I", "I V/7 vi iii IV I/3 ii V"}) {
    const chart::Song in_c = testing::song_of(degrees, key("C"));
    const auto expected = rank_keys(in_c, KeyWishes{});
    for (const music::Tonality& tonality : usual_tonalities(in_c)) {
      const auto got = rank_keys(*chart::transpose(in_c, tonality), KeyWishes{});
      for (std::size_t i = 0; i < got.size(); ++i) {
        ASSERT_EQ(music::text(got[i].tonality), music::text(expected[i].tonality))
            << degrees << " from " << music::text(tonality) << ", place " << i;
        ASSERT_EQ(got[i].points, expected[i].points);
      }
    }
  }
}

}  // namespace
}  // namespace stillhand::arrange
