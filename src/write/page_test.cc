#include "write/page.h"

#include <gtest/gtest.h>

#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "base/base64.h"
#include "teach/from_chart.h"
#include "teach/other_keys.h"
#include "write/demo_lesson.h"
#include "write/performance_json.h"

namespace stillhand::write {
namespace {

using Json = nlohmann::json;

constexpr std::string_view kChart =
    "title Harbour\nkey D\nmeter 4/4\ntempo 60\nsection Verse\n| D | G A |\n\" Up the | hill |\n"
    "section Chorus\n| Bm | G |\nroad map Verse twice, Chorus\n";

teach::Arranged arranged(std::string_view text) {
  Diagnostics remarks;
  auto song = teach::load_for(std::string(text), "harbour", {}, remarks);
  EXPECT_TRUE(song);
  auto out = teach::arrange_loaded(std::move(*song), {}, remarks);
  EXPECT_TRUE(out);
  return *out;
}

// What the page's script reads.
Json song_in(const std::string& html) {
  const std::string opening = "<script type=\"application/json\" id=\"song\">";
  const std::size_t begin = html.find(opening) + opening.size();
  return Json::parse(html.substr(begin, html.find("</script>", begin) - begin));
}

std::shared_ptr<const PianoSamples> two_samples() {
  return std::make_shared<const PianoSamples>(
      PianoSamples{{music::PianoKey(28), "low"}, {music::PianoKey(61), "high"}});
}

TEST(Page, HasTheLessonAndItsPerformance) {
  const teach::Lesson lesson = lesson_of(arranged(kChart));
  const Json song = song_in(page(lesson, {}));
  EXPECT_EQ(song["version"], 1);
  ASSERT_EQ(song["keys"].size(), 1U);
  const Json& key = song["keys"][0];
  EXPECT_EQ(key["key"], "D major");
  EXPECT_EQ(key["up"], 0);
  EXPECT_EQ(key["lesson"]["song"]["title"], "Harbour");
  EXPECT_EQ(key["performance"]["notes"].size(), lesson.performance.notes.size());
  EXPECT_FALSE(key["plan"].empty());
  EXPECT_TRUE(song["piano"].empty());
}

TEST(Page, HasTheOtherKeysFromTheLowestUpwards) {
  const teach::Arranged own = arranged(kChart);
  const Json song =
      song_in(page(lesson_of(own), {teach::in_other_keys(own, {}, teach::kUsualReach)}));
  std::vector<std::pair<std::string, int>> keys;
  for (const Json& key : song["keys"]) keys.emplace_back(key["key"], key["up"]);
  EXPECT_EQ(
      keys,
      (std::vector<std::pair<std::string, int>>{
          {"C major", -2}, {"Db major", -1}, {"D major", 0}, {"Eb major", 1}, {"E major", 2}}));
  EXPECT_EQ(song["keys"][0]["lesson"]["sections"][0]["lines"][0]["bars"][1]["chords"][0]["chord"],
            "F");
}

TEST(Page, TakesInTheSampledKeysThatAreNearest) {
  const teach::Lesson lesson = lesson_of(arranged(kChart));
  const Json song = song_in(page(lesson, {{}, two_samples()}));
  ASSERT_FALSE(song["piano"].empty());
  for (const Json& sample : song["piano"]) {
    const int key = sample["midi"];
    EXPECT_EQ(from_base64(sample["flac"].get<std::string>()), key == 28 ? "low" : "high");
    const bool is_used = std::any_of(
        lesson.performance.notes.begin(), lesson.performance.notes.end(), [&](const auto& note) {
          return (std::abs(note.key.number() - 28) <= std::abs(note.key.number() - 61)) ==
                 (key == 28);
        });
    EXPECT_TRUE(is_used) << key;
  }
}

// HTML Living Standard, 4.12.1.3: what would end the script element, or change how it is read, must not stand in it.
TEST(Page, NothingOfTheSongIsMarkup) {
  teach::Lesson lesson = lesson_of(arranged(kChart));
  lesson.title = "</title><script>alert(1)</script><!-- & \"@SONG@\"";
  lesson.sections[0].name = "</script><!--<script>";
  lesson.rights = "bad \xff byte";
  const std::string html = page(lesson, {});
  EXPECT_NE(html.find("<title>&lt;/title&gt;&lt;script&gt;alert(1)&lt;/script&gt;&lt;!-- &amp; "
                      "&quot;@SONG@&quot;</title>"),
            std::string::npos);
  const Json song = song_in(html);
  EXPECT_EQ(song["keys"][0]["lesson"]["song"]["title"], lesson.title);
  EXPECT_EQ(song["keys"][0]["lesson"]["sections"][0]["name"], lesson.sections[0].name);
  EXPECT_EQ(song["keys"][0]["lesson"]["song"]["rights"], "bad \xEF\xBF\xBD byte");
}

TEST(Page, EqualLessonsGiveEqualBytes) {
  const teach::Arranged own = arranged(kChart);
  EXPECT_EQ(page(lesson_of(own), {teach::in_other_keys(own, {}, teach::kAllKeys), two_samples()}),
            page(lesson_of(own), {teach::in_other_keys(own, {}, teach::kAllKeys), two_samples()}));
}

TEST(Page, TakesAnyLesson) {
  for (unsigned seed = 0; seed < 50; ++seed) {
    const std::string html = page(test::random_lesson(seed), {});
    EXPECT_EQ(song_in(html)["keys"].size(), 1U) << seed;
  }
}

TEST(PerformanceJson, SaysWhenEveryCountAndChordOfThePlayedBarsBegins) {
  const auto out = performance_json(lesson_of(arranged(kChart)));
  // Two bars of count-in at a second a count; Verse twice (two bars each) and Chorus.
  EXPECT_EQ(out["count_in"], 8000.0);
  ASSERT_EQ(out["bars"].size(), 6U);
  EXPECT_EQ(out["bars"][2]["start"], 16000.0);
  EXPECT_EQ(out["bars"][2]["section"], 0);
  EXPECT_EQ(out["bars"][2]["counts"].get<std::vector<double>>(),
            (std::vector<double>{16000.0, 17000.0, 18000.0, 19000.0}));
  EXPECT_EQ(out["bars"][5]["section"], 1);
  EXPECT_EQ(out["bars"][5]["bar"], 1);
  ASSERT_EQ(out["chords"].size(), 8U);
  EXPECT_EQ(out["chords"][2]["start"], 14000.0) << "A, on the third count of the second bar";
  EXPECT_EQ(out["chords"][2]["bar"], 1);
  EXPECT_EQ(out["chords"][2]["chord"], 1);
  EXPECT_EQ(out["end"], 32000.0);
}

}  // namespace
}  // namespace stillhand::write
