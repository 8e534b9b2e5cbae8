#include "write/musicxml.h"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <set>

#include "arrange/arrange.h"
#include "base/files.h"
#include "chart/chart.h"
#include "testing/corpus.h"
#include "testing/golden.h"
#include "write/demo_lesson.h"
#include "write/harmony.h"
#include "write/note_values.h"
#include "write/sheet_text.h"

namespace stillhand::write {
namespace {

namespace fs = std::filesystem;
using ::testing::HasSubstr;
using ::testing::Not;
using Json = nlohmann::json;
using music::Tick;
using teach::Lesson;

const std::string kTools = std::string(STILLHAND_SOURCE_DIR) + "/tools/js";

Lesson of_chart(const std::string& chart) {
  const auto parsed = chart::parse(chart, "test");
  EXPECT_TRUE(parsed) << (parsed ? "" : render(parsed.error().front()));
  return teach::teach(arrange::arrange(parsed->song, {}).value());
}

Lesson of_example(const std::string& name) {
  const std::string path = std::string(STILLHAND_SOURCE_DIR) + "/examples/" + name + ".stillhand";
  return of_chart(read_file(path, 1 << 20).value());
}

// Everything that a chart can say about bars.
const char* const kAll =
    "title Two <Lamps> & more\n"
    "writers Nobody\n"
    "key D\n"
    "meter 4/4\n"
    "tempo 66\n"
    "section A\n"
    "pick-up | (D A) |\n"
    "\" Oh a- |\n"
    "|: D/F# | (D Em) G A7b9 D | (D - Em) G6/9 N.C. Bm7b5 |1. D | A7 :|2. D | D |\n"
    "\" long the | quay & | go- | ing | on | and | on |\n"
    "| D D | G :| 3 times\n"
    "|: G | C :| vamp 4 times\n"
    "section B\n"
    "meter 9/8\n"
    "key F#m\n"
    "| Cmaj7#11 | Csus4 G7sus4 Gno3 | C | C |\n"
    "section C\n"
    "meter 5/8\n"
    "| C | (C D E F G) - - - - |\n"
    "section D\n"
    "meter 3/2\n"
    "| (Am Bm C) D - | Ebm6 |\n"
    "road map A twice, B, C 3 times, D\n";

int times(const std::string& text, const std::string& part) {
  int out = 0;
  for (auto at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) ++out;
  return out;
}

// Each chord is held: a whole bar of 3840 ticks, 2880 where the pick-up always follows.
TEST(MusicXml, ABarGivesItsEndToThePickUpThatAlwaysFollows) {
  const std::string song =
      "key C\nsection A\n| C | F |\nsection B\npick-up | G |\n| C |\nroad map ";
  const auto count = [&](const std::string& road_map, const std::string& ticks) {
    return times(musicxml(of_chart(song + road_map)), "<duration>" + ticks + "</duration>");
  };
  EXPECT_EQ(count("A, B\n", "2880"), 5);  // three keys, one key, and the way back
  EXPECT_EQ(count("A, B\n", "960"), 5);
  EXPECT_EQ(count("A, B, A, B\n", "2880"), 5);
  EXPECT_EQ(count("A, B, A\n", "2880"), 0);
}

// ---- against the schema

#define NEEDS_SCHEMA()                                                                         \
  if (!testing::schema_folder()) {                                                             \
    GTEST_SKIP() << "STILLHAND_SCHEMA is not set: checks against the MusicXML schema skipped"; \
  }

// Scores as files in a folder of their own; then one run of xmllint over all.
class Schema : public ::testing::Test {
 protected:
  void SetUp() override {
    NEEDS_SCHEMA();
    folder_ = fs::path(STILLHAND_BINARY_DIR) /
              (std::string("musicxml_test_") +
               ::testing::UnitTest::GetInstance()->current_test_info()->name());
    fs::remove_all(folder_);
    fs::create_directories(folder_);
  }
  void TearDown() override { fs::remove_all(folder_); }

  void put(const std::string& bytes) {
    std::ofstream(folder_ / fmt::format("{:04}.musicxml", count_++), std::ios::binary) << bytes;
  }

  // Exit code; nothing is fetched.
  int validate() const {
    const std::string schema = (*testing::schema_folder() / "musicxml.xsd").string();
    const std::string log = (folder_ / "log").string();
    const int code =
        std::system(fmt::format("xmllint --nonet --noout --schema {} {}/*.musicxml >{} 2>&1",
                                schema, folder_.string(), log)
                        .c_str());
    if (code != 0) std::cout << read_file(log, 1 << 20).value().substr(0, 2000);
    return code;
  }

  fs::path folder_;
  int count_ = 0;
};

// Source: MusicXML 4.0, musicxml.xsd (W3C Music Notation Community Group, 2021).
TEST_F(Schema, ExamplesAndEverythingAChartCanSay) {
  for (const char* name :
       {"lamps-along-the-quay", "silent-night", "amazing-grace", "god-rest-ye-merry"}) {
    put(musicxml(of_example(name)));
  }
  put(musicxml(of_chart(kAll)));
  put(musicxml(test::demo_lesson()));
  EXPECT_EQ(validate(), 0);
}

TEST_F(Schema, AnyLesson) {
  for (unsigned seed = 0; seed < 150; ++seed) put(musicxml(test::random_lesson(seed)));
  EXPECT_EQ(validate(), 0);
}

TEST_F(Schema, ALessonWithoutBars) {
  Lesson lesson = test::demo_lesson();
  lesson.sections.clear();
  put(musicxml(lesson));
  EXPECT_EQ(validate(), 0);
}

TEST_F(Schema, NoticesABrokenScore) {
  std::string bytes = musicxml(test::demo_lesson());
  bytes.replace(bytes.find("<duration>"), 10, "<duratiom>");
  put(bytes);
  EXPECT_NE(validate(), 0);
}

// Every 60th real song: the whole corpus takes minutes to arrange.
TEST_F(Schema, RealSongs) {
  if (!testing::data_folder()) GTEST_SKIP() << testing::kNoData;
  const auto songs = testing::read_whole_corpus();
  const char* every = std::getenv("STILLHAND_EVERY");
  const std::size_t step = every == nullptr ? 60 : std::strtoul(every, nullptr, 10);
  for (std::size_t i = 0; i < songs.size(); i += step) {
    const auto arranged = arrange::arrange(songs[i], {});
    if (arranged) put(musicxml(teach::teach(*arranged)));
  }
  EXPECT_GE(count_, 10);
  std::cout << count_ << " songs\n";
  EXPECT_EQ(validate(), 0);
}

// ---- against independent readers

Json hand_of(const std::vector<std::pair<music::Pitch, hand::Finger>>& notes) {
  Json out = Json::array();
  for (const auto& [pitch, finger] : notes) out.push_back({music::text(pitch), finger.number()});
  return out;
}

Json chord_of(const teach::SheetChord& written, const Lesson& lesson, Tick at) {
  Json out{{"at", at.value()}, {"duration", written.duration.value()}};
  out["notes"] = nullptr;
  out["bass"] = nullptr;
  if (const auto chord = music::parse_chord(written.chord)) {
    std::set<int> classes;
    for (const music::NoteName note : chord->notes()) classes.insert(note.pitch_class().value());
    out["notes"] = classes;
    if (chord->bass) out["bass"] = music::text(*chord->bass);
  }
  std::vector<std::pair<music::Pitch, hand::Finger>> right;
  std::vector<std::pair<music::Pitch, hand::Finger>> left;
  if (written.shape) {
    for (const auto& note : lesson.shapes[*written.shape].shape.notes) {
      right.emplace_back(note.pitch, note.finger);
    }
  }
  if (written.bass) left.emplace_back(written.bass->pitch, written.bass->finger);
  out["right"] = hand_of(right);
  out["left"] = hand_of(left);
  return out;
}

// As printed: signs for accidentals, the chart's own suffix.
std::string symbol_of(const std::string& symbol) {
  const auto chord = music::parse_chord(symbol);
  if (!chord) return symbol;
  return music::display(chord->root) + chord->quality.suffix +
         (chord->bass ? "/" + music::display(*chord->bass) : "");
}

std::string endings_of(const teach::SheetBar& bar) {
  return fmt::format("{}", fmt::join(bar.endings, ", "));
}

Json expected_of(const Lesson& lesson) {
  Json out{{"chords", Json::array()}, {"bars", Json::array()}, {"symbols", Json::array()}};
  Tick at;
  int number = 0;
  int pick_ups = 0;
  for (const auto& section : lesson.sections) {
    std::string endings;
    for (const auto& line : section.lines) {
      for (const auto& bar : line.bars) {
        // A pick-up takes its counts from the bar before it.
        const music::Tick length = bar.cut_to.value_or(bar.length);
        for (teach::SheetChord chord : bar.chords) {
          if (chord.start >= length) continue;
          chord.duration = std::min(chord.duration, length - chord.start);
          out["chords"].push_back(chord_of(chord, lesson, at + chord.start));
          out["symbols"].push_back(symbol_of(chord.chord));
        }
        at += length;
        Json expected{{"number", std::to_string(bar.is_pick_up ? 0 : ++number)},
                      {"words", bar.words},
                      {"forward", bar.repeat_begins},
                      {"backward", bar.repeat_times == 1 ? 0
                                   : bar.endings.empty() ? bar.repeat_times
                                                         : 2},
                      {"endings", nullptr}};
        if (bar.is_pick_up && number > 0) expected["number"] = fmt::format("X{}", ++pick_ups);
        if (!bar.endings.empty() && endings_of(bar) != endings) {
          expected["endings"] = endings_of(bar);
        }
        endings = endings_of(bar);
        out["bars"].push_back(expected);
      }
    }
  }
  return out;
}

bool has_readers() {
  return fs::exists(kTools + "/node_modules/verovio") &&
         fs::exists(kTools + "/node_modules/musicxml-io");
}

Json reading_case(const std::string& name, const Lesson& lesson) {
  return {{"name", name}, {"xml", musicxml(lesson)}, {"expected", expected_of(lesson)}};
}

int read_back(const Json& cases) {
  const std::string file = std::string(STILLHAND_BINARY_DIR) + "/musicxml_test.json";
  std::ofstream(file, std::ios::binary) << cases.dump();
  return std::system(("node " + kTools + "/musicxml-read.mjs " + file).c_str());
}

// The repeat that goes back to the end of the one before says so.
Json everything() {
  Json out = reading_case("everything", of_chart(kAll));
  out["expected"]["bars"][8]["forward"] = true;
  return out;
}

// Sources: npm musicxml-io 0.9.6 (MIT), verovio 6.3.0 (LGPL 3).
TEST(MusicXml, TwoIndependentReadersFindTheSame) {
  if (!has_readers()) GTEST_SKIP() << "tools/js/node_modules is missing: run `npm ci` in tools/js";
  Json cases = Json::array({everything()});
  for (const char* name :
       {"lamps-along-the-quay", "silent-night", "amazing-grace", "god-rest-ye-merry"}) {
    cases.push_back(reading_case(name, of_example(name)));
  }
  EXPECT_EQ(read_back(cases), 0);
}

TEST(MusicXml, TheReadersNoticeAChange) {
  if (!has_readers()) GTEST_SKIP() << "tools/js/node_modules is missing: run `npm ci` in tools/js";
  Json wrong = everything();
  wrong["expected"]["chords"][3]["right"][1][1] = 2;
  EXPECT_NE(read_back(Json::array({wrong})), 0);
  wrong = everything();
  wrong["expected"]["symbols"][2] = "Gm";
  EXPECT_NE(read_back(Json::array({wrong})), 0);
}

// ---- by hand

TEST(MusicXml, TheEndingOfTheDemo) {
  Lesson lesson = of_example("lamps-along-the-quay");
  lesson.sections.erase(lesson.sections.begin(), lesson.sections.end() - 1);
  testing::expect_golden(STILLHAND_SOURCE_DIR, "song.musicxml", musicxml(lesson));
}

TEST(MusicXml, NothingToFetchAndTheSameEachTime) {
  const std::string bytes = musicxml(of_chart(kAll));
  EXPECT_THAT(bytes, Not(HasSubstr("DOCTYPE")));
  EXPECT_THAT(bytes, Not(HasSubstr("http")));
  EXPECT_EQ(bytes, musicxml(of_chart(kAll)));
}

TEST(MusicXml, ACompoundMeterHasADottedBeat) {
  const std::string bytes = musicxml(of_example("silent-night"));
  EXPECT_THAT(bytes, HasSubstr("<beat-unit-dot />"));
  EXPECT_THAT(bytes, HasSubstr("<sound tempo=\"72\" />"));  // 48 dotted quarters
}

// Source: MusicXML 4.0, kind-value and degree.
TEST(Harmony, KindsAndDegrees) {
  const auto degree = [](int number, int alter, DegreeChange change) {
    return HarmonyDegree{number, alter, change};
  };
  const auto of = [](const char* symbol) { return harmony_of(*music::parse_chord(symbol)); };
  EXPECT_EQ(of("C"), (Harmony{"major", {}}));
  EXPECT_EQ(of("Em7b5/D"), (Harmony{"half-diminished", {}}));
  EXPECT_EQ(of("Csus4"), (Harmony{"suspended-fourth", {}}));
  EXPECT_EQ(of("C7sus4"), (Harmony{"suspended-fourth", {degree(7, 0, DegreeChange::add)}}));
  EXPECT_EQ(of("C7b9"), (Harmony{"dominant", {degree(9, -1, DegreeChange::add)}}));
  EXPECT_EQ(of("C7b5"), (Harmony{"dominant", {degree(5, -1, DegreeChange::alter)}}));
  EXPECT_EQ(of("C6/9"), (Harmony{"major-sixth", {degree(9, 0, DegreeChange::add)}}));
  EXPECT_EQ(of("Gno3"), (Harmony{"power", {}}));
  EXPECT_EQ(of("C7no5"), (Harmony{"dominant", {degree(5, 0, DegreeChange::subtract)}}));
  EXPECT_EQ(of("Cmaj7sus4"), (Harmony{"suspended-fourth", {degree(7, 1, DegreeChange::add)}}));
}

std::string in_words(const std::vector<NoteValue>& values) {
  std::string out;
  for (const NoteValue& value : values) {
    out += fmt::format("{}{}{}{}", out.empty() ? "" : " ", value.name, value.is_dotted ? "." : "",
                       value.actual == 1 ? "" : fmt::format("/{}", value.actual));
  }
  return out;
}

TEST(NoteValues, AsTheyAreWritten) {
  const auto in = [](int ticks, int upper, int lower) {
    return in_words(note_values(Tick(ticks), *music::Meter::make(upper, lower)));
  };
  EXPECT_EQ(in(3840, 4, 4), "whole");
  EXPECT_EQ(in(4800, 5, 4), "whole quarter");
  EXPECT_EQ(in(4320, 9, 8), "half. quarter.");
  EXPECT_EQ(in(5760, 12, 8), "whole.");
  EXPECT_EQ(in(2400, 5, 8), "half eighth");
  EXPECT_EQ(in(320, 4, 4), "eighth/3");
  EXPECT_EQ(in(640, 4, 4), "quarter/3");
  EXPECT_EQ(in(800, 4, 4), "quarter/3 16th/3");
  EXPECT_EQ(in(192, 4, 4), "16th/5");
  EXPECT_EQ(in(7, 4, 4), "");
}

TEST(NoteValues, LastAsLongAsTheSound) {
  for (const auto& [upper, lower] : {std::pair(4, 4), std::pair(6, 8), std::pair(3, 2)}) {
    const music::Meter meter = *music::Meter::make(upper, lower);
    for (int parts : {1, 2, 3, 4, 5, 6, 8}) {
      for (int taken = 1; taken <= parts * meter.counts().value(); ++taken) {
        const Tick length = meter.count_length() / parts * taken;
        Tick sum;
        for (const NoteValue& value : note_values(length, meter)) {
          sum += value.length;
          EXPECT_TRUE(!value.name.empty() || taken > parts) << length.value();
        }
        EXPECT_EQ(sum, length);
      }
    }
  }
}

}  // namespace
}  // namespace stillhand::write
