#include "desk/body.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstdint>

#include "base/nearest.h"

namespace stillhand::desk {
namespace {

constexpr std::size_t kMostItems = 1000;  // of a list (our judgement)

std::optional<int> whole_number(const Json& value, int lowest, int highest) {
  if (!value.is_number_integer()) return std::nullopt;
  if (value.is_number_unsigned() && value.get<std::uint64_t>() > INT32_MAX) return std::nullopt;
  const auto number = value.get<std::int64_t>();
  if (number < lowest || number > highest) return std::nullopt;
  return static_cast<int>(number);
}

// Brackets within strings do not count.
bool is_too_deep(std::string_view text) {
  int depth = 0;
  bool is_string = false;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    if (is_string) {
      if (c == '\\') ++i;
      is_string = c != '"';
    } else if (c == '"') {
      is_string = true;
    } else if (c == '[' || c == '{') {
      if (++depth > kDeepest) return true;
    } else if (c == ']' || c == '}') {
      --depth;
    }
  }
  return false;
}

}  // namespace

std::optional<Json> object_in(std::string_view text) {
  if (is_too_deep(text)) return std::nullopt;
  Json out = Json::parse(text, nullptr, false);
  if (!out.is_object()) return std::nullopt;
  return out;
}

Fields::Fields(const Json& body, std::string within) : body_(body), within_(std::move(within)) {
  if (!body_.is_object()) {
    const std::string what = within_.empty() ? "the request" : "`" + within_ + "`";
    fail(fmt::format("{} is no JSON object", what), "send an object such as {\"name\": …}");
  }
  if (!within_.empty()) within_ += '.';
}

std::string Fields::quoted(std::string_view name) const {
  return fmt::format("`{}{}`", within_, name);
}

void Fields::fail(std::string_view error, std::string_view remedy) {
  if (!fault_) fault_ = problem(Status::not_understood, error, remedy);
}

const Json* Fields::find(std::string_view name) {
  known_.emplace(name);
  if (!body_.is_object()) return nullptr;
  const auto found = body_.find(name);
  return found == body_.end() || found->is_null() ? nullptr : &*found;
}

std::string Fields::text(std::string_view name) {
  if (find(name) == nullptr) {
    fail(fmt::format("{} is missing", quoted(name)), "send it as a text");
    return {};
  }
  return text_if_any(name).value_or("");
}

std::optional<std::string> Fields::text_if_any(std::string_view name) {
  const Json* value = find(name);
  if (value == nullptr) return std::nullopt;
  if (value->is_string()) return value->get<std::string>();
  fail(fmt::format("{} is no text", quoted(name)));
  return std::nullopt;
}

std::optional<std::string> Fields::word_if_any(std::string_view name,
                                               const std::vector<std::string>& words) {
  auto value = text_if_any(name);
  if (!value || std::find(words.begin(), words.end(), *value) != words.end()) return value;
  fail(fmt::format("{}: there is no `{}`", quoted(name), *value),
       fmt::format("it is one of: {}", fmt::join(words, ", ")));
  return std::nullopt;
}

std::optional<int> Fields::number_if_any(std::string_view name, int lowest, int highest) {
  const Json* value = find(name);
  if (value == nullptr) return std::nullopt;
  const auto number = whole_number(*value, lowest, highest);
  if (!number)
    fail(fmt::format("{} is no whole number from {} to {}", quoted(name), lowest, highest));
  return number;
}

std::optional<bool> Fields::flag_if_any(std::string_view name) {
  const Json* value = find(name);
  if (value == nullptr) return std::nullopt;
  if (value->is_boolean()) return value->get<bool>();
  fail(fmt::format("{} is neither true nor false", quoted(name)));
  return std::nullopt;
}

std::vector<int> Fields::numbers_if_any(std::string_view name, int lowest, int highest) {
  const Json* value = find(name);
  std::vector<int> out;
  if (value == nullptr) return out;
  bool right = value->is_array() && value->size() <= kMostItems;
  for (std::size_t i = 0; right && i < value->size(); ++i) {
    const auto number = whole_number((*value)[i], lowest, highest);
    right = number.has_value();
    if (right) out.push_back(*number);
  }
  if (right) return out;
  fail(fmt::format("{} is no list of whole numbers from {} to {}", quoted(name), lowest, highest));
  return {};
}

std::vector<std::string> Fields::texts_if_any(std::string_view name) {
  const Json* value = find(name);
  std::vector<std::string> out;
  if (value == nullptr) return out;
  bool right = value->is_array() && value->size() <= kMostItems;
  for (std::size_t i = 0; right && i < value->size(); ++i) {
    right = (*value)[i].is_string();
    if (right) out.push_back((*value)[i].get<std::string>());
  }
  if (right) return out;
  fail(fmt::format("{} is no list of texts", quoted(name)));
  return {};
}

Json Fields::object_if_any(std::string_view name) {
  const Json* value = find(name);
  if (value == nullptr) return Json::object();
  if (value->is_object()) return *value;
  fail(fmt::format("{} is no JSON object", quoted(name)));
  return Json::object();
}

std::optional<Answer> Fields::fault() {
  if (fault_ || !body_.is_object()) return fault_;
  for (const auto& [name, value] : body_.items()) {
    if (known_.contains(name)) continue;
    const auto near = nearest(name, {known_.begin(), known_.end()});
    fail(fmt::format("{} is no field of this request", quoted(name)),
         near ? fmt::format("did you mean `{}`?", *near) : "leave it out");
  }
  return fault_;
}

}  // namespace stillhand::desk
