// Who may come in: the rules that every request meets before anything is done for it.
//
//   Gate gate{.port = 8437, .token = token};
//   if (const auto refused = gate.refusal(headers)) return *refused;
//
// - Host must be 127.0.0.1 or localhost with the desk's own port: another name that was made to lead here (DNS rebinding) is refused.
// - Origin and Sec-Fetch-Site, where a browser sends them, must be the desk's own page.
// - Under /api: "Authorization: Bearer TOKEN" (RFC 6750).
// - A body needs a Content-Length within the limit of its path and Content-Type application/json; Transfer-Encoding is refused.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <string_view>

#include "desk/answer.h"
#include "desk/desk.h"

namespace stillhand::desk {

struct Port {
  int number = 0;
};

// What is known of a request before its body is read. A header that is missing is nullopt; one that came twice is a refusal.
struct RequestHead {
  Method method = Method::get;
  std::string path;
  std::optional<std::string> host, origin, fetch_site, authorization, content_length, content_type,
      transfer_encoding;
  bool has_doubled_header = false;  // one of these came more than once
};

bool is_api(std::string_view path);  // what needs the secret

struct Gate {
  Port port;
  std::string token;
  std::optional<Answer> refusal(const RequestHead& head) const;
};

inline constexpr std::size_t kLongestPath = 1000;  // bytes (our judgement)

}  // namespace stillhand::desk
