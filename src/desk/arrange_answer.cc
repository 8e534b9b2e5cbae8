#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "desk/answers.h"
#include "desk/chart_text.h"
#include "teach/length.h"
#include "write/json.h"

namespace stillhand::desk {
namespace {

// Counts of its meter that begin in the bar: fewer in a pick-up.
int counts_begun(const chart::Bar& bar) {
  const auto count = bar.meter.count_length().value();
  return static_cast<int>((bar.length.value() + count - 1) / count);
}

Json bar_places(const std::vector<chart::Bar>& bars) {
  Json out = Json::array();
  for (const chart::Bar& bar : bars) {
    Json chords = Json::array();
    for (const chart::ChordEvent& event : bar.chords)
      chords.push_back({{"column", event.place.column}, {"length", event.place.length}});
    out.push_back({{"line", bar.place.line},
                   {"column", bar.place.column},
                   {"length", bar.place.length},
                   {"counts", counts_begun(bar)},
                   {"chords", std::move(chords)}});
  }
  return out;
}

Json line_place(const chart::Line& line) {
  Json options = Json::array();
  for (const chart::Option& option : line.options) {
    options.push_back({{"first", option.rows.first},
                       {"last", option.rows.last},
                       {"bars", bar_places(option.bars)}});
  }
  return {{"first", line.rows.first},
          {"last", line.rows.last},
          {"bars", bar_places(line.bars)},
          {"options", std::move(options)}};
}

Json places(const chart::Song& song) {
  Json sections = Json::array();
  for (const chart::Section& section : song.sections) {
    Json lines = Json::array();
    for (const chart::Line& line : section.lines) lines.push_back(line_place(line));
    sections.push_back({{"line", section.place.line}, {"lines", std::move(lines)}});
  }
  return {{"sections", std::move(sections)}};
}

std::string counted(std::size_t number, std::string_view one, std::string_view many) {
  return fmt::format("{} {}", number, number == 1 ? one : many);
}

// "3 shapes to learn, 24 bars, 1 min 12 s"
std::string summary(const arrange::Arrangement& arrangement, const teach::Lesson& lesson) {
  const teach::SongLength length = teach::length_of(arrangement, lesson.performance);
  return fmt::format("{}, {}, {}",
                     counted(arrangement.right.shapes.size(), "shape to learn", "shapes to learn"),
                     counted(length.bars, "bar", "bars"), teach::duration_in_words(length.seconds));
}

void add(Json& out, Diagnostics diagnostics) {
  std::stable_sort(
      diagnostics.begin(), diagnostics.end(), [](const Diagnostic& a, const Diagnostic& b) {
        return std::pair(a.place.line, a.place.column) < std::pair(b.place.line, b.place.column);
      });
  for (const Diagnostic& diagnostic : diagnostics) {
    if (!diagnostic.message.empty()) out.push_back(diagnostic_json(diagnostic));
  }
}

}  // namespace

Answer arrange_answer(const Json& body, const Shelf& shelf) {
  const auto asked = read_chart_text(body, shelf);
  if (!asked) return asked.error();
  Json out{
      {"diagnostics", Json::array()}, {"lesson", nullptr}, {"places", nullptr}, {"summary", ""}};
  Diagnostics said;
  const auto also = [&](const Diagnostics& errors) {
    said.insert(said.end(), errors.begin(), errors.end());
  };
  auto song = teach::load_for(asked->text, asked->name, asked->wishes, said);
  if (song) {
    out["places"] = places(song->loaded.song);
    const auto arranged = arrange_loaded(std::move(*song), *asked, said);
    if (arranged) {
      const teach::Lesson lesson = teach::lesson_of(*arranged);
      out["lesson"] = write::read_part_json(lesson);
      out["summary"] = summary(arranged->arrangement, lesson);
    } else {
      also(arranged.error());
    }
  } else {
    also(song.error());
  }
  add(out["diagnostics"], std::move(said));
  return answer(out);
}

Answer lesson_answer(const Json& body, const Shelf& shelf) {
  const auto asked = read_chart_text(body, shelf);
  if (!asked) return asked.error();
  const auto song = arranged(*asked);
  if (!song) return song.error();
  return {Status::ok, "application/json", write::lesson_json(teach::lesson_of(*song))};
}

}  // namespace stillhand::desk
