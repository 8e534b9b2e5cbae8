// docs/desk-api.json against the routes and their real answers.
#include <gtest/gtest.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>

#include "desk/answer.h"

namespace stillhand::desk {
namespace {

namespace fs = std::filesystem;

const std::string kTools = std::string(STILLHAND_SOURCE_DIR) + "/tools/js";

class NoShelf : public Shelf {
 public:
  Result<std::string> student(const std::string& name) const override {
    return failure(Fault::file, name, "there is no such student");
  }
  Result<std::string> manner(const std::string& name) const override {
    return failure(Fault::file, name, "there is no such manner");
  }
};

Json document() {
  std::ifstream in(std::string(STILLHAND_SOURCE_DIR) + "/docs/desk-api.json");
  return Json::parse(in);
}

// One schema of the document by itself, for JSON Schema 2020-12: what it refers to comes along.
Json schema_for(const Json& api, const Json& wanted) {
  std::string text = Json{{"$schema", "https://json-schema.org/draft/2020-12/schema"},
                          {"$ref", wanted["$ref"]},
                          {"$defs", api["components"]["schemas"]}}
                         .dump();
  const std::string from = "#/components/schemas/";
  for (std::size_t at = 0; (at = text.find(from, at)) != std::string::npos;)
    text.replace(at, from.size(), "#/$defs/");
  return Json::parse(text);
}

int validate(const Json& schema, const std::string& data) {
  const std::string at = std::string(STILLHAND_BINARY_DIR) + "/openapi_test";
  std::ofstream(at + ".schema.json", std::ios::binary) << schema;
  std::ofstream(at + ".json", std::ios::binary) << data;
  const std::string call =
      "node " + kTools + "/validate.mjs " + at + ".schema.json " + at + ".json";
  return std::system(call.c_str());
}

Json asked(const std::string& path) {
  const std::string text =
      "key C\nrange C4-C5\nsection A\n| C | F | G | C |\nor by step\n| C | F | G/B | C |\n"
      "shape G  B3 D4 G4\n";
  Json body{{"name", "Song"}, {"text", text}};
  const bool is_plain = path == "/api/format" || path == "/api/transpose" || path == "/api/words";
  if (!is_plain && path != "/api/import") body["choices"] = {{"hand_size", "small"}};
  if (path == "/api/prices" || path == "/api/unpin") body["chord"] = "G";
  if (path == "/api/pin") body.update({{"chord", "C"}, {"midi", {60, 64, 67}}});
  if (path == "/api/transpose") body["key"] = "D";
  if (path == "/api/import")
    body = {{"name", "a.txt"}, {"content", "RCAgICBHCkhlbGxvIHdvcmxkCg=="}};
  if (path == "/api/extras/accept") body["id"] = "";  // filled in
  if (path == "/api/performance") body["options"] = {"by step"};
  if (path == "/api/sheet") body.update({{"kind", "song"}, {"print", "normal"}});
  return body;
}

const Route& route_of(const std::string& path) {
  for (const Route& route : pure_routes()) {
    if (route.path == path) return route;
  }
  std::abort();
}

TEST(OpenApi, HasEveryPureRoute) {
  const Json api = document();
  for (const Route& route : pure_routes())
    EXPECT_TRUE(api["paths"][std::string(route.path)].contains("post")) << route.path;
}

TEST(OpenApi, EveryAnswerAndEveryRequestIsAsItSays) {
  if (!fs::exists(kTools + "/node_modules/ajv")) GTEST_SKIP() << "ajv is not installed";
  const Json api = document();
  for (const Route& route : pure_routes()) {
    const std::string path(route.path);
    Json body = asked(path);
    if (path == "/api/extras/accept") {
      const Answer extras = route_of("/api/extras").reply(asked("/api/extras"), NoShelf());
      body["id"] = Json::parse(extras.body)["extras"][0]["id"];
    }
    const Json& post = api["paths"][path]["post"];
    const auto schema = [](const Json& of) { return of["content"]["application/json"]["schema"]; };
    EXPECT_EQ(validate(schema_for(api, schema(post["requestBody"])), body.dump()), 0) << path;
    const Answer good = route.reply(body, NoShelf());
    ASSERT_EQ(good.status, Status::ok) << path << good.body;
    EXPECT_EQ(validate(schema_for(api, schema(post["responses"]["200"])), good.body), 0) << path;
    const Answer bad = route.reply({{"name", 1}}, NoShelf());
    EXPECT_EQ(validate(schema_for(api, schema(post["responses"]["400"])), bad.body), 0) << path;
  }
}

}  // namespace
}  // namespace stillhand::desk
