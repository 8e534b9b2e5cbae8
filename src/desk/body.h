// The body of a request, read field by field. The first thing that is wrong is kept and becomes a Problem, 400.
//
//   Fields fields(body);
//   const std::string text = fields.text("text");
//   const auto level = fields.number_if_any("level", 1, 7);
//   if (auto fault = fields.fault()) return *fault;        "`level` is no whole number from 1 to 7"
//
// What cannot be read comes back empty. A field that nobody asked for is a fault too: a misspelt wish must not be left out
// in silence. A field that is null counts as missing.
#pragma once

#include <nlohmann/json.hpp>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "desk/answer.h"

namespace stillhand::desk {

inline constexpr int kDeepest = 50;  // arrays and objects within each other (our judgement)
// nullopt where it is no JSON object, or nested deeper than kDeepest: what copies and writes JSON goes into itself for each
// level, and the end of the stack is the end of the desk.
std::optional<Json> object_in(std::string_view text);

class Fields {
 public:
  // `within` stands before the names in messages: "choices.".
  explicit Fields(const Json& body, std::string within = {});

  std::string text(std::string_view name);
  std::optional<std::string> text_if_any(std::string_view name);
  // One of these.
  std::optional<std::string> word_if_any(std::string_view name,
                                         const std::vector<std::string>& words);
  std::optional<int> number_if_any(std::string_view name, int lowest, int highest);
  std::optional<bool> flag_if_any(std::string_view name);
  // Empty if missing.
  std::vector<int> numbers_if_any(std::string_view name, int lowest, int highest);
  std::vector<std::string> texts_if_any(std::string_view name);
  // An empty object if missing.
  Json object_if_any(std::string_view name);

  // To be asked last: it also finds the fields that were not asked for.
  std::optional<Answer> fault();

 private:
  const Json* find(std::string_view name);
  void fail(std::string_view error, std::string_view remedy = {});
  std::string quoted(std::string_view name) const;

  const Json& body_;
  std::string within_;
  std::set<std::string, std::less<>> known_;
  std::optional<Answer> fault_;
};

}  // namespace stillhand::desk
