#include "write/plan_json.h"

#include <nlohmann/json.hpp>

namespace stillhand::write {
namespace {

using Json = nlohmann::ordered_json;

struct PartWriter {
  Json operator()(const PlanHeading& heading) const {
    return {{"kind", "heading"}, {"text", heading.text}, {"after", heading.after}};
  }
  Json operator()(const PlanStep& step) const {
    return {{"kind", "step"}, {"text", step.text}, {"after", step.after}};
  }
  Json operator()(const PlanParagraph& paragraph) const {
    return {{"kind", "paragraph"}, {"text", paragraph.text}};
  }
  Json operator()(const PlanSpeech& speech) const {
    return {{"kind", "speech"}, {"sentences", speech.sentences}};
  }
  Json operator()(const PlanCounts& counts) const {
    return {{"kind", "counts"}, {"lines", counts.lines}};
  }
  Json operator()(const PlanPoints& points) const {
    return {{"kind", "points"}, {"points", points.points}};
  }
  Json operator()(const PlanRows& rows) const {
    Json out = Json::array();
    for (const PlanRow& row : rows.rows) out.push_back({{"label", row.label}, {"text", row.text}});
    return {{"kind", "rows"}, {"rows", std::move(out)}};
  }
  Json operator()(const PlanShapes& shapes) const {
    Json out = Json::array();
    for (const PlanShapes::Item& item : shapes.shapes)
      out.push_back({{"shape", item.shape}, {"words", item.words}});
    return {{"kind", "shapes"}, {"shapes", std::move(out)}};
  }
};

}  // namespace

Json plan_json(const PlanDocument& document) {
  Json parts = Json::array();
  for (const PlanPart& part : document.parts) parts.push_back(std::visit(PartWriter{}, part));
  return parts;
}

}  // namespace stillhand::write
