#include "desk/answers.h"
#include "desk/chart_text.h"
#include "write/performance_json.h"

namespace stillhand::desk {
namespace {

// Which `or` line is played in the place of this line; null: none.
Json option_taken(const std::vector<chart::OptionPlace>& taken, const chart::PlayedBar& bar) {
  for (const chart::OptionPlace& place : taken) {
    if (place.section == bar.section && place.line == bar.line) return place.option;
  }
  return nullptr;
}

}  // namespace

Answer performance_answer(const Json& body, const Shelf& shelf) {
  Fields fields(body);
  auto asked = read_chart_text(fields, shelf);
  const std::vector<std::string> options = fields.texts_if_any("options");
  if (auto fault = fields.fault()) return *fault;
  if (!asked) return asked.error();
  asked->wishes.options = options;
  const auto song = arranged(*asked);
  if (!song) return song.error();
  const auto taken = teach::options_taken(song->loaded.song, asked->wishes);
  if (!taken) return problem(taken.error());
  const teach::Lesson lesson = teach::lesson_of(*song);
  Json out = write::performance_json(lesson);
  for (std::size_t i = 0; i < lesson.played.size(); ++i)
    out["bars"][i]["option"] = option_taken(*taken, lesson.played[i]);
  return answer(out);
}

}  // namespace stillhand::desk
