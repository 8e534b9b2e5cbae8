#include "desk/answer.h"

#include <cerrno>
#include <nlohmann/json.hpp>

namespace stillhand::desk {
namespace {

// The texts in backticks.
Json backticked(std::string_view text) {
  Json out = Json::array();
  while (true) {
    const std::size_t begin = text.find('`');
    const std::size_t end =
        begin == std::string_view::npos ? std::string_view::npos : text.find('`', begin + 1);
    if (end == std::string_view::npos) return out;
    const std::string_view found = text.substr(begin + 1, end - begin - 1);
    if (found.find("…") == std::string_view::npos)
      out.push_back(found);  // not one that a message has cut
    text.remove_prefix(end + 1);
  }
}

// The wordings whose backticked texts may stand where the fault is underlined; others speak of another place, or only show
// what such a thing looks like.
Json replacements(const Diagnostic& diagnostic) {
  if (diagnostic.place.line == 0) return Json::array();
  for (const std::string_view words : {"did you mean ", "perhaps ", "the sections are "}) {
    if (diagnostic.suggestion.starts_with(words)) return backticked(diagnostic.suggestion);
  }
  return Json::array();
}

std::string compact(const Json& json) {
  return json.dump(-1, ' ', false, Json::error_handler_t::replace);
}

}  // namespace

Answer answer(const Json& body) { return {Status::ok, "application/json", compact(body)}; }

Json diagnostic_json(const Diagnostic& diagnostic) {
  return {{"severity", name(diagnostic.severity)},   {"line", diagnostic.place.line},
          {"column", diagnostic.place.column},       {"length", diagnostic.place.length},
          {"message", diagnostic.message},           {"suggestion", diagnostic.suggestion},
          {"replacements", replacements(diagnostic)}};
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

Answer problem(const Diagnostics& errors) {
  if (errors.empty()) return problem(Status::own_fault, "something went wrong", "try once more");
  const Diagnostic& first = errors.front();
  const bool disk_is_full = first.system_error == ENOSPC || first.system_error == EDQUOT;
  const Status status = first.fault != Fault::file ? Status::chart_error
                        : disk_is_full             ? Status::no_room_on_disk
                                                   : Status::own_fault;
  // Which file it is must be said; which chart it is the page knows.
  const bool names_file = first.fault == Fault::file && !first.file.empty();
  return problem(status, names_file ? first.file + ": " + first.message : first.message,
                 first.suggestion, errors);
}

}  // namespace stillhand::desk
