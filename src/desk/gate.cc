#include "desk/gate.h"

#include <fmt/format.h>

#include <charconv>

#include "desk/token.h"

namespace stillhand::desk {
namespace {

bool has_body(Method method) { return method == Method::post || method == Method::put; }

Answer foreign(std::string_view what) {
  return problem(Status::foreign_origin, what, "open the address that `stillhand desk` printed");
}

}  // namespace

bool is_api(std::string_view path) { return path == "/api" || path.starts_with("/api/"); }

std::optional<Answer> Gate::refusal(const RequestHead& head) const {
  const std::string by_number = fmt::format("127.0.0.1:{}", port.number);
  const std::string by_name = fmt::format("localhost:{}", port.number);
  if (head.has_doubled_header)
    return problem(Status::not_understood, "a header came twice", "send it once");
  if (!head.host || (*head.host != by_number && *head.host != by_name))
    return foreign("the desk answers only at its own address");
  if (head.origin && *head.origin != "http://" + by_number && *head.origin != "http://" + by_name)
    return foreign("the desk answers only its own page");
  if (head.fetch_site && *head.fetch_site != "same-origin" && *head.fetch_site != "none" &&
      is_api(head.path))
    return foreign("the desk answers only its own page");
  if (head.path.size() > kLongestPath)
    return problem(Status::not_found, "the desk has nothing of this name",
                   "see the list of requests");
  if (head.transfer_encoding)
    return problem(Status::no_length, "a body must come with its length", "send a Content-Length");
  if (!is_api(head.path)) {
    if (head.method == Method::get && !head.content_length) return std::nullopt;
    return problem(Status::no_such_method, "the page can only be read", "see the list of requests");
  }
  constexpr std::string_view kBearer = "Bearer ";
  if (!head.authorization || !head.authorization->starts_with(kBearer) ||
      !is_same_token(std::string_view(*head.authorization).substr(kBearer.size()), token)) {
    return problem(Status::no_token, "the desk does not know this page",
                   "open the address that `stillhand desk` printed");
  }
  if (head.method == Method::other)
    return problem(Status::no_such_method, "the desk knows no such request",
                   "see the list of requests");
  if (!has_body(head.method)) {
    if (!head.content_length || *head.content_length == "0") return std::nullopt;
    return problem(Status::not_understood, "this request takes no body", "send it without one");
  }
  if (!head.content_length)
    return problem(Status::no_length, "a body must come with its length", "send a Content-Length");
  std::size_t length = 0;
  const char* end = head.content_length->data() + head.content_length->size();
  const auto read = std::from_chars(head.content_length->data(), end, length);
  if (read.ec != std::errc{} || read.ptr != end)
    return problem(Status::not_understood, "the Content-Length is no number",
                   "send the body's bytes");
  if (length > largest_body(head.path)) {
    return problem(Status::too_large,
                   fmt::format("this request takes at most {} MB", largest_body(head.path) >> 20),
                   "a chart has at most 1 MB, a file to be imported 16 MB");
  }
  if (!head.content_type || !head.content_type->starts_with("application/json"))
    return problem(Status::not_understood, "the body must be JSON",
                   "send Content-Type: application/json");
  return std::nullopt;
}

}  // namespace stillhand::desk
