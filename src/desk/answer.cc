#include "desk/answer.h"

#include <algorithm>
#include <nlohmann/json.hpp>

namespace stillhand::desk {
namespace {

std::string_view name(Severity severity) {
  switch (severity) {
    case Severity::error:
      return "error";
    case Severity::warning:
      return "warning";
    case Severity::note:
      break;
  }
  return "note";
}

std::string compact(const Json& json) {
  return json.dump(-1, ' ', false, Json::error_handler_t::replace);
}

}  // namespace

Answer answer(const Json& body) { return {Status::ok, "application/json", compact(body)}; }

Json diagnostic_json(const Diagnostic& diagnostic) {
  return {{"severity", name(diagnostic.severity)}, {"line", diagnostic.place.line},
          {"column", diagnostic.place.column},     {"length", diagnostic.place.length},
          {"message", diagnostic.message},         {"suggestion", diagnostic.suggestion},
          {"replacements", Json::array()}};
}

Answer problem(Status status, std::string_view error, std::string_view remedy,
               const Diagnostics& diagnostics) {
  Json body{{"error", error}, {"remedy", remedy}};
  if (!diagnostics.empty()) {
    body["diagnostics"] = Json::array();
    for (const Diagnostic& d : diagnostics) body["diagnostics"].push_back(diagnostic_json(d));
  }
  return {status, "application/json", compact(body)};
}

}  // namespace stillhand::desk
