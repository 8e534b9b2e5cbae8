// A plan for readers in a browser: its parts in order, each with its kind and the fields of plan_document.h.
//
//   plan_json(student_document(lesson, {}))     [{"kind": "heading", "text": "Day 1", "after": "25 minutes"}, …]
#pragma once

#include <nlohmann/json_fwd.hpp>

#include "write/plan_document.h"

namespace stillhand::write {

nlohmann::ordered_json plan_json(const PlanDocument& document);

}  // namespace stillhand::write
