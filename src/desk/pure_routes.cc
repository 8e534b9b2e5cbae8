#include "desk/answers.h"

namespace stillhand::desk {

const std::vector<Route>& pure_routes() {
  static const std::vector<Route> routes{
      {"/api/arrange", arrange_answer},
      {"/api/lesson", lesson_answer},
  };
  return routes;
}

}  // namespace stillhand::desk
