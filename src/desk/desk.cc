#include "desk/desk.h"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "base/utf8.h"
#include "chart/chart.h"
#include "desk/body.h"
#include "desk/embedded.h"

namespace stillhand::desk {
namespace {

constexpr std::string_view kExports = "/api/exports";

Answer no_such_chart(const std::string& name) {
  return problem(Status::not_found,
                 fmt::format("there is no chart {} in the folder", repaired(name)),
                 "it may have been renamed or removed; look at the list of songs");
}

Answer no_such_method() {
  return problem(Status::no_such_method, "this path does not take such a request",
                 "see the list of requests");
}

Answer no_such_path() {
  return problem(Status::not_found, "the desk has nothing of this name",
                 "see the list of requests");
}

// The string of a field; nullptr where it is missing or something else.
const std::string* text_of(const Json& body, const char* field) {
  const auto found = body.find(field);
  return found != body.end() && found->is_string() ? found->get_ptr<const std::string*>() : nullptr;
}

Answer missing(std::string_view field, std::string_view what) {
  return problem(Status::not_understood, fmt::format("`{}` is missing or is not {}", field, what),
                 "see the list of requests");
}

Json nullable(const std::optional<std::string>& text) { return text ? Json(*text) : Json(nullptr); }

}  // namespace

std::size_t largest_body(std::string_view path) {
  return path == "/api/import" ? kLargestImport : kLargestBody;
}

Desk::Desk(ChartFolder& folder, DeskOptions options)
    : folder_(folder), options_(std::move(options)), exports_(folder.path(), events_, piano_) {
  folder_.look();
}
Desk::~Desk() { events_.close(); }

void Desk::look() {
  const ChartFolder::Changes changes = folder_.look();
  for (const auto& [name, revision] : changes.charts) {
    events_.tell("chart", {{"name", name}, {"revision", nullable(revision)}, {"window", ""}});
  }
  if (changes.list) events_.tell("folder", Json::object());
}

Answer Desk::answer(const Request& request) {
  Json body = Json::object();
  if (request.method == Method::post || request.method == Method::put) {
    auto read = object_in(request.body);
    if (!read) {
      return problem(Status::not_understood, "the body is no JSON object",
                     "see the list of requests");
    }
    body = std::move(*read);
  }
  const std::string_view path = request.path;
  if (request.method == Method::post) {
    for (const Route& route : pure_routes()) {
      if (route.path == path) return route.reply(body, folder_);
    }
  }
  constexpr std::string_view kCharts = "/api/charts/";
  if (path.starts_with(kCharts)) {
    const std::string_view rest = path.substr(kCharts.size());
    const auto slash = rest.find('/');
    const std::string name(rest.substr(0, slash));
    return of_chart(request.method, name,
                    slash == std::string_view::npos ? std::string_view() : rest.substr(slash + 1),
                    body);
  }
  if (path == kExports || path.starts_with(std::string(kExports) + "/"))
    return of_export(request, body);
  const bool is_get = request.method == Method::get;
  if (path == "/api/piano") return is_get ? piano_.list() : no_such_method();
  constexpr std::string_view kPiano = "/api/piano/";
  if (path.starts_with(kPiano))
    return is_get ? piano_.sample(path.substr(kPiano.size())) : no_such_method();
  if (path == "/api/folder") return is_get ? folder_list() : no_such_method();
  if (path == "/api/demo") {
    return is_get ? desk::answer({{"name", "Lamps Along the Quay"}, {"text", data::demo_chart}})
                  : no_such_method();
  }
  const bool is_pure = std::any_of(pure_routes().begin(), pure_routes().end(),
                                   [&](const Route& route) { return route.path == path; });
  return is_pure ? no_such_method() : no_such_path();
}

Answer Desk::of_chart(Method method, const std::string& name, std::string_view rest,
                      const Json& body) {
  if (!is_plain_name(name)) return no_such_chart(name);
  if (rest.empty()) {
    if (method == Method::get) return read(name);
    if (method == Method::put) return save(name, body);
    return method == Method::remove ? remove(name) : no_such_method();
  }
  if (rest == "move") return method == Method::post ? move(name, body) : no_such_method();
  if (rest == "choices") return method == Method::put ? choose(name, body) : no_such_method();
  if (rest == "versions") return method == Method::get ? versions(name, "") : no_such_method();
  if (rest.starts_with("versions/"))
    return method == Method::get ? versions(name, rest.substr(9)) : no_such_method();
  return no_such_path();
}

Answer Desk::of_export(const Request& request, const Json& body) {
  const Method method = request.method;
  const std::string_view path = request.path;
  if (path == kExports)
    return method == Method::post ? exports_.start(body, folder_) : no_such_method();
  const std::string_view rest = path.substr(kExports.size() + 1);
  const auto slash = rest.find('/');
  const std::string_view id = rest.substr(0, slash);
  if (slash == std::string_view::npos) {
    if (method == Method::get) return exports_.state(id);
    return method == Method::remove ? exports_.cancel(id) : no_such_method();
  }
  constexpr std::string_view kFiles = "files/";
  const std::string_view what = rest.substr(slash + 1);
  if (!what.starts_with(kFiles)) return no_such_path();
  return method == Method::get ? exports_.file(id, what.substr(kFiles.size())) : no_such_method();
}

Answer Desk::folder_list() {
  const auto charts = folder_.charts();
  if (!charts) return problem(charts.error());
  Json list = Json::array();
  for (const ListedChart& chart : *charts)
    list.push_back({{"name", chart.name}, {"title", chart.title}});
  return desk::answer({{"folder", folder_.path().string()},
                       {"charts", std::move(list)},
                       {"students", folder_.students()},
                       {"manners", folder_.manners()},
                       {"program", options_.program}});
}

Answer Desk::read(const std::string& name) {
  const auto chart = folder_.read(name);
  if (!chart) return problem(chart.error());
  if (!*chart) return no_such_chart(name);
  return desk::answer({{"name", name},
                       {"text", (*chart)->text},
                       {"revision", (*chart)->revision},
                       {"choices", folder_.choices(name)}});
}

Answer Desk::save(const std::string& name, const Json& body) {
  const std::string* text = text_of(body, "text");
  if (text == nullptr) return missing("text", "a text");
  if (text->size() > chart::kLargestChart)
    return problem(Status::too_large, "a chart has at most 1 MB", "split it into several charts");
  const auto base = body.find("base");
  if (base == body.end() || !(base->is_string() || base->is_null()))
    return missing("base", "a revision or null");
  const std::string* window = text_of(body, "window");
  if (window == nullptr) return missing("window", "a text");
  const auto saved = folder_.save(
      name, *text, base->is_null() ? std::nullopt : std::optional(base->get<std::string>()));
  if (!saved) return problem(saved.error());
  if (const auto* overtaken = std::get_if<Overtaken>(&*saved)) {
    const auto& there = overtaken->there;
    Json out{{"error", there ? "another text has been saved in the meantime" : "the file has gone"},
             {"remedy", there ? "keep yours or take the other; neither is lost"
                              : "save it again as a new chart"},
             {"text", there ? there->text : ""},
             {"revision", there ? Json(there->revision) : Json(nullptr)}};
    Answer conflict = desk::answer(out);
    conflict.status = Status::conflict;
    return conflict;
  }
  const std::string& revision = std::get<Saved>(*saved).revision;
  events_.tell("chart", {{"name", name}, {"revision", revision}, {"window", *window}});
  if (base->is_null()) events_.tell("folder", Json::object());
  return desk::answer({{"revision", revision}});
}

Answer Desk::move(const std::string& name, const Json& body) {
  const std::string* to = text_of(body, "to");
  if (to == nullptr || !is_plain_name(*to)) {
    return problem(Status::not_understood, "`to` is no name for a chart",
                   "use letters, figures, blanks and hyphens; no slash, no dot in front");
  }
  const auto moved = folder_.move(name, *to);
  if (!moved) return problem(moved.error());
  if (!*moved) {
    const auto there = folder_.read(name);
    if (there && !*there) return no_such_chart(name);
    return problem(Status::conflict, fmt::format("there is a chart {} already", *to),
                   "choose another name");
  }
  const auto chart = folder_.read(*to);
  if (!chart) return problem(chart.error());
  const std::string revision = *chart ? (*chart)->revision : "";
  const std::string* window = text_of(body, "window");
  const std::string by = window != nullptr ? *window : "";
  events_.tell("chart", {{"name", name}, {"revision", nullptr}, {"window", by}});
  events_.tell("chart", {{"name", *to}, {"revision", revision}, {"window", by}});
  events_.tell("folder", Json::object());
  return desk::answer({{"revision", revision}});
}

Answer Desk::remove(const std::string& name) {
  const auto removed = folder_.remove(name);
  if (!removed) return problem(removed.error());
  if (!*removed) return no_such_chart(name);
  events_.tell("chart", {{"name", name}, {"revision", nullptr}, {"window", ""}});
  events_.tell("folder", Json::object());
  return desk::answer(Json::object());
}

Answer Desk::choose(const std::string& name, const Json& body) {
  if (body.dump(-1, ' ', false, Json::error_handler_t::replace).size() > kLargestChoices) {
    return problem(Status::too_large, "these choices are too large",
                   "choices of a chart have at most 16 KB");
  }
  if (auto done = folder_.choose(name, body); !done) return problem(done.error());
  events_.tell("choices", {{"name", name}, {"choices", body}, {"window", ""}});
  return desk::answer(Json::object());
}

Answer Desk::versions(const std::string& name, std::string_view id) {
  if (id.empty()) {
    const auto all = folder_.versions(name);
    if (!all) return problem(all.error());
    Json list = Json::array();
    for (const Version& version : *all)
      list.push_back({{"id", version.id}, {"saved", version.saved}, {"bytes", version.bytes}});
    return desk::answer({{"versions", std::move(list)}});
  }
  const auto text = folder_.version(name, std::string(id));
  if (!text) return problem(text.error());
  if (!*text) {
    return problem(Status::not_found, "this earlier version is not there any more",
                   "look at the list of versions again");
  }
  return desk::answer({{"text", **text}});
}

}  // namespace stillhand::desk
