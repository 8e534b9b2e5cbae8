#include <exception>

#include "desk/answers.h"

namespace stillhand::desk {
namespace {

// No exception leaves a route; there should be none.
template <Answer (*reply)(const Json&, const Shelf&)>
Answer guarded(const Json& body, const Shelf& shelf) {
  try {
    return reply(body, shelf);
  } catch (const std::exception&) {
    return problem(Status::own_fault, "the program made a mistake",
                   "change the chart a little and try once more; please tell us about it");
  }
}

}  // namespace

const std::vector<Route>& pure_routes() {
  static const std::vector<Route> routes{
      {"/api/arrange", guarded<arrange_answer>},
      {"/api/lesson", guarded<lesson_answer>},
      {"/api/prices", guarded<prices_answer>},
      {"/api/pin", guarded<pin_answer>},
      {"/api/unpin", guarded<unpin_answer>},
      {"/api/format", guarded<format_answer>},
      {"/api/transpose", guarded<transpose_answer>},
      {"/api/import", guarded<import_answer>},
      {"/api/keys", guarded<keys_answer>},
      {"/api/extras", guarded<extras_answer>},
      {"/api/extras/accept", guarded<accept_extra_answer>},
      {"/api/words", guarded<words_answer>},
      {"/api/performance", guarded<performance_answer>},
      {"/api/sheet", guarded<sheet_answer>},
  };
  return routes;
}

}  // namespace stillhand::desk
