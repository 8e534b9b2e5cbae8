// The chart and the teacher's choices that most requests bring along (ChartText in web/desk/api.ts).
//
//   Fields fields(body);
//   const auto asked = read_chart_text(fields, shelf);
//   if (auto fault = fields.fault()) return *fault;      // what the body lacks, 400
//   if (!asked) return asked.error();                    // what cannot be had, 422: no such student
#pragma once

#include <optional>
#include <string>

#include "desk/answer.h"
#include "desk/body.h"
#include "teach/from_chart.h"
#include "write/sheet.h"

namespace stillhand::desk {

struct AskedChart {
  std::string name;
  std::string text;
  teach::Wishes wishes;
  std::optional<music::NoteNames> note_names;  // otherwise the student's
  write::Paper paper = write::Paper::a4;
};

template <class T>
using OrProblem = tl::expected<T, Answer>;

// `choices` may be missing: none are made.
OrProblem<AskedChart> read_chart_text(Fields& fields, const Shelf& shelf);
// The whole body.
OrProblem<AskedChart> read_chart_text(const Json& body, const Shelf& shelf);

// Read and arranged. Errors: a Problem, 422, with the chart's diagnostics.
OrProblem<teach::LoadedFor> load(const AskedChart& asked);
OrProblem<teach::Arranged> arranged(const AskedChart& asked);
// As teach::arrange_loaded, but with the note names that were asked for.
Result<teach::Arranged> arrange_loaded(teach::LoadedFor song, const AskedChart& asked,
                                       Diagnostics& remarks);

}  // namespace stillhand::desk
