// docs/desk-api.json against the routes and their real answers.
#include <gtest/gtest.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <memory>
#include <nlohmann/json.hpp>

#include "desk/answer.h"
#include "desk/desk.h"
#include "desk/folder.h"
#include "desk/gate.h"

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

// The whole desk without its sockets, over a folder of its own.
class OpenApiOfTheDesk : public ::testing::Test {
 protected:
  OpenApiOfTheDesk() {
    std::string name = (fs::temp_directory_path() / "stillhand-openapi-XXXXXX").string();
    path_ = ::mkdtemp(name.data());
    std::ofstream(path_ / "Quay.stillhand") << "key C\nsection A\n| C | F |\n";
    folder_ = *ChartFolder::open(path_);
    desk_ = std::make_unique<Desk>(*folder_, DeskOptions{"Stillhand 0"});
  }
  ~OpenApiOfTheDesk() override {
    desk_.reset();
    fs::remove_all(path_);
  }

  struct Call {
    std::string method, path;  // as the document has them
    std::string real;          // with its names filled in; "" as it stands
    Json body = nullptr;
    Status status = Status::ok;
  };
  static Method method_of(const std::string& name) {
    if (name == "get") return Method::get;
    if (name == "put") return Method::put;
    return name == "post" ? Method::post : Method::remove;
  }
  Answer answer(const Call& call) {
    return desk_->answer({method_of(call.method), call.real.empty() ? call.path : call.real,
                          call.body.is_null() ? "" : call.body.dump()});
  }
  Answer check(const Call& call) {
    const Json& said = api_["paths"][call.path][call.method];
    const auto schema = [](const Json& of) { return of["content"]["application/json"]["schema"]; };
    if (!call.body.is_null()) {
      const bool is_right =
          validate(schema_for(api_, schema(said["requestBody"])), call.body.dump()) == 0;
      EXPECT_EQ(is_right, call.status != Status::not_understood) << call.method << call.path;
    }
    const Answer found = answer(call);
    EXPECT_EQ(found.status, call.status) << call.method << ' ' << call.path << found.body;
    const std::string code = std::to_string(static_cast<int>(call.status));
    EXPECT_TRUE(said["responses"].contains(code)) << call.method << ' ' << call.path << code;
    if (found.type == "application/json" && said["responses"].contains(code)) {
      EXPECT_EQ(validate(schema_for(api_, schema(said["responses"][code])), found.body), 0)
          << call.method << ' ' << call.path << ' ' << code << found.body;
    }
    return found;
  }

  Json api_ = document();
  fs::path path_;
  std::unique_ptr<ChartFolder> folder_;
  std::unique_ptr<Desk> desk_;
};

TEST_F(OpenApiOfTheDesk, AnswersAsItSays) {
  if (!fs::exists(kTools + "/node_modules/ajv")) GTEST_SKIP() << "ajv is not installed";
  const std::string chart = "/api/charts/{name}";
  const Json read = Json::parse(check({"get", chart, "/api/charts/Quay"}).body);
  check({"get", chart, "/api/charts/None", nullptr, Status::not_found});
  Json save{{"text", "key D\n"}, {"base", read["revision"]}, {"window", "w"}};
  check({"put", chart, "/api/charts/Quay", save});
  save["text"] = "key E\n";
  check({"put", chart, "/api/charts/Quay", save, Status::conflict});
  check({"put", chart, "/api/charts/Quay", {{"text", 1}}, Status::not_understood});
  check({"put", chart + "/choices", "/api/charts/Quay/choices", {{"hand_size", "small"}}});
  const Json versions =
      Json::parse(check({"get", chart + "/versions", "/api/charts/Quay/versions"}).body);
  const std::string id = versions["versions"][0]["id"];
  check({"get", chart + "/versions/{id}", "/api/charts/Quay/versions/" + id});
  check(
      {"get", chart + "/versions/{id}", "/api/charts/Quay/versions/9", nullptr, Status::not_found});
  const std::string move = chart + "/move";
  check({"post", move, "/api/charts/Quay/move", {{"to", "Pier"}, {"window", "w"}}});
  check({"post",
         move,
         "/api/charts/Quay/move",
         {{"to", "Pier"}, {"window", "w"}},
         Status::not_found});
  check({"get", "/api/folder", ""});
  check({"delete", chart, "/api/charts/Pier"});
  check({"delete", chart, "/api/charts/Pier", nullptr, Status::not_found});
  check({"get", "/api/demo", ""});
  check({"get", "/api/piano/{midi}", "/api/piano/0", nullptr,
         answer({"get", "/api/piano", ""}).status == Status::ok ? Status::not_found
                                                                : Status::no_sound_font});
  check({"get", "/api/piano", "", nullptr, answer({"get", "/api/piano", ""}).status});

  Json wish{{"name", "Quay"},
            {"text", "key C\nsection A\n| C |\n"},
            {"what", {"midi", "page"}},
            {"sound", {"opus"}},
            {"calls", "none"}};
  const Json begun = Json::parse(check({"post", "/api/exports", "", wish}).body);
  const std::string at = "/api/exports/" + std::string(begun["id"]);
  Json state = begun;
  while (state["state"] == "running")
    state = Json::parse(check({"get", "/api/exports/{id}", at}).body);
  EXPECT_EQ(state["state"], "done") << state;
  check({"get", "/api/exports/{id}/files/{name}", at + "/files/page.html"});
  check({"get", "/api/exports/{id}/files/{name}", at + "/files/none", nullptr, Status::not_found});
  check({"delete", "/api/exports/{id}", at});
  check({"delete", "/api/exports/{id}", "/api/exports/99", nullptr, Status::not_found});
  wish["what"] = {"gold"};
  check({"post", "/api/exports", "", wish, Status::not_understood});
  wish["what"] = Json::array();
  wish["text"] = "key C\nsection A\n| Hx |\n";
  check({"post", "/api/exports", "", wish, Status::chart_error});
}

// What the gate refuses is a Problem as well.
TEST_F(OpenApiOfTheDesk, RefusesAsItSays) {
  if (!fs::exists(kTools + "/node_modules/ajv")) GTEST_SKIP() << "ajv is not installed";
  const Gate gate{Port{8437}, "secret"};
  RequestHead head;
  head.method = Method::post;
  head.path = "/api/arrange";
  const Json problem_schema = schema_for(api_, {{"$ref", "#/components/schemas/Problem"}});
  const auto refused = [&](Status status) {
    const auto found = gate.refusal(head);
    ASSERT_TRUE(found);
    EXPECT_EQ(found->status, status);
    const std::string code = std::to_string(static_cast<int>(status));
    EXPECT_TRUE(api_["paths"]["/api/arrange"]["post"]["responses"].contains(code)) << code;
    EXPECT_EQ(validate(problem_schema, found->body), 0) << found->body;
  };
  refused(Status::foreign_origin);
  head.host = "127.0.0.1:8437";
  refused(Status::no_token);
  head.authorization = "Bearer secret";
  refused(Status::no_length);
  head.content_length = "99999999999";
  refused(Status::too_large);
  head.content_length = "x";
  refused(Status::not_understood);
}

// Every path and method of the document is there, and no other.
TEST_F(OpenApiOfTheDesk, HasWhatTheDeskAnswersAndNothingElse) {
  for (const auto& [path, methods] : api_["paths"].items()) {
    if (path == "/api/events") continue;  // the server's own: a stream
    std::string real = path;
    for (const auto& [name, value] : std::vector<std::pair<std::string, std::string>>{
             {"{name}", "Quay"}, {"{id}", "1"}, {"{midi}", "60"}}) {
      const auto place = real.find(name);
      if (place != std::string::npos) real.replace(place, name.size(), value);
    }
    for (const char* method : {"get", "post", "put", "delete"}) {
      const bool has_body = std::string_view(method) == "post" || std::string_view(method) == "put";
      const Answer found = answer({method, path, real, has_body ? Json::object() : Json(nullptr)});
      EXPECT_EQ(found.status == Status::no_such_method, !methods.contains(method))
          << method << ' ' << path << found.body;
    }
  }
}

}  // namespace
}  // namespace stillhand::desk
