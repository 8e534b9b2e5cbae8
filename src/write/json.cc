#include "write/json.h"

#include <nlohmann/json.hpp>

namespace stillhand::write {
namespace {

using Json = nlohmann::ordered_json;

template <class Range, class Make>
Json list(const Range& range, Make make) {
  Json out = Json::array();
  for (const auto& item : range) out.push_back(make(item));
  return out;
}

Json note(const music::Pitch& pitch) { return music::text(pitch); }
Json midi(const music::Pitch& pitch) { return pitch.key().number(); }
Json finger(hand::Finger value) { return value.number(); }

std::string status(arrange::Status value) { return std::string(arrange::name(value)); }

std::string inversion(hand::Inversion value) { return std::string(hand::name(value)); }

std::string reach(arrange::Reach value) {
  switch (value) {
    case arrange::Reach::none:
      return "none";
    case arrange::Reach::reach_down:
      return "down";
    case arrange::Reach::reach_up:
      return "up";
    case arrange::Reach::slide:
      break;
  }
  return "slide";
}

Json song(const teach::Lesson& lesson) {
  Json range = nullptr;
  if (lesson.range) {
    range = {{"lowest", note(lesson.range->lowest)}, {"highest", note(lesson.range->highest)}};
  }
  return {{"title", lesson.title},
          {"writers", lesson.writers},
          {"rights", lesson.rights},
          {"key", music::text(lesson.tonality)},
          {"key_was_proposed", lesson.tonality_was_proposed},
          {"meter", music::text(lesson.meter)},
          {"tempo", lesson.tempo.value()},
          {"range", range}};
}

Json taught_shape(const teach::TaughtShape& taught) {
  const auto& notes = taught.shape.notes;
  return {{"chord", taught.chord},
          {"where", taught.where.empty() ? Json(nullptr) : Json(taught.where)},
          {"notes", list(notes, [](const auto& n) { return note(n.pitch); })},
          {"midi", list(notes, [](const auto& n) { return midi(n.pitch); })},
          {"fingers", list(notes, [](const auto& n) { return finger(n.finger); })},
          {"degrees", list(notes, [](const auto& n) { return music::text(n.degree); })},
          {"inversion", inversion(taught.shape.inversion)},
          {"reduction", taught.shape.is_reduction},
          {"pinned", taught.is_pinned},
          {"optional", taught.is_optional}};
}

Json finger_on_note(const std::pair<hand::Finger, music::Pitch>& pair) {
  return {{"finger", finger(pair.first)}, {"note", note(pair.second)}};
}

Json move(const teach::Lesson& lesson, const teach::Move& value) {
  return {
      {"from", lesson.shapes.at(value.from).chord},
      {"to", lesson.shapes.at(value.to).chord},
      {"from_shape", value.from},
      {"to_shape", value.to},
      {"times", value.times},
      {"words", value.words},
      {"fingers",
       list(value.fingers,
            [](const teach::FingerMove& m) {
              return Json{{"finger", finger(m.finger)}, {"from", note(m.from)}, {"to", note(m.to)}};
            })},
      {"held", list(value.held,
                    [](const teach::HeldNote& h) {
                      return Json{{"note", note(h.pitch)},
                                  {"before", finger(h.before)},
                                  {"after", finger(h.after)}};
                    })},
      {"lifted", list(value.lifted, finger_on_note)},
      {"added", list(value.added, finger_on_note)},
      {"optional", value.is_optional},
      {"millibits", value.difficulty.index.value()},
      {"farthest_mm", static_cast<double>(value.difficulty.farthest.value()) / 10},
      {"milliseconds", value.shortest.value()},
      {"millibits_per_second", value.needed.value()}};
}

Json difficulty(const arrange::Difficulty& value) {
  return {{"points", value.points.value()},
          {"factors", list(value.factors, [](const arrange::FactorValue& factor) {
             return Json{{"factor", std::string(arrange::name(factor.factor))},
                         {"value", factor.value},
                         {"points", factor.points.value()},
                         {"words", arrange::in_words(factor)}};
           })}};
}

Json section_difficulty(const teach::SectionDifficulty& value) {
  Json out{{"section", value.section}};
  out.update(difficulty(value.difficulty));
  return out;
}

Json ladder(const teach::TempoLadder& value) {
  return {{"steps", list(value.steps, [](music::Tempo tempo) { return tempo.value(); })},
          {"words", value.words}};
}

Json position(const teach::SectionPosition& value) {
  const auto& keys = value.position.keys;
  return {{"section", value.section},
          {"little_finger", keys.empty() ? Json(nullptr) : note(keys.front())},
          {"thumb", keys.empty() ? Json(nullptr) : note(keys.back())},
          {"keys", list(keys, note)},
          {"midi", list(keys, midi)},
          {"rung", arrange::name(value.rung)},
          {"remarks", value.remarks}};
}

std::string_view tone(arrange::BassTone value) {
  switch (value) {
    case arrange::BassTone::third:
      return "third";
    case arrange::BassTone::fifth:
      return "fifth";
    case arrange::BassTone::octave:
      break;
  }
  return "octave";
}

Json figure_note(const arrange::FigureNote& value) {
  return {{"tone", tone(value.tone)},
          {"note", note(value.pitch)},
          {"midi", midi(value.pitch)},
          {"finger", finger(value.finger)}};
}

Json walk_note(const arrange::WalkNote& value) {
  return {{"note", note(value.pitch)},
          {"midi", midi(value.pitch)},
          {"finger", finger(value.finger)},
          {"start", value.start.value()},
          {"duration", value.duration.value()}};
}

Json bass(const arrange::BassNote& value) {
  return {{"note", note(value.pitch)},
          {"midi", midi(value.pitch)},
          {"finger", finger(value.finger)},
          {"reach", reach(value.reach)},
          {"shifts", value.shifts},
          {"rung", arrange::name(value.rung)},
          {"figure", list(value.figure, figure_note)},
          {"walk", list(value.walk, walk_note)}};
}

Json chord(const teach::SheetChord& value) {
  return {{"chord", value.chord},
          {"start", value.start.value()},
          {"duration", value.duration.value()},
          {"held", value.is_held},
          {"shape", value.shape ? Json(*value.shape) : Json(nullptr)},
          {"bass", value.bass ? bass(*value.bass) : Json(nullptr)}};
}

Json bar(const teach::SheetBar& value) {
  return {{"meter", music::text(value.meter)},
          {"length", value.length.value()},
          {"pick_up", value.is_pick_up},
          {"chords", list(value.chords, chord)},
          {"words", value.words},
          {"repeat_begins", value.repeat_begins},
          {"repeat_times", value.repeat_times},
          {"vamp", value.is_vamp},
          {"endings", value.endings},
          {"change", value.change}};
}

Json line(const teach::SheetLine& value) {
  return {{"bars", list(value.bars, bar)},
          {"options", list(value.options, [](const teach::SheetOption& option) {
             return Json{{"label", option.label},
                         {"bars", list(option.bars, bar)},
                         {"remarks", option.remarks}};
           })}};
}

Json section(const teach::SheetSection& value) {
  return {{"name", value.name}, {"bars", value.bars}, {"lines", list(value.lines, line)}};
}

Json pattern(const teach::TaughtPattern& value) {
  return {{"name", value.name},
          {"says", value.says},
          {"meter", music::text(value.meter)},
          {"sections", value.sections},
          {"moments", list(value.moments, [](const teach::PatternMoment& moment) {
             return Json{{"label", moment.label}, {"left", moment.left}, {"right", moment.right}};
           })}};
}

template <class T, class Write>
Json timed(const std::vector<perform::At<T>>& events, const char* name, Write write) {
  return list(events, [&](const perform::At<T>& event) {
    return Json{{"start", event.start.value()}, {name, write(event.value)}};
  });
}

Json performance(const perform::Performance& value) {
  const auto plain = [](const std::string& text) { return text; };
  return {
      {"ticks_per_quarter", music::kQuarter.value()},
      {"count_in", value.count_in.value()},
      {"end", value.end.value()},
      {"tempo", value.tempo.value()},
      {"meters", timed(value.meters, "meter", [](music::Meter m) { return music::text(m); })},
      {"keys", timed(value.tonalities, "key", [](music::Tonality t) { return music::text(t); })},
      {"sections", timed(value.sections, "section", plain)},
      {"chords", timed(value.chords, "chord", plain)},
      {"words", timed(value.words, "words", plain)},
      {"notes", list(value.notes,
                     [](const perform::Note& n) {
                       return Json{{"hand", n.hand == hand::Hand::right ? "right" : "left"},
                                   {"midi", n.key.number()},
                                   {"velocity", n.velocity.value()},
                                   {"start", n.start.value()},
                                   {"duration", n.duration.value()}};
                     })},
      {"pedal", timed(value.pedal, "pedal",
                      [](perform::Pedal p) { return p == perform::Pedal::down ? "down" : "up"; })},
      {"clicks", list(value.clicks, [](const perform::Click& click) {
         return Json{{"start", click.start.value()}, {"first_of_bar", click.is_first_of_bar}};
       })}};
}

void write_before_performance(Json& out, const teach::Lesson& lesson) {
  out["version"] = 1;
  out["song"] = song(lesson);
  out["manner"] = lesson.manner;
  out["hand_size"] = lesson.hand_size;
  out["note_names"] = music::name(lesson.note_names);
  out["road_map"] = list(lesson.road_map, [](const teach::RoadMapStep& step) {
    return Json{{"section", step.section}, {"times", step.times}};
  });
  out["right_hand"] = {{"status", status(lesson.right_status)},
                       {"cost", lesson.cost.value()},
                       {"lower_bound", lesson.lower_bound.value()},
                       {"shapes", list(lesson.shapes, taught_shape)}};
  out["left_hand"] = {{"status", status(lesson.left_status)},
                      {"one_position", lesson.one_position},
                      {"positions", list(lesson.positions, position)}};
  out["moves"] = list(lesson.moves, [&](const teach::Move& value) { return move(lesson, value); });
  out["hardest_moves"] = lesson.hardest;
  out["difficulty"] = difficulty(lesson.difficulty);
  out["section_difficulties"] = list(lesson.section_difficulties, section_difficulty);
  out["tempo_ladder"] = ladder(lesson.ladder);
  out["sections"] = list(lesson.sections, section);
  out["patterns"] = list(lesson.patterns, pattern);
  out["uses_pedal"] = lesson.uses_pedal;
}

void write_after_performance(Json& out, const teach::Lesson& lesson) {
  out["cautions"] = lesson.cautions;
  if (lesson.student) {
    out["student"] = {{"name", lesson.student->name},
                      {"news", lesson.student->news},
                      {"reductions", lesson.student->reductions}};
  }
}

}  // namespace

std::string lesson_json(const teach::Lesson& lesson) {
  Json out;
  write_before_performance(out, lesson);
  out["performance"] = performance(lesson.performance);
  write_after_performance(out, lesson);
  return out.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

Json read_part_json(const teach::Lesson& lesson) {
  Json out;
  write_before_performance(out, lesson);
  write_after_performance(out, lesson);
  return out;
}

}  // namespace stillhand::write
