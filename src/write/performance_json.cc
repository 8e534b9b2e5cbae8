#include "write/performance_json.h"

#include <cmath>
#include <nlohmann/json.hpp>

#include "perform/performance.h"

namespace stillhand::write {
namespace {

using Json = nlohmann::ordered_json;
using music::Tick;

class Writer {
 public:
  explicit Writer(const teach::Lesson& lesson)
      : lesson_(lesson), performance_(lesson.performance) {}

  Json write() const {
    return {{"end", milliseconds(performance_.end)},
            {"count_in", milliseconds(performance_.count_in)},
            {"bars", bars()},
            {"chords", chords()},
            {"notes", notes()},
            {"pedal", pedal()},
            {"clicks", clicks()}};
  }

 private:
  // To a hundredth: finer than anybody hears, and short as text.
  double milliseconds(Tick at) const {
    return std::round(perform::seconds(performance_, at, 100) * 100'000) / 100;
  }

  const teach::SheetBar& bar_of(const chart::PlayedBar& played) const {
    return lesson_.sections[played.section].lines[played.line].bars[played.bar];
  }

  Json bars() const {
    Json out = Json::array();
    for (const chart::PlayedBar& played : lesson_.played) {
      const Tick start = performance_.count_in + played.start;
      const Tick end = start + played.length;
      const Tick count = bar_of(played).meter.count_length();
      Json counts = Json::array();
      for (Tick at = start; at < end; at += count) counts.push_back(milliseconds(at));
      out.push_back({{"section", played.section},
                     {"line", played.line},
                     {"option", nullptr},
                     {"bar", played.bar},
                     {"begins", played.section_begins},
                     {"start", milliseconds(start)},
                     {"end", milliseconds(end)},
                     {"counts", std::move(counts)}});
    }
    return out;
  }

  Json chords() const {
    Json out = Json::array();
    for (std::size_t i = 0; i < lesson_.played.size(); ++i) {
      const chart::PlayedBar& played = lesson_.played[i];
      const auto& chords = bar_of(played).chords;
      Tick into;
      // A bar that a pick-up shortens may lose its last chords.
      for (std::size_t c = 0; c < chords.size() && into < played.length; ++c) {
        const Tick start = performance_.count_in + played.start + into;
        out.push_back({{"start", milliseconds(start)}, {"bar", i}, {"chord", c}});
        into += chords[c].duration;
      }
    }
    return out;
  }

  Json notes() const {
    Json out = Json::array();
    for (const perform::Note& note : performance_.notes) {
      out.push_back({{"hand", note.hand == hand::Hand::right ? "right" : "left"},
                     {"midi", note.key.number()},
                     {"velocity", note.velocity.value()},
                     {"start", milliseconds(note.start)},
                     {"end", milliseconds(note.start + note.duration)}});
    }
    return out;
  }

  Json pedal() const {
    Json out = Json::array();
    for (const auto& event : performance_.pedal) {
      out.push_back(
          {{"start", milliseconds(event.start)}, {"down", event.value == perform::Pedal::down}});
    }
    return out;
  }

  Json clicks() const {
    Json out = Json::array();
    for (const perform::Click& click : performance_.clicks)
      out.push_back({{"start", milliseconds(click.start)}, {"first", click.is_first_of_bar}});
    return out;
  }

  const teach::Lesson& lesson_;
  const perform::Performance& performance_;
};

}  // namespace

Json performance_json(const teach::Lesson& lesson) { return Writer(lesson).write(); }

}  // namespace stillhand::write
