#include <cmath>

#include "desk/answers.h"
#include "desk/chart_text.h"
#include "perform/performance.h"

namespace stillhand::desk {
namespace {

using music::Tick;

class Timing {
 public:
  explicit Timing(const perform::Performance& performance) : performance_(performance) {}
  // To a hundredth: finer than anybody hears, and short as text.
  double milliseconds(Tick at) const {
    return std::round(perform::seconds(performance_, at, 100) * 100'000) / 100;
  }

 private:
  const perform::Performance& performance_;
};

// Which `or` line is played in the place of this line; null: none.
Json option_taken(const std::vector<chart::OptionPlace>& taken, const chart::PlayedBar& bar) {
  for (const chart::OptionPlace& place : taken) {
    if (place.section == bar.section && place.line == bar.line) return place.option;
  }
  return nullptr;
}

Json bars_json(const arrange::Arrangement& arrangement, const perform::Performance& performance,
               const std::vector<chart::OptionPlace>& taken, const Timing& timing) {
  Json out = Json::array();
  for (const chart::PlayedBar& played : arrangement.bars) {
    const Tick start = performance.count_in + played.start;
    const Tick end = start + played.length;
    const Tick count = chart::bar_of(arrangement.song, played).meter.count_length();
    Json counts = Json::array();
    for (Tick at = start; at < end; at += count) counts.push_back(timing.milliseconds(at));
    out.push_back({{"section", played.section},
                   {"line", played.line},
                   {"option", option_taken(taken, played)},
                   {"bar", played.bar},
                   {"start", timing.milliseconds(start)},
                   {"end", timing.milliseconds(end)},
                   {"counts", std::move(counts)}});
  }
  return out;
}

Json chords_json(const arrange::Arrangement& arrangement, const perform::Performance& performance,
                 const Timing& timing) {
  Json out = Json::array();
  for (std::size_t i = 0; i < arrangement.bars.size(); ++i) {
    const chart::PlayedBar& played = arrangement.bars[i];
    const auto& chords = chart::bar_of(arrangement.song, played).chords;
    Tick into;
    // A bar that a pick-up shortens may lose its last chords.
    for (std::size_t c = 0; c < chords.size() && into < played.length; ++c) {
      const Tick start = performance.count_in + played.start + into;
      out.push_back({{"start", timing.milliseconds(start)}, {"bar", i}, {"chord", c}});
      into += chords[c].duration;
    }
  }
  return out;
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
  const perform::Performance played = perform::perform(song->arrangement, song->patterns);
  const Timing timing(played);
  Json notes = Json::array();
  for (const perform::Note& note : played.notes) {
    notes.push_back({{"hand", note.hand == hand::Hand::right ? "right" : "left"},
                     {"midi", note.key.number()},
                     {"velocity", note.velocity.value()},
                     {"start", timing.milliseconds(note.start)},
                     {"end", timing.milliseconds(note.start + note.duration)}});
  }
  Json pedal = Json::array();
  for (const auto& event : played.pedal) {
    pedal.push_back({{"start", timing.milliseconds(event.start)},
                     {"down", event.value == perform::Pedal::down}});
  }
  Json clicks = Json::array();
  for (const perform::Click& click : played.clicks) {
    clicks.push_back(
        {{"start", timing.milliseconds(click.start)}, {"first", click.is_first_of_bar}});
  }
  return answer(Json{{"end", timing.milliseconds(played.end)},
                     {"count_in", timing.milliseconds(played.count_in)},
                     {"bars", bars_json(song->arrangement, played, *taken, timing)},
                     {"chords", chords_json(song->arrangement, played, timing)},
                     {"notes", std::move(notes)},
                     {"pedal", std::move(pedal)},
                     {"clicks", std::move(clicks)}});
}

}  // namespace stillhand::desk
