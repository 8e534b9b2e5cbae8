#include "write/tracks.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <map>
#include <set>

#include "arrange/arrange.h"
#include "chart/chart.h"
#include "teach/lesson.h"
#include "write/captions.h"
#include "write/chapters.h"
#include "write/timing_table.h"

namespace stillhand::write {
namespace {

using hand::Hand;
using music::Tick;
using testing::ElementsAre;

teach::Lesson lesson_of(std::string_view chart) {
  const auto parsed = chart::parse(chart, "test");
  EXPECT_TRUE(parsed) << render(parsed.error().front());
  return teach::teach(arrange::arrange(parsed->song, {}).value());
}

const teach::Lesson& quay() {
  static const teach::Lesson lesson = lesson_of(
      "title Quay\nkey D\nmeter 4/4\ntempo 66\nsection Verse 1\n| D | G D/F# |\n| Em A | D |\n"
      "section Chorus!\n| G | A |\nroad map Verse 1, Chorus!, Verse 1\n");
  return lesson;
}

std::vector<std::string> names(const std::vector<Track>& tracks) {
  std::vector<std::string> out;
  for (const Track& track : tracks) out.push_back(track.name);
  return out;
}

TEST(Tracks, TheUsualOnes) {
  const std::vector<Track> all = tracks(quay(), {});
  std::vector<std::string> first = names(all);
  ASSERT_GE(first.size(), 8U);
  first.resize(7);
  EXPECT_THAT(first,
              ElementsAre("play-along-100", "play-along-80", "play-along-60", "play-along-60-right",
                          "play-along-60-left", "section-1-verse-1-60", "section-2-chorus-60"));
  EXPECT_EQ(all[0].title, "Quay, 100 %");
  EXPECT_EQ(all[3].title, "Quay, right hand, 60 %");
  EXPECT_EQ(all[5].title, "Quay: Verse 1, 60 %");
  const auto pairs = std::count_if(
      all.begin(), all.end(), [](const Track& track) { return track.part == TrackPart::pair; });
  EXPECT_GE(pairs, 3);
  EXPECT_LE(pairs, 5);
}

TEST(Tracks, WhatIsNotNamedIsAllPartsBothHandsAndThreeTempos) {
  EXPECT_THAT(names(tracks(quay(), {.parts = {TrackPart::song}})),
              ElementsAre("play-along-100", "play-along-80", "play-along-60"));
  EXPECT_THAT(names(tracks(quay(), {.parts = {TrackPart::section},
                                    .hands = {TrackHands::left, TrackHands::right},
                                    .percents = {50}})),
              ElementsAre("section-1-verse-1-50-right", "section-1-verse-1-50-left",
                          "section-2-chorus-50-right", "section-2-chorus-50-left"));
  for (const Track& track : tracks(quay(), {.percents = {75}})) EXPECT_EQ(track.tempo_percent, 75);
}

TEST(Tracks, NumbersDoNotHangOnTheChoice) {
  TrackChoice all;
  all.parts = {TrackPart::song, TrackPart::section, TrackPart::pair};
  all.hands = {TrackHands::both, TrackHands::right, TrackHands::left};
  std::map<std::string, int> number;
  std::set<int> seen;
  int last = 0;
  for (const Track& track : tracks(quay(), all)) {
    EXPECT_GT(track.number, last) << "in order, each its own";
    last = track.number;
    number[track.name] = track.number;
  }
  EXPECT_EQ(number.size() % 9, 0U);
  for (const Track& track : tracks(quay(), {})) EXPECT_EQ(track.number, number.at(track.name));
}

TEST(Tracks, APairIsPlayedAsInTheSong) {
  for (const Track& track : tracks(quay(), {.parts = {TrackPart::pair}, .percents = {60}})) {
    const perform::Performance& p = track.performance;
    EXPECT_EQ(perform::count_ins(p).size(), 3U);
    EXPECT_EQ(p.end, Tick(3 * 6 * 3840));
    EXPECT_EQ(p.chords.size(), 12U);
    ASSERT_TRUE(track.shapes);
    EXPECT_EQ(quay().shapes[track.shapes->first].chord,
              "D/F#" == p.chords[0].value ? "D" : p.chords[0].value);
    // Each chord's keys are those that the song plays under it.
    for (const perform::Note& note : p.notes) {
      const bool is_in_song =
          std::any_of(quay().performance.notes.begin(), quay().performance.notes.end(),
                      [&](const perform::Note& other) {
                        return other.hand == note.hand && other.key == note.key;
                      });
      EXPECT_TRUE(is_in_song) << track.name;
    }
  }
}

TEST(Tracks, OneHandAlone) {
  const auto left =
      tracks(quay(), {.parts = {TrackPart::song}, .hands = {TrackHands::left}, .percents = {60}});
  ASSERT_EQ(left.size(), 1U);
  EXPECT_FALSE(left[0].performance.notes.empty());
  for (const perform::Note& note : left[0].performance.notes) EXPECT_EQ(note.hand, Hand::left);
}

// Each pass has its count-in in captions, chapters and the table.
TEST(Tracks, TheTextsOfASectionFollowItsPasses) {
  const auto chosen = tracks(quay(), {.parts = {TrackPart::section}, .percents = {100}});
  ASSERT_EQ(chosen.size(), 2U);
  EXPECT_EQ(chosen[1].section, 1U);
  const perform::Performance& p = chosen[1].performance;
  std::vector<std::string> titles;
  for (const Chapter& chapter : chapters(p, 100)) titles.push_back(chapter.title);
  EXPECT_THAT(titles,
              ElementsAre("Count-in", "Chorus!", "Count-in (second time)", "Chorus! (second time)",
                          "Count-in (third time)", "Chorus! (third time)"));
  std::vector<std::string> lines;
  for (const Cue& cue : captions(p, 100)) {
    lines.push_back(cue.lines.front());
    EXPECT_LE(cue.end - cue.start, Milliseconds(8000));
  }
  EXPECT_EQ(lines[0], "Count-in, next G");
  EXPECT_EQ(std::count(lines.begin(), lines.end(), "A, next Count-in · Chorus!"), 2);
  EXPECT_EQ(std::count(lines.begin(), lines.end(), "Count-in, next G"), 6)
      << "two bars, three times";
  EXPECT_EQ(lines.back(), "A · Chorus!");
  const std::string table = timing_table(p, 100);
  EXPECT_THAT(table, testing::HasSubstr("14.545,18.182,Count-in,1,1,,G,\r\n"
                                        "18.182,21.818,Count-in,2,1,,G,\r\n"
                                        "21.818,25.455,Chorus!,1,1,G,A,\r\n"));
}

TEST(Tracks, ASongWithoutChordsHasNoPairs) {
  const teach::Lesson lesson =
      lesson_of("title T\nkey C\nmeter 4/4\ntempo 60\nsection A\n| N.C. |\n");
  EXPECT_EQ(tracks(lesson, {}).size(), 6U);
  EXPECT_TRUE(tracks(lesson, {.parts = {TrackPart::pair}}).empty());
}

TEST(Tracks, FileWords) {
  EXPECT_EQ(file_word("Verse 1"), "verse-1");
  EXPECT_EQ(file_word("F#m7 D/F#"), "f-sharpm7-d-f-sharp");
  EXPECT_EQ(file_word("../..//etc"), "etc");
  EXPECT_EQ(file_word("Größe"), "gr-e");
  EXPECT_EQ(file_word("主歌"), "");
  EXPECT_EQ(file_word(std::string(200, 'x')).size(), 40U);
}

}  // namespace
}  // namespace stillhand::write
