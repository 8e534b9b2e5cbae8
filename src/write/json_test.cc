#include "write/json.h"

#include <gtest/gtest.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>

#include "write/demo_lesson.h"

namespace stillhand::write {
namespace {

using Json = nlohmann::json;

const std::string kSchema = std::string(STILLHAND_SOURCE_DIR) + "/docs/lesson.schema.json";
const std::string kTools = std::string(STILLHAND_SOURCE_DIR) + "/tools/js";

// Exit code of ajv, an independent implementation of JSON Schema 2020-12.
int validate(const std::string& json) {
  const std::string file = std::string(STILLHAND_BINARY_DIR) + "/json_test.json";
  std::ofstream(file, std::ios::binary) << json;
  const std::string command = "node " + kTools + "/validate.mjs " + kSchema + " " + file;
  return std::system(command.c_str());
}

bool has_ajv() { return std::filesystem::exists(kTools + "/node_modules/ajv"); }

TEST(LessonJson, SaysTheSongAndItsHands) {
  const Json json = Json::parse(lesson_json(test::demo_lesson()));
  EXPECT_EQ(json["song"]["title"], "Lamps Along the Quay");
  EXPECT_EQ(json["song"]["key"], "D");
  EXPECT_EQ(json["song"]["meter"], "4/4");
  EXPECT_EQ(json["song"]["tempo"], 66);
  EXPECT_EQ(json["song"]["range"]["lowest"], "A3");
  const Json& d = json["right_hand"]["shapes"][0];
  EXPECT_EQ(d["chord"], "D");
  EXPECT_EQ(d["notes"], (Json{"A3", "D4", "F#4"}));
  EXPECT_EQ(d["midi"], (Json{57, 62, 66}));
  EXPECT_EQ(d["fingers"], (Json{1, 3, 5}));
  EXPECT_EQ(d["degrees"], (Json{"5", "1", "3"}));
  EXPECT_EQ(d["inversion"], "second inversion");
  EXPECT_EQ(d["where"], nullptr);
  EXPECT_EQ(json["left_hand"]["positions"][0]["little_finger"], "G2");
  EXPECT_EQ(json["left_hand"]["positions"][0]["thumb"], "D3");
  const Json& move = json["moves"][4];
  EXPECT_EQ(move["from"], "Asus4");
  EXPECT_EQ(move["fingers"][0], (Json{{"finger", 3}, {"from", "D4"}, {"to", "C#4"}}));
  EXPECT_EQ(move["held"][1], (Json{{"note", "E4"}, {"before", 5}, {"after", 5}}));
  const Json& bar = json["sections"][0]["lines"][0]["bars"][1];
  EXPECT_EQ(bar["chords"][0]["bass"]["note"], "D3");
  EXPECT_EQ(bar["chords"][0]["shape"], 0);
  EXPECT_EQ(json["performance"]["notes"][0]["hand"], "right");
}

TEST(LessonJson, KeepsOneOrderOfKeysAndEndsInANewline) {
  const std::string text = lesson_json(test::demo_lesson());
  EXPECT_EQ(text.substr(0, 56),
            "{\n  \"version\": 1,\n  \"song\": {\n    \"title\": \"Lamps Along ");
  EXPECT_EQ(text.substr(text.size() - 3), "\n}\n");
  EXPECT_EQ(text, lesson_json(test::demo_lesson()));
}

TEST(LessonJson, FitsItsSchema) {
  if (!has_ajv()) GTEST_SKIP() << "ajv is missing: run npm ci in tools/js";
  EXPECT_EQ(validate(lesson_json(test::demo_lesson())), 0);
  teach::Lesson empty{};
  empty.tempo = music::Tempo(80);
  EXPECT_EQ(validate(lesson_json(empty)), 0);
}

TEST(LessonJson, TheSchemaRejectsWhatIsNotALesson) {
  if (!has_ajv()) GTEST_SKIP() << "ajv is missing: run npm ci in tools/js";
  const Json good = Json::parse(lesson_json(test::demo_lesson()));
  Json finger_six = good;
  finger_six["right_hand"]["shapes"][0]["fingers"][0] = 6;
  EXPECT_NE(validate(finger_six.dump()), 0);
  Json unknown_field = good;
  unknown_field["song"]["colour"] = "red";
  EXPECT_NE(validate(unknown_field.dump()), 0);
  Json missing = good;
  missing.erase("moves");
  EXPECT_NE(validate(missing.dump()), 0);
}

// Every field of the schema says what it is, or carries a name that does (a definition of its own).
TEST(LessonJson, TheSchemaNamesEveryFieldOfTheFile) {
  std::ifstream file(kSchema);
  const Json schema = Json::parse(file);
  const Json lesson = Json::parse(lesson_json(test::demo_lesson()));
  for (const auto& [name, value] : lesson.items()) {
    EXPECT_TRUE(schema["properties"].contains(name)) << name;
  }
  EXPECT_EQ(schema["required"].size(), lesson.size());
}

TEST(LessonJson, BadBytesDoNotStopIt) {
  teach::Lesson lesson = test::demo_lesson();
  lesson.title = "quay \xff";
  const Json json = Json::parse(lesson_json(lesson));
  EXPECT_EQ(json["song"]["title"], "quay \uFFFD");
}

}  // namespace
}  // namespace stillhand::write
