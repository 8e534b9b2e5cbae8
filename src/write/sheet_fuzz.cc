// Any text as a chart, all the way to every sheet: nothing overlaps and nothing is cut, whatever the song is called, sung or
// made of. The measurer of the tests stands in for the fonts, so that a run shapes no text.
#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <string_view>

#include "arrange/arrange.h"
#include "chart/chart.h"
#include "teach/lesson.h"
#include "write/moves_sheet_layout.h"
#include "write/sheet.h"
#include "write/sheet_checks.h"
#include "write/sheet_draw.h"
#include "write/sheet_svg.h"

namespace {

using namespace stillhand;

void stop_at(const std::vector<std::string>& faults) {
  if (faults.empty()) return;
  for (const std::string& fault : faults) std::fprintf(stderr, "%s\n", fault.c_str());
  __builtin_trap();
}

void set(const teach::Lesson& lesson, const write::SheetOptions& options) {
  static const write::test::EvenMeasurer measurer;
  const write::SheetPages pages = write::lay_out(lesson, options, measurer);
  write::SheetStyle style = write::style_for(options.paper, options.print);
  if (options.kind == write::SheetKind::moves) style = write::for_moves(style);
  stop_at(write::test::collisions(pages, style));
  stop_at(write::test::outside(pages, style));
  if (write::draw_svg(pages, {lesson.title, lesson.writers}, "sheet").size() != pages.pages.size())
    __builtin_trap();
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  if (size > 1500) return 0;  // long charts only repeat what short ones show
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const auto parsed = chart::parse(text, "fuzz");
  if (!parsed || parsed->song.road_map.size() > 20) return 0;
  arrange::Choices choices;
  choices.state_limit = 2000;
  // The length of the text stands for a choice, so that all rungs, papers and prints come in turn.
  constexpr std::size_t kRungs = 6;
  choices.rung = static_cast<arrange::Rung>(size % kRungs);
  const auto arranged = arrange::arrange(parsed->song, choices);
  if (!arranged) return 0;
  const teach::Lesson lesson = teach::teach(*arranged);
  write::SheetOptions options;
  options.paper = size / kRungs % 2 == 0 ? write::Paper::a4 : write::Paper::letter;
  for (const write::SheetKind kind : write::all_sheet_kinds()) {
    options.kind = kind;
    for (const write::Print print : {write::Print::normal, write::Print::large}) {
      if (kind == write::SheetKind::moves && print == write::Print::large) continue;
      options.print = print;
      set(lesson, options);
    }
  }
  return 0;
}
