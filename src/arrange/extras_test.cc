#include "arrange/extras.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <random>
#include <set>

#include "arrange/extras_search.h"
#include "chart/chart.h"
#include "testing/build.h"
#include "testing/random_songs.h"

namespace stillhand::arrange {
namespace {

using ::testing::HasSubstr;

Song parsed(const std::string& text) {
  const auto song = chart::parse(text, "x");
  EXPECT_TRUE(song.has_value()) << (song ? "" : render(song.error().front()));
  return song->song;
}

std::vector<Extra> all_of(const std::string& text) {
  return every_extra(parsed(text), TurnCounts::built_in());
}

const Extra* find(const std::vector<Extra>& extras, ExtraKind kind, const std::string& change) {
  const auto found = std::find_if(extras.begin(), extras.end(), [&](const Extra& extra) {
    return extra.kind == kind && extra.change == change;
  });
  return found == extras.end() ? nullptr : &*found;
}

std::string option_text(const ExtraLine& line) {
  std::string out;
  for (const chart::Bar& bar : line.option.bars) {
    out += out.empty() ? "" : " | ";
    for (std::size_t i = 0; i < bar.chords.size(); ++i) {
      out += (i == 0 ? "" : " ") + music::text(*bar.chords[i].chord);
    }
  }
  return out;
}

constexpr const char* kTwoSections =
    "title Song\nkey C\nrange C4-B4\n\n"
    "section Verse\n| C | Am | F | G |\n\" a | b | c | d |\n| C | F | G | C |  ; slow\n\n"
    "section Chorus\n| F | G | C | C |\n| F | G | C | C |\n\n"
    "road map Verse, Chorus, Verse, Chorus\n";

// Common practice, no source: each kind where a handbook expects it.
TEST(Extras, FindEachKindWhereItIsExpected) {
  const struct {
    const char* bars;
    ExtraKind kind;
    const char* change;
    const char* option;
  } cases[] = {
      {"| C | G | Am | F |", ExtraKind::slash_chord, "G/B for G", "C | G/B | Am | F"},
      {"| C | F | G | C |", ExtraKind::slash_chord, "C/E for C last", "C C/E | F | G | C"},
      {"| C | F | G | C |", ExtraKind::suspension, "Gsus4 for G first", "C | F | Gsus4 G | C"},
      {"| C | F | C | Am |", ExtraKind::walking_bass, "walk C D E F", "C C/D C/E | F | C | Am"},
      {"| G | C | C | F |", ExtraKind::substitute, "Am for C", "G | C | Am | F"},
      {"| C | F | G | C |", ExtraKind::substitute, "Dm for F", "C | Dm | G | C"},
      {"| Am | F | C | F |", ExtraKind::substitute, "Em for C", "Am | F | Em | F"},
  };
  for (const auto& c : cases) {
    SCOPED_TRACE(c.change);
    const auto extras = all_of(std::string("key C\nsection A\n") + c.bars + "\n");
    const Extra* extra = find(extras, c.kind, c.change);
    ASSERT_NE(extra, nullptr);
    ASSERT_EQ(extra->lines.size(), 1u);
    EXPECT_EQ(option_text(extra->lines[0]), c.option);
    EXPECT_FALSE(extra->reason.empty());
    EXPECT_TRUE(extra->reason.ends_with('.'));
  }
}

// Common practice, no source: a chord note takes its letter from the key's.
TEST(Extras, AWalkDoesNotContradictItsChord) {
  const struct {
    const char* text;
    const char* change;
  } cases[] = {
      {"key Bb\nsection A\n| Bb | C7 | F | Gm |\n", "walk C7 D E F"},
      {"key Am\nsection A\n| Am | E7 | Am | F |\n", "walk E7 F# G# Am"},
      {"key C\nsection A\n| C | C7 | F | C |\n", "walk C7 D E F"},
  };
  for (const auto& c : cases)
    EXPECT_NE(find(all_of(c.text), ExtraKind::walking_bass, c.change), nullptr) << c.change;
  for (const Extra& extra : all_of("key C\nsection A\n| F | Gsus4 | C | F |\n"))
    EXPECT_FALSE(extra.kind == ExtraKind::walking_bass && extra.change.starts_with("walk Gsus4"));
}

TEST(Extras, NoBassContradictsItsChord) {
  for (const char* text :
       {"D/F", "C13/B", "Cmaj9/Bb", "C/Eb", "C/D#", "Cm/E", "Gsus4/B", "C/Gb", "C7sus4/E"}) {
    EXPECT_FALSE(bass_fits(*music::parse_chord(text))) << text;
  }
  for (const char* text : {"C", "C/E", "C/G", "C/B", "C/Bb", "C/D", "Cm/Eb", "Am7/G", "F/G"}) {
    EXPECT_TRUE(bass_fits(*music::parse_chord(text))) << text;
  }
  for (const char* line : {"| Cmaj9 | F | G | Cmaj7 |", "| D | F | G13 | Dsus4 |"}) {
    for (const Extra& extra : all_of(std::string("key C\nsection A\n") + line + "\n")) {
      for (const ExtraLine& changed : extra.lines) {
        for (const chart::Bar& bar : changed.option.bars) {
          for (const chart::ChordEvent& event : bar.chords)
            EXPECT_TRUE(bass_fits(*event.chord)) << extra.change;
        }
      }
    }
  }
}

TEST(Extras, ASuspensionResolves) {
  const auto extras = all_of("key A\nsection A\n| A | E | A | D |\n");
  EXPECT_EQ(find(extras, ExtraKind::suspension, "Esus4 for E"), nullptr);
  const Extra* extra = find(extras, ExtraKind::suspension, "Esus4 for E first");
  ASSERT_NE(extra, nullptr);
  EXPECT_EQ(option_text(extra->lines[0]), "A | Esus4 E | A | D");
}

TEST(Extras, ABassThatGoesByStepIsLeftAlone) {
  for (const Extra& extra : all_of("key C\nsection A\n| C | G/B | Am7 | F |\n")) {
    EXPECT_FALSE(extra.change == "C/G for C" || extra.change == "C/E for C last") << extra.change;
    EXPECT_NE(extra.change, "Am7/C for Am7");
  }
}

TEST(Extras, AChordThatEndsALineIsNotReplaced) {
  const std::string text =
      "key C\nsection A\n| G | F | C | C |\n| F | G | C | F |\n| G | C | F | C |\n";
  for (const Extra& extra : all_of(text)) {
    EXPECT_FALSE(extra.kind == ExtraKind::substitute && extra.change == "Am for C");
  }
}

TEST(Extras, APassingChordSaysOnlyWhatIsTrue) {
  for (const Extra& extra :
       all_of("key C\nsection A\n| C | Am | F | Dm |\n| G | E7 | Am | G |\n")) {
    if (extra.kind != ExtraKind::passing_chord) continue;
    EXPECT_THAT(extra.reason, ::testing::Not(HasSubstr("the next chord")));
  }
}

TEST(Extras, AVariationIsASectionOfItsOwn) {
  const std::string text =
      "key C\nsection Verse\n| C | F | G | C |\n\" a | b | c | d |\nsection Chorus\n| F | G | C | "
      "C |\n"
      "road map Verse twice, Chorus\n";
  const auto extras = all_of(text);
  const Extra* extra = find(extras, ExtraKind::variation, "last Verse with ninths");
  ASSERT_NE(extra, nullptr);
  const auto with = accept_extra(text, "x", extra->id, {});
  ASSERT_TRUE(with.has_value()) << render(with.error().front());
  EXPECT_THAT(*with, HasSubstr("| Cadd9 | Fadd9 | G | Cadd9 |"));
  EXPECT_THAT(*with, HasSubstr("road map   Verse, Verse with ninths, Chorus\n"));
  EXPECT_THAT(*with, HasSubstr("; plain road map: Verse twice, Chorus"));
}

TEST(Extras, ALineThatIsThereAlreadyIsNotWrittenTwice) {
  const std::string text = "key C\nsection A\n| C | G | Am | F |\n| C | G | Am | C |\n";
  const Extra* extra = nullptr;
  const auto extras = all_of(text);
  extra = find(extras, ExtraKind::slash_chord, "G/B for G");
  ASSERT_NE(extra, nullptr);
  ASSERT_EQ(extra->lines.size(), 2u);
  std::string edited = *accept_extra(text, "x", extra->id, {});
  const std::size_t second = edited.rfind("G/B | Am | C");
  ASSERT_NE(second, std::string::npos);
  edited.replace(second, 3, "G/D");
  const auto there = lines_already_there(parsed(edited), extra->id);
  ASSERT_EQ(there.size(), 1u);
  EXPECT_EQ(there[0].line, 0u);
  const auto again = accept_extra(edited, "x", extra->id, {});
  ASSERT_TRUE(again.has_value()) << render(again.error().front());
  std::size_t found = 0;
  for (std::size_t at = again->find("or G/B for G"); at != std::string::npos;
       at = again->find("or G/B for G", at + 1))
    ++found;
  EXPECT_EQ(found, 3u);
}

TEST(Extras, WithSkillsOnlyWhatIsWithinReachIsOffered) {
  ExtrasRequest request;
  request.skills = Skills{Skill::roots, Skill::triads, Skill::suspension};
  const auto offers = extras(parsed(kTwoSections), request);
  ASSERT_TRUE(offers.has_value());
  EXPECT_FALSE(offers->empty());
  for (const Extra& extra : *offers) EXPECT_TRUE(request.skills->contains(extra.skill));
}

TEST(Extras, AWholeLineMayStepDown) {
  // I V vi iii IV: over C B A G F the bass walks down (common practice, no source).
  const auto extras = all_of("key C\nsection A\n| C | G | Am | Em | F |\n");
  const Extra* extra = find(extras, ExtraKind::stepwise_bass, "bass C B A G F");
  ASSERT_NE(extra, nullptr);
  EXPECT_EQ(option_text(extra->lines[0]), "C | G/B | Am | Em/G | F");
  EXPECT_EQ(extra->reason, "The bass goes down by step, 5 notes in a row.");
}

TEST(Extras, ATurnaroundLeadsBackWhereTheSectionComesAgain) {
  const auto twice = all_of("key C\nsection A\n| C | F | G | C |\nroad map A twice\n");
  const Extra* extra = find(twice, ExtraKind::turnaround, "F G at the end");
  ASSERT_NE(extra, nullptr);
  EXPECT_EQ(option_text(extra->lines[0]), "C | F | G | C F G");
  EXPECT_NE(find(twice, ExtraKind::turnaround, "Gsus4 G at the end"), nullptr);
  const auto once = all_of("key C\nsection A\n| C | F | G | C |\n");
  EXPECT_EQ(find(once, ExtraKind::turnaround, "F G at the end"), nullptr);
}

TEST(Extras, AKeyChangeNeedsARangeThatAllowsIt) {
  const auto low = all_of(kTwoSections);
  const Extra* whole = find(low, ExtraKind::key_change, "last Chorus in D");
  ASSERT_NE(whole, nullptr);
  EXPECT_EQ(text(*whole->section->pivot), "A7");
  EXPECT_NE(find(low, ExtraKind::key_change, "last Chorus in Db"), nullptr);
  std::string high = kTwoSections;
  high.replace(high.find("C4-B4"), 5, "C4-D5");
  const auto none = all_of(high);
  EXPECT_TRUE(std::none_of(none.begin(), none.end(),
                           [](const Extra& extra) { return extra.kind == ExtraKind::key_change; }));
}

TEST(Extras, AnEditElsewhereLeavesTheIdsAsTheyAre) {
  const std::string more =
      std::string("title Other\nkey C\ntempo 90\nsection Intro\n| C |\n") +
      std::string(kTwoSections).substr(std::string(kTwoSections).find("section"));
  std::set<std::string> ids;
  for (const Extra& extra : all_of(more)) ids.insert(extra.id);
  int same = 0;
  int all = 0;
  for (const Extra& extra : all_of(kTwoSections)) {
    if (extra.section) continue;
    ++all;
    same += ids.count(extra.id) > 0 ? 1 : 0;
  }
  EXPECT_GT(all, 10);
  EXPECT_GE(same * 10, all * 9);
}

TEST(Extras, IdsAreDistinct) {
  std::set<std::string> ids;
  const auto extras = all_of(kTwoSections);
  for (const Extra& extra : extras) ids.insert(extra.id);
  EXPECT_EQ(ids.size(), extras.size());
}

TEST(Extras, AtMostTwelveAreOfferedRankedAndPriced) {
  const auto offers = extras(parsed(kTwoSections), {});
  ASSERT_TRUE(offers.has_value());
  EXPECT_EQ(offers->size(), kUsualExtras);
  EXPECT_TRUE(std::is_sorted(offers->begin(), offers->end(),
                             [](const Extra& a, const Extra& b) { return a.rank > b.rank; }));
  const Choices choices;
  const Song song = parsed(kTwoSections);
  const auto plain = arrange(song, choices);
  for (const Extra& extra : *offers) {
    const auto with = arrange(with_extra(song, extra), choices);
    ASSERT_TRUE(with.has_value()) << extra.id;
    EXPECT_EQ(extra.price.movement, with->right.cost - plain->right.cost) << extra.id;
  }
}

TEST(Extras, EveryOneCanBeAcceptedAndThePlainPartStays) {
  const Song plain = parsed(kTwoSections);
  int accepted = 0;
  for (const Extra& extra : all_of(kTwoSections)) {
    const auto text = accept_extra(kTwoSections, "x", extra.id, {});
    ASSERT_TRUE(text.has_value()) << extra.id << render(text.error().front());
    EXPECT_EQ(*chart::format(*text, "x"), *text) << extra.id;
    EXPECT_THAT(*text, HasSubstr("; slow"));
    Song song = parsed(*text);
    if (extra.section) {
      EXPECT_THAT(*text, HasSubstr("; plain road map: Verse, Chorus, Verse, Chorus"));
      continue;
    }
    for (chart::Section& section : song.sections) {
      for (chart::Line& line : section.lines) line.options.clear();
    }
    EXPECT_EQ(song, plain) << extra.id;
    ++accepted;
  }
  EXPECT_GT(accepted, 10);
}

TEST(Extras, AnAcceptedOneStandsBelowItsLineAndIsNotOfferedAgain) {
  const std::string text = "key C\n\nsection A\n| C | G | Am | F |  ; steady\n\" a | b | c | d |\n";
  const auto extras = all_of(text);
  const Extra* extra = find(extras, ExtraKind::slash_chord, "G/B for G");
  ASSERT_NE(extra, nullptr);
  const auto with = accept_extra(text, "x", extra->id, {});
  ASSERT_TRUE(with.has_value());
  EXPECT_EQ(*with,
            "key        C\n\nsection A\n| C | G   | Am | F |  ; steady\n\" a | b   | c  | d |\n"
            "or G/B for G\n| C | G/B | Am | F |\n");
  const auto again = accept_extra(*with, "x", extra->id, {});
  ASSERT_FALSE(again.has_value());
  EXPECT_EQ(render(again.error().front()),
            "x: error: the chart has `" + extra->id +
                "` already\n  its `or` lines are called `G/B for G`");
  for (const Extra& other : found_extras(parsed(*with), {}, TurnCounts::built_in())) {
    EXPECT_NE(other.id, extra->id);
  }
}

TEST(Extras, AKeyChangeIsASectionOfItsOwn) {
  const auto extras = all_of(kTwoSections);
  const Extra* extra = find(extras, ExtraKind::key_change, "last Chorus in D");
  ASSERT_NE(extra, nullptr);
  const auto text = accept_extra(kTwoSections, "x", extra->id, {});
  ASSERT_TRUE(text.has_value());
  EXPECT_THAT(*text, HasSubstr("section Into D\nkey D\n| A7 |\n"));
  EXPECT_THAT(*text, HasSubstr("section Chorus in D\nkey D\n| G | A | D | D |\n"));
  EXPECT_THAT(*text, HasSubstr("road map   Verse, Chorus, Verse, Into D, Chorus in D\n"));
}

TEST(Extras, NumberChartsAreWrittenInNumbers) {
  const std::string text = "key D\nsection A\n| 1 | 5 | 6m | 4 |\n";
  const auto extras = all_of(text);
  const Extra* extra = find(extras, ExtraKind::slash_chord, "A/C# for A");
  ASSERT_NE(extra, nullptr);
  const auto with = accept_extra(text, "x", extra->id, {});
  ASSERT_TRUE(with.has_value()) << render(with.error().front());
  EXPECT_THAT(*with, HasSubstr("| 1 | 5/7 | 6m | 4 |"));
}

TEST(Extras, RefusalsSayWhy) {
  const auto unknown = accept_extra(kTwoSections, "x", "slash-chord-000000", {});
  ASSERT_FALSE(unknown.has_value());
  EXPECT_EQ(render(unknown.error().front()),
            "x: error: `slash-chord-000000` is no extra of this chart\n"
            "  the chart may have changed since; `stillhand extras` lists what fits now");
  const auto broken = accept_extra("key C\nsection A\n| Cmm |\n", "x", "tag-000000", {});
  ASSERT_FALSE(broken.has_value());
  EXPECT_THAT(render(broken.error().front()), HasSubstr("x:3:3: error: unknown chord `Cmm`"));
  EXPECT_TRUE(all_of("key C\nsection A\n| N.C. | N.C. |\n").empty());
}

TEST(Extras, OnRandomSongsEveryOfferIsPlayableAndItsFallbackIsTheLine) {
  std::mt19937 random(7);
  for (int round = 0; round < 12; ++round) {
    const Song song = ::stillhand::testing::random_song(random);
    ExtrasRequest request;
    request.choices = ::stillhand::testing::random_choices(random);
    const auto offers = extras(song, request);
    if (!offers) continue;
    EXPECT_LE(offers->size(), request.limit);
    for (const Extra& extra : *offers) {
      EXPECT_TRUE(arrange(with_extra(song, extra), request.choices).has_value());
      EXPECT_FALSE(extra.places.empty());
      for (const ExtraLine& line : extra.lines) {
        const auto& written = song.sections[line.section].lines[line.line].bars;
        EXPECT_EQ(line.plain, written);
        ASSERT_EQ(line.option.bars.size(), written.size());
        for (std::size_t i = 0; i < written.size(); ++i) {
          music::Tick sum{0};
          for (const auto& event : line.option.bars[i].chords) sum += event.duration;
          EXPECT_EQ(sum, written[i].length);
        }
      }
    }
  }
}

TEST(Turns, AreReadAsTheyAreWritten) {
  for (const char* text :
       {"bass whole 0 0 major 4", "suspension first 2 0 sus4 0", "passing before 1 2 m 0"}) {
    const auto turn = turn_named(text);
    ASSERT_TRUE(turn.has_value());
    EXPECT_EQ(arrange::text(*turn), text);
  }
  EXPECT_FALSE(turn_named("leap whole 0 0 major 4").has_value());
}

}  // namespace
}  // namespace stillhand::arrange
