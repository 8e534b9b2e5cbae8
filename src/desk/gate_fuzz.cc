// Any head of a request: nothing comes in that lacks the desk's own address or, under /api, the secret; whatever is refused is
// told in JSON with a reason. The first byte picks the method, the second which headers are there; the rest, cut at line breaks, is
// what stands in them, where "@" stands for what would be right.
#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "desk/gate.h"

namespace {

using namespace stillhand::desk;

class Lines {
 public:
  explicit Lines(std::string_view text) : rest_(text) {}
  std::string next(std::string_view right) {
    const std::string_view line = rest_.substr(0, rest_.find('\n'));
    rest_.remove_prefix(std::min(rest_.size(), line.size() + 1));
    std::string out;
    for (const char c : line) {
      if (c == '@') {
        out += right;
      } else {
        out += c;
      }
    }
    return out;
  }

 private:
  std::string_view rest_;
};

void must(bool holds) {
  if (!holds) __builtin_trap();
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  if (size < 2) return 0;
  const std::string token(64, 'a');
  const Gate gate{Port{8437}, token};
  Lines lines(std::string_view(reinterpret_cast<const char*>(data + 2), size - 2));
  const auto given = [&, bits = static_cast<unsigned>(data[1])](unsigned bit,
                                                                std::string_view right) {
    const std::string line = lines.next(right);
    return (bits >> bit & 1U) != 0 ? std::optional(line) : std::nullopt;
  };
  RequestHead head;
  head.method = static_cast<Method>(data[0] % 5);
  head.has_doubled_header = (data[0] & 0x80U) != 0;
  head.path = lines.next("/api/arrange");
  head.host = given(0, "127.0.0.1:8437");
  head.origin = given(1, "http://127.0.0.1:8437");
  head.fetch_site = given(2, "same-origin");
  head.authorization = given(3, "Bearer " + token);
  head.content_length = given(4, "100");
  head.content_type = given(5, "application/json");
  head.transfer_encoding = given(6, "chunked");
  const auto refused = gate.refusal(head);
  if (refused) {
    must(refused->status != Status::ok && refused->status != Status::own_fault);
    const Json out = Json::parse(refused->body, nullptr, false);
    must(out.is_object() && out["error"].is_string() && out["error"] != "");
    return 0;
  }
  must(head.host == "127.0.0.1:8437" || head.host == "localhost:8437");
  must(!head.has_doubled_header && !head.transfer_encoding);
  must(!head.origin || *head.origin == "http://127.0.0.1:8437" ||
       *head.origin == "http://localhost:8437");
  if (!head.path.starts_with("/api/") && head.path != "/api") {
    must(head.method == Method::get);
    return 0;
  }
  must(head.authorization == "Bearer " + token);
  const bool has_body = head.method == Method::post || head.method == Method::put;
  if (has_body)
    must(head.content_length && std::stoull(*head.content_length) <= largest_body(head.path));
  return 0;
}
