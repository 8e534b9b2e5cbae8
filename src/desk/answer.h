// What the desk's server says to one request, before it is HTTP. web/desk/api.ts names every request and its answer.
//
//   Answer a = answer(Json{{"text", formatted}});              200
//   Answer b = problem(Status::not_found, "there is no chart Quay", "…");
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"

namespace stillhand::desk {

using Json = nlohmann::ordered_json;

// HTTP status codes (RFC 9110; 429 RFC 6585; 507 RFC 4918): those that the desk uses.
enum class Status {
  ok = 200,
  not_understood = 400,
  no_token = 401,
  foreign_origin = 403,
  not_found = 404,
  no_such_method = 405,
  timed_out = 408,
  conflict = 409,
  no_length = 411,
  too_large = 413,
  chart_error = 422,
  too_many = 429,
  own_fault = 500,
  no_sound_font = 503,
  no_room_on_disk = 507,
};

struct Answer {
  Status status = Status::ok;
  std::string type = "application/json";  // media type of the body
  std::string body;                       // JSON is UTF-8 without line breaks; bad bytes are U+FFFD
};

Answer answer(const Json& body);

// A Problem. `diagnostics` are those of a chart, for Status::chart_error.
Answer problem(Status status, std::string_view error, std::string_view remedy,
               const Diagnostics& diagnostics = {});
// Of a failed Result: Fault::chart and Fault::usage are chart_error, Fault::file is no_room_on_disk where the disk is full and
// own_fault else.
Answer problem(const Diagnostics& errors);

// A Diagnostic as api.ts has it.
Json diagnostic_json(const Diagnostic& diagnostic);

// What a request may read of the teacher's folder besides the chart it brings along.
class Shelf {
 public:
  Shelf() = default;
  Shelf(const Shelf&) = delete;
  Shelf& operator=(const Shelf&) = delete;
  virtual ~Shelf() = default;
  // The texts of NAME.student and NAME.manner. Fails, Fault::file, where there is no such file or the name is no plain name.
  virtual Result<std::string> student(const std::string& name) const = 0;
  virtual Result<std::string> manner(const std::string& name) const = 0;
};

// A request that needs nothing but its own body and the shelf: the same body and files, the same answer. May be called by
// several threads at once.
struct Route {
  std::string_view path;  // "/api/arrange"; all are POST
  Answer (*reply)(const Json& body, const Shelf& shelf);
};
const std::vector<Route>& pure_routes();

}  // namespace stillhand::desk
