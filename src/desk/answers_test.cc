#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck.h>

#include <array>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "desk/answer.h"

namespace stillhand::desk {
namespace {

namespace fs = std::filesystem;
using ::testing::ElementsAre;
using ::testing::HasSubstr;

class TestShelf : public Shelf {
 public:
  Result<std::string> student(const std::string& name) const override {
    if (name == "mara") return std::string("name Mara\nlevel 2\npaper letter\n");
    if (name == "broken") return std::string("level ninety\n");
    return failure(Fault::file, name, "there is no student " + name, "");
  }
  Result<std::string> manner(const std::string& name) const override {
    return failure(Fault::file, name, "there is no manner " + name, "");
  }
};

Answer ask(std::string_view path, const Json& body) {
  for (const Route& route : pure_routes()) {
    if (route.path == path) return route.reply(body, TestShelf());
  }
  ADD_FAILURE() << "no route " << path;
  return {};
}

Json told(std::string_view path, const Json& body) {
  const Answer a = ask(path, body);
  EXPECT_EQ(a.status, Status::ok) << path << ": " << a.body;
  EXPECT_EQ(a.type, "application/json");
  return Json::parse(a.body);
}

std::string source(const std::string& path) {
  std::ifstream in(fs::path(STILLHAND_SOURCE_DIR) / path, std::ios::binary);
  std::stringstream out;
  out << in.rdbuf();
  return out.str();
}

const std::string kText =
    "key C\nsection A\n| C | G | Am F | C |\n\" one | two | three | four |\n"
    "or by step\n| C | G/B | Am F | C |\n";

Json chart(const std::string& text = kText, const Json& more = Json::object()) {
  Json out{{"name", "Song"}, {"text", text}, {"choices", Json::object()}};
  out.update(more);
  return out;
}

std::string printed(const std::string& arguments) {
  const std::string call =
      std::string(STILLHAND_BINARY_DIR) + "/stillhand " + arguments + " 2>/dev/null";
  FILE* pipe = ::popen(call.c_str(), "r");
  std::string out;
  std::array<char, 4096> buffer{};
  std::size_t n = 0;
  while ((n = std::fread(buffer.data(), 1, buffer.size(), pipe)) > 0) out.append(buffer.data(), n);
  ::pclose(pipe);
  return out;
}

const std::vector<std::string> kExamples{"amazing-grace", "god-rest-ye-merry",
                                         "lamps-along-the-quay", "silent-night"};

std::string example(const std::string& name) { return source("examples/" + name + ".stillhand"); }
std::string example_file(const std::string& name) {
  return std::string(STILLHAND_SOURCE_DIR) + "/examples/" + name + ".stillhand";
}

// ---- arrange

TEST(Arrange, GivesTheLessonItsPlacesAndASummary) {
  const Json out = told("/api/arrange", chart());
  EXPECT_EQ(out["summary"], "4 shapes to learn, 4 bars, 0 min 12 s");
  EXPECT_FALSE(out["lesson"].contains("performance"));
  const Json& line = out["places"]["sections"][0]["lines"][0];
  EXPECT_EQ(out["places"]["sections"][0]["line"], 2);
  EXPECT_EQ(line["first"], 3);
  EXPECT_EQ(line["last"], 4);
  EXPECT_EQ(line["options"][0]["first"], 6);
  EXPECT_EQ(line["bars"][2],
            (Json{{"line", 3},
                  {"column", 11},
                  {"length", 4},
                  {"counts", 4},
                  {"chords", {{{"column", 11}, {"length", 2}}, {{"column", 14}, {"length", 1}}}}}));
}

// Under each place of a chord stands its symbol, also where the chart is reduced for a student.
TEST(Arrange, EveryPlaceIsThatOfItsChord) {
  for (const std::string& name : kExamples) {
    for (const Json& choices : {Json::object(), Json{{"level", 1}}, Json{{"level", 4}}}) {
      const std::string text = example(name);
      const Json out = told("/api/arrange", chart(text, {{"choices", choices}}));
      std::vector<std::string> lines;
      std::stringstream in(text);
      for (std::string line; std::getline(in, line);) lines.push_back(line);
      const Json& sections = out["lesson"]["sections"];
      ASSERT_EQ(sections.size(), out["places"]["sections"].size()) << name;
      for (std::size_t s = 0; s < sections.size(); ++s) {
        const Json& places = out["places"]["sections"][s]["lines"];
        ASSERT_EQ(sections[s]["lines"].size(), places.size());
        for (std::size_t l = 0; l < places.size(); ++l) {
          const Json& line = sections[s]["lines"][l];
          ASSERT_EQ(line["bars"].size(), places[l]["bars"].size());
          ASSERT_EQ(line["options"].size(), places[l]["options"].size());
          for (std::size_t b = 0; b < line["bars"].size(); ++b) {
            const Json& bar = places[l]["bars"][b];
            const Json& chords = line["bars"][b]["chords"];
            ASSERT_EQ(chords.size(), bar["chords"].size());
            for (std::size_t c = 0; c < chords.size(); ++c) {
              const std::string& typed = lines[bar["line"].get<std::size_t>() - 1];
              const std::string symbol =
                  typed.substr(bar["chords"][c]["column"].get<std::size_t>() - 1,
                               bar["chords"][c]["length"].get<std::size_t>());
              const auto chord = chords[c]["chord"].get<std::string>();
              if (choices.empty() && symbol != "-") {
                EXPECT_EQ(symbol, chord) << name;
              }
              EXPECT_TRUE(symbol == "-" || symbol[0] == chord[0]) << symbol << " " << chord;
            }
          }
        }
      }
    }
  }
}

TEST(Arrange, SaysTheSameAsTheCommandLine) {
  for (const std::string& name : kExamples) {
    const Json desk = told("/api/arrange", chart(example(name), {{"choices", {{"level", 3}}}}));
    const Json line = Json::parse(printed("arrange --json --level 3 " + example_file(name)));
    EXPECT_EQ(desk["lesson"]["right_hand"]["cost"], line["right_hand"]["cost"]) << name;
    EXPECT_EQ(desk["lesson"]["moves"].size(), line["moves"].size());
    EXPECT_EQ(desk["lesson"]["student"], line["student"]);
    EXPECT_EQ(desk["lesson"]["hardest_moves"], line["hardest_moves"]);
  }
}

TEST(Arrange, AnErrorIsNoFailureAndHasReplacements) {
  const Json out = told("/api/arrange", chart("section A\n| Amm | G |\nroad map Aa\n"));
  EXPECT_EQ(out["lesson"], nullptr);
  EXPECT_EQ(out["places"], nullptr);
  EXPECT_EQ(out["summary"], "");
  EXPECT_EQ(out["diagnostics"][0]["line"], 2);
  EXPECT_EQ(out["diagnostics"][0]["column"], 3);
  EXPECT_EQ(out["diagnostics"][0]["length"], 3);
  EXPECT_THAT(out["diagnostics"][0]["replacements"], ElementsAre("Am"));
  EXPECT_THAT(out["diagnostics"][1]["replacements"], ElementsAre("A"));
  const Json counts = told("/api/arrange", chart("meter 4/4\nsection A\n| C - G |\n"));
  EXPECT_THAT(counts["diagnostics"][0]["replacements"], ElementsAre("C - G -", "C - - G"));
}

TEST(Arrange, ReplacementsMakeTheChartWhole) {
  const std::string text = "meter 4/4\nsection A\n| C - G |\n";
  const Json out = told("/api/arrange", chart(text));
  for (const Json& replacement : out["diagnostics"][0]["replacements"]) {
    std::string mended = text;
    mended.replace(mended.find("C - G"), 5, replacement.get<std::string>());
    EXPECT_NE(told("/api/arrange", chart(mended))["lesson"], nullptr) << mended;
  }
}

TEST(Arrange, WhatTheHandsCannotPlayHasPlacesButNoLesson) {
  const Json out =
      told("/api/arrange", chart("section A\n| C | G |\nshape G  B3 D4 G4 B4  1 2 3 4\n"));
  EXPECT_EQ(out["lesson"], nullptr);
  EXPECT_NE(out["places"], nullptr);
  EXPECT_EQ(out["diagnostics"].back()["severity"], "error");
  EXPECT_EQ(out["diagnostics"].back()["line"], 3);
}

TEST(Arrange, ChoicesAreHonoured) {
  EXPECT_EQ(told("/api/arrange", chart(kText, {{"choices",
                                                {{"hand_size", "small"},
                                                 {"manner", "closest"},
                                                 {"note_names", "german"}}}}))["lesson"]["manner"],
            "closest");
  const Json out = told(
      "/api/arrange", chart(kText, {{"choices", {{"student", "mara"}, {"note_names", "german"}}}}));
  EXPECT_EQ(out["lesson"]["student"]["name"], "Mara");
  EXPECT_EQ(out["lesson"]["note_names"], "german");
}

// ---- the other routes

TEST(Lesson, IsTheFileThatTheCommandWrites) {
  const Answer a = ask("/api/lesson", chart());
  EXPECT_EQ(a.status, Status::ok);
  EXPECT_TRUE(Json::parse(a.body).contains("performance"));
}

TEST(Prices, TheShapeTakenCostsNothingMore) {
  for (const std::string& name : kExamples) {
    const Json shapes =
        told("/api/arrange", chart(example(name)))["lesson"]["right_hand"]["shapes"];
    const auto chord = shapes[0]["chord"].get<std::string>();
    const Json line =
        Json::parse(printed("arrange --json --prices " + chord + " " + example_file(name)));
    const Json out = told("/api/prices", chart(example(name), {{"chord", chord}}));
    ASSERT_EQ(out["shapes"].size(), line["prices"]["shapes"].size()) << name;
    int taken = 0;
    for (std::size_t i = 0; i < out["shapes"].size(); ++i) {
      EXPECT_EQ(out["shapes"][i]["midi"], line["prices"]["shapes"][i]["midi"]);
      EXPECT_EQ(out["shapes"][i]["more"], line["prices"]["shapes"][i]["more"]);
      if (!out["shapes"][i]["taken"]) continue;
      ++taken;
      EXPECT_EQ(out["shapes"][i]["more"], 0);
    }
    EXPECT_EQ(taken, 1) << name;
  }
}

TEST(PinAndUnpin, ThereAndBack) {
  const Json with = told("/api/pin", chart(kText, {{"chord", "G"}, {"midi", {59, 62, 67}}}));
  EXPECT_EQ(with["text"], kText + "\nshape G    B3 D4 G4\n");
  const Json lesson = told("/api/arrange", chart(with["text"]))["lesson"];
  EXPECT_TRUE(lesson["right_hand"]["shapes"][1]["pinned"]);
  EXPECT_EQ(told("/api/unpin", chart(with["text"], {{"chord", "G"}}))["text"], kText);
}

TEST(Format, AndTranspose) {
  const Json laid_out = told("/api/format", {{"name", "s"}, {"text", kText}});
  EXPECT_THAT(laid_out["text"].get<std::string>(), HasSubstr("key        C\n"));
  const Json moved = told("/api/transpose", {{"name", "s"}, {"text", kText}, {"key", "D"}});
  EXPECT_THAT(moved["text"].get<std::string>(), HasSubstr("| D | A | Bm G | D |"));
}

TEST(Import, ChordLines) {
  const Json out = told("/api/import",
                        {{"name", "../My Song.txt"}, {"content", "RCAgICBHCkhlbGxvIHdvcmxkCg=="}});
  EXPECT_EQ(out["name"], "My Song");
  EXPECT_NE(told("/api/arrange", chart(out["text"]))["lesson"], nullptr);
}

TEST(Keys, AreRankedAsOnTheCommandLine) {
  const Json out = told("/api/keys", chart(example("silent-night"), {{"singers", "A3-D5"}}));
  const Json line =
      Json::parse(printed("keys --json --singers A3-D5 " + example_file("silent-night")));
  ASSERT_EQ(out["keys"].size(), 12U);
  int now = 0;
  for (std::size_t i = 0; i < 12; ++i) {
    EXPECT_EQ(out["keys"][i]["key"], line["keys"][i]["key"]);
    EXPECT_EQ(out["keys"][i]["reasons"], line["keys"][i]["reasons"]);
    now += out["keys"][i]["now"] ? 1 : 0;
  }
  EXPECT_EQ(now, 1);
}

TEST(Extras, AcceptedOneGivesTheTextThatWasShown) {
  const std::string text = "key C\nsection A\n| C | F | G | C |\n";
  const Json out = told("/api/extras", chart(text));
  ASSERT_FALSE(out["extras"].empty());
  const Json& first = out["extras"][0];
  EXPECT_EQ(first["places"][0]["line"], 3);
  EXPECT_EQ(told("/api/extras/accept", chart(text, {{"id", first["id"]}}))["text"], first["text"]);
}

TEST(Words, OfTheKeyFirstAndWithoutAWholeChart) {
  const Json out = told("/api/words", {{"name", "s"}, {"text", "key G\nsection Verse\n| Zz"}});
  EXPECT_EQ(out["chords"][0], "G");
  EXPECT_EQ(out["chords"][1], "Am");
  EXPECT_THAT(out["sections"], ElementsAre("Verse"));
  EXPECT_FALSE(out["patterns"].empty());
  EXPECT_EQ(out["head"].size(), 16U);
  const Json minor = told("/api/words", {{"name", "s"}, {"text", "key Am\n"}});
  EXPECT_EQ(minor["chords"][0], "Am");
}

TEST(Performance, BarsCountsAndChordsAreInTime) {
  for (const std::string& name : kExamples) {
    const Json out = told("/api/performance", chart(example(name)));
    double before = out["count_in"];
    for (const Json& bar : out["bars"]) {
      EXPECT_NEAR(bar["start"], before, 0.02) << name;
      EXPECT_EQ(bar["counts"][0], bar["start"]);
      before = bar["end"];
    }
    EXPECT_NEAR(out["end"], before, 0.02);
    for (const Json& chord : out["chords"]) {
      const Json& bar = out["bars"][chord["bar"].get<std::size_t>()];
      EXPECT_GE(chord["start"], bar["start"]);
      EXPECT_LT(chord["start"], bar["end"]);
    }
    for (const Json& note : out["notes"]) EXPECT_LT(note["start"], note["end"]);
  }
}

TEST(Performance, AnOrLineIsPlayedByItsName) {
  const Json plain = told("/api/performance", chart());
  const Json with = told("/api/performance", chart(kText, {{"options", {"by step"}}}));
  EXPECT_EQ(plain["bars"][0]["option"], nullptr);
  EXPECT_EQ(with["bars"][0]["option"], 0);
  EXPECT_NE(plain["notes"], with["notes"]);
}

TEST(Sheet, IsPages) {
  const Json out = told("/api/sheet", chart(kText, {{"kind", "song"}, {"print", "large"}}));
  ASSERT_FALSE(out["pages"].empty());
  EXPECT_THAT(out["pages"][0].get<std::string>(), HasSubstr("<svg"));
}

// ---- bad bodies

struct Bad {
  std::string path;
  Json body;
  Status status;
  std::string error;
};

TEST(BadBodies, AreRefusedWithAReason) {
  const Json one{{"name", "s"}};
  const std::vector<Bad> all{
      {"/api/arrange", Json::array(), Status::not_understood, "the request is no JSON object"},
      {"/api/arrange", one, Status::not_understood, "`text` is missing"},
      {"/api/arrange", {{"name", 1}, {"text", ""}}, Status::not_understood, "`name` is no text"},
      {"/api/arrange", chart(kText, {{"txt", ""}}), Status::not_understood,
       "`txt` is no field of this request"},
      {"/api/arrange", chart(kText, {{"choices", 3}}), Status::not_understood,
       "`choices` is no JSON object"},
      {"/api/arrange", chart(kText, {{"choices", {{"level", 8}}}}), Status::not_understood,
       "`choices.level` is no whole number from 1 to 7"},
      {"/api/arrange", chart(kText, {{"choices", {{"levl", 8}}}}), Status::not_understood,
       "`choices.levl` is no field of this request"},
      {"/api/arrange", chart(kText, {{"choices", {{"left_hand", "x"}}}}), Status::not_understood,
       "`choices.left_hand`: there is no `x`"},
      {"/api/arrange", chart(kText, {{"choices", {{"level", 1}, {"student", "mara"}}}}),
       Status::not_understood, "`student` and `level` both say what the student has learned"},
      {"/api/arrange", chart(kText, {{"choices", {{"student", "nobody"}}}}), Status::chart_error,
       "there is no student nobody"},
      {"/api/arrange", chart(kText, {{"choices", {{"manner", "nobody"}}}}), Status::chart_error,
       "there is no manner nobody"},
      {"/api/lesson", chart("| Amm |"), Status::chart_error, ""},
      {"/api/prices", chart(), Status::not_understood, "`chord` is missing"},
      {"/api/prices", chart(kText, {{"chord", "Amm"}}), Status::chart_error, "`Amm` is no chord"},
      {"/api/prices", chart(kText, {{"chord", "F#"}}), Status::chart_error, ""},
      {"/api/pin", chart(kText, {{"chord", "G"}, {"midi", {59, 62, 999}}}), Status::not_understood,
       "`midi` is no list of whole numbers from 0 to 127"},
      {"/api/pin", chart(kText, {{"chord", "G"}, {"midi", {59, 63}}}), Status::chart_error,
       "piano key 63 is no note of G"},
      {"/api/pin", chart(kText, {{"chord", "G"}, {"midi", {55, 62, 79}}}), Status::chart_error,
       "the pinned shape of G cannot be played: it leaves the right hand's range"},
      {"/api/pin", chart(kText, {{"chord", "G"}}), Status::chart_error, ""},
      {"/api/unpin", chart(kText, {{"chord", "G"}}), Status::chart_error, "`G` is not pinned"},
      {"/api/format", {{"name", "s"}, {"text", "| Amm |"}}, Status::chart_error, ""},
      {"/api/transpose",
       {{"name", "s"}, {"text", kText}, {"key", "H"}},
       Status::chart_error,
       "`H` is no key"},
      {"/api/transpose", {{"name", "s"}, {"text", kText}, {"key", "Dm"}}, Status::chart_error, ""},
      {"/api/import",
       {{"name", "s"}, {"content", "abc"}},
       Status::not_understood,
       "`content` is not in base64"},
      {"/api/import", {{"name", "s"}, {"content", "AAAA"}}, Status::chart_error, ""},
      {"/api/keys", chart(kText, {{"singers", "low"}}), Status::chart_error, "`low` is no range"},
      {"/api/extras/accept", chart(kText, {{"id", "x"}}), Status::chart_error,
       "`x` is no extra of this chart"},
      {"/api/performance", chart(kText, {{"options", "x"}}), Status::not_understood,
       "`options` is no list of texts"},
      {"/api/performance", chart(kText, {{"options", {"x"}}}), Status::chart_error,
       "no `or` line is called `x`"},
      {"/api/sheet", chart(kText, {{"kind", "x"}}), Status::not_understood,
       "`kind`: there is no `x`"},
      {"/api/sheet", chart(kText, {{"kind", "moves"}, {"print", "large"}}), Status::chart_error,
       "the sheet of moves has no large print"},
  };
  for (const Bad& bad : all) {
    const Answer a = ask(bad.path, bad.body);
    EXPECT_EQ(a.status, bad.status) << bad.path << " " << bad.body << " " << a.body;
    const Json out = Json::parse(a.body);
    EXPECT_NE(out["error"], "");
    if (!bad.error.empty()) {
      EXPECT_EQ(out["error"], bad.error);
    }
    EXPECT_TRUE(out["remedy"].is_string());
  }
}

rc::Gen<Json> any_json(int depth) {
  const auto leaf =
      rc::gen::oneOf(rc::gen::just(Json(nullptr)),
                     rc::gen::map(rc::gen::arbitrary<bool>(), [](bool b) { return Json(b); }),
                     rc::gen::map(rc::gen::arbitrary<int>(), [](int n) { return Json(n); }),
                     rc::gen::map(rc::gen::arbitrary<double>(), [](double n) { return Json(n); }),
                     rc::gen::map(rc::gen::arbitrary<std::string>(),
                                  [](std::string s) { return Json(std::move(s)); }),
                     rc::gen::map(rc::gen::elementOf(std::vector<std::string>{
                                      kText, "G", "home", "section A\n| C |\n", "\xFF"}),
                                  [](std::string s) { return Json(std::move(s)); }));
  if (depth == 0) return leaf;
  const auto name = rc::gen::elementOf(std::vector<std::string>{
      "name",  "text",    "choices", "chord",     "midi",    "fingers", "section",
      "key",   "content", "singers", "id",        "options", "kind",    "print",
      "level", "student", "manner",  "left_hand", "pattern", "x"});
  return rc::gen::oneOf(leaf,
                        rc::gen::map(rc::gen::container<std::vector<Json>>(any_json(depth - 1)),
                                     [](std::vector<Json> v) { return Json(std::move(v)); }),
                        rc::gen::map(rc::gen::container<std::vector<std::pair<std::string, Json>>>(
                                         rc::gen::pair(name, any_json(depth - 1))),
                                     [](const std::vector<std::pair<std::string, Json>>& fields) {
                                       Json out = Json::object();
                                       for (const auto& [key, value] : fields) out[key] = value;
                                       return out;
                                     }));
}

TEST(AnyBody, GivesAWellFormedAnswer) {
  rc::check("any body", [] {
    const Json body = *any_json(2);
    for (const Route& route : pure_routes()) {
      const Answer a = route.reply(body, TestShelf());
      RC_ASSERT(Json::accept(a.body));
      const Json out = Json::parse(a.body);
      if (a.status == Status::ok) continue;
      RC_ASSERT(a.status != Status::own_fault);
      RC_ASSERT(out["error"].is_string() && out["error"] != "" && out["remedy"].is_string());
    }
  });
}

}  // namespace
}  // namespace stillhand::desk
