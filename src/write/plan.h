// The plans of a lesson on paper and as text: the teacher's, and the student's.
//
//   std::string text = write::plan_markdown(lesson, {.reader = PlanReader::student});
//   Result<std::string> pdf = write::plan_pdf(lesson, {.paper = Paper::letter});
//
// Markdown is CommonMark 0.31 without tables or HTML; what the chart says is escaped. The PDF has the fonts, sizes and
// pictures of the sheet. Both say the same (plan_document.h). The same lesson gives the same bytes.
// Errors of the PDF (Fault::file): a font is missing.
#pragma once

#include <string>
#include <vector>

#include "base/result.h"
#include "teach/practice.h"
#include "write/sheet.h"
#include "write/sheet_text.h"

namespace stillhand::write {

enum class PlanReader { teacher, student };

struct PlanOptions {
  PlanReader reader = PlanReader::teacher;
  Paper paper = Paper::a4;
  std::vector<teach::PracticeTrack> tracks = {};  // that lie beside the plan
};

std::string plan_markdown(const teach::Lesson& lesson, const PlanOptions& options);
Result<std::string> plan_pdf(const teach::Lesson& lesson, const PlanOptions& options);

// The pages of the PDF before they are drawn.
SheetPages lay_out_plan(const teach::Lesson& lesson, const PlanOptions& options,
                        const TextMeasurer& measurer);

}  // namespace stillhand::write
