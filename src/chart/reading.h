// A chart read as a whole: its text, its lines and its Song. What parse(), format() and transpose()
// share.
#pragma once

#include <memory>

#include "chart/build.h"
#include "chart/text.h"

namespace stillhand::chart {

struct Reading {
  std::unique_ptr<const Source> source;  // the lines point into it
  ChartText text;
  Song song;
  Diagnostics remarks;
};

Result<Reading> read_chart(std::string_view text, const std::string& file);

}  // namespace stillhand::chart
