// Any text as a chart, all the way to the lesson: what can be read is arranged and taught, or refused
// with a reason.
#include <cstddef>
#include <cstdint>
#include <string_view>

#include "arrange/arrange.h"
#include "chart/chart.h"
#include "teach/lesson.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace stillhand;
  if (size > 2000) return 0;  // long charts only repeat what short ones show
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const auto parsed = chart::parse(text, "fuzz");
  if (!parsed || parsed->song.road_map.size() > 20) return 0;
  arrange::Choices choices;
  choices.state_limit = 2000;
  const auto arranged = arrange::arrange(parsed->song, choices);
  if (!arranged) {
    if (arranged.error().empty()) __builtin_trap();
    return 0;
  }
  const teach::Lesson lesson = teach::teach(*arranged);
  // The shapes of the song, and behind them those of its `or` lines.
  std::size_t plain = 0;
  for (const teach::TaughtShape& shape : lesson.shapes) plain += shape.is_optional ? 0 : 1;
  if (plain != arranged->right.shapes.size()) __builtin_trap();
  return 0;
}
