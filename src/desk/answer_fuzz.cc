// Any body to any route: the first byte picks the route, the rest is its JSON. Where it is no JSON, it is the text of a chart.
#include <cstddef>
#include <cstdint>
#include <nlohmann/json.hpp>
#include <string_view>

#include "desk/answer.h"

namespace {

class EmptyShelf : public stillhand::desk::Shelf {
 public:
  stillhand::Result<std::string> student(const std::string& name) const override {
    return stillhand::failure(stillhand::Fault::file, name, "there is no such student");
  }
  stillhand::Result<std::string> manner(const std::string& name) const override {
    return stillhand::failure(stillhand::Fault::file, name, "there is no such manner");
  }
};

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace stillhand::desk;
  if (size == 0 || size > 1500) return 0;  // long charts only repeat what short ones show
  const auto& routes = pure_routes();
  const Route& route = routes[data[0] % routes.size()];
  const std::string text(reinterpret_cast<const char*>(data + 1), size - 1);
  Json body = Json::parse(text, nullptr, false);
  if (body.is_discarded()) body = {{"name", "fuzz"}, {"text", text}};
  const Answer answer = route.reply(body, EmptyShelf());
  const Json out = Json::parse(answer.body, nullptr, false);
  if (out.is_discarded() || answer.status == Status::own_fault) __builtin_trap();
  if (answer.status != Status::ok && out["error"] == "") __builtin_trap();
  return 0;
}
