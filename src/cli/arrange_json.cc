#include <nlohmann/json.hpp>

#include "cli/arrange_output.h"

namespace stillhand::cli {
namespace {

using Json = nlohmann::ordered_json;

Json song_json(const teach::Lesson& lesson) {
  return {{"title", lesson.title},
          {"key", music::text(lesson.tonality)},
          {"key_was_proposed", lesson.tonality_was_proposed},
          {"meter", music::text(lesson.meter)},
          {"tempo", lesson.tempo.value()}};
}

Json shape_json(const hand::Shape& shape) {
  Json out = Json::object();
  out["notes"] = Json::array();
  out["midi"] = Json::array();
  out["fingers"] = Json::array();
  for (const hand::ShapeNote& note : shape.notes) {
    out["notes"].push_back(music::text(note.pitch));
    out["midi"].push_back(note.key().number());
    out["fingers"].push_back(note.finger.number());
  }
  out["inversion"] = std::string(hand::name(shape.inversion));
  return out;
}

Json right_hand_json(const teach::Lesson& lesson) {
  Json shapes = Json::array();
  for (const teach::TaughtShape& taught : lesson.shapes) {
    Json entry;
    entry["chord"] = taught.chord;
    entry.update(shape_json(taught.shape));
    entry["pinned"] = taught.is_pinned;
    if (!taught.where.empty()) entry["where"] = taught.where;
    if (taught.is_optional) entry["optional"] = true;
    shapes.push_back(std::move(entry));
  }
  return {{"status", std::string(arrange::name(lesson.right_status))},
          {"cost", lesson.cost.value()},
          {"lower_bound", lesson.lower_bound.value()},
          {"shapes", std::move(shapes)}};
}

std::string reach_name(arrange::Reach reach) {
  switch (reach) {
    case arrange::Reach::reach_down:
      return "down";
    case arrange::Reach::reach_up:
      return "up";
    case arrange::Reach::slide:
      return "slide";
    case arrange::Reach::none:
      break;
  }
  return "none";
}

Json figure_json(const std::vector<arrange::FigureNote>& figure) {
  Json out = Json::array();
  for (const arrange::FigureNote& part : figure) {
    out.push_back({{"note", music::text(part.pitch)},
                   {"midi", part.pitch.key().number()},
                   {"finger", part.finger.number()}});
  }
  return out;
}

Json walk_json(const std::vector<arrange::WalkNote>& walk) {
  Json out = Json::array();
  for (const arrange::WalkNote& note : walk) {
    out.push_back({{"note", music::text(note.pitch)},
                   {"midi", note.pitch.key().number()},
                   {"finger", note.finger.number()},
                   {"start", note.start.value()},
                   {"duration", note.duration.value()}});
  }
  return out;
}

Json left_hand_json(const arrange::Arrangement& arrangement, const teach::Lesson& lesson) {
  Json positions = Json::array();
  for (const teach::SectionPosition& entry : lesson.positions) {
    const arrange::Position& at = entry.position;
    positions.push_back(
        {{"section", entry.section},
         {"little_finger", at.is_open() ? Json(nullptr) : Json(music::text(at.little_finger()))},
         {"thumb", at.is_open() ? Json(nullptr) : Json(music::text(at.thumb()))},
         {"rung", std::string(arrange::name(entry.rung))},
         {"remarks", entry.remarks}});
  }
  Json bass = Json::array();
  for (std::size_t i = 0; i < arrangement.chords.size(); ++i) {
    const auto& note = arrangement.left.bass.at(i);
    if (!note || !arrangement.chords[i].chord) continue;
    bass.push_back({{"chord", music::text(*arrangement.chords[i].chord)},
                    {"section", arrangement.song.sections.at(arrangement.chords[i].section).name},
                    {"note", music::text(note->pitch)},
                    {"midi", note->pitch.key().number()},
                    {"finger", note->finger.number()},
                    {"reach", reach_name(note->reach)},
                    {"shift", note->shifts},
                    {"rung", std::string(arrange::name(note->rung))},
                    {"figure", figure_json(note->figure)},
                    {"walk", walk_json(note->walk)}});
  }
  return {{"status", std::string(arrange::name(lesson.left_status))},
          {"one_position", lesson.one_position},
          {"positions", std::move(positions)},
          {"bass", std::move(bass)}};
}

Json on_note(const std::pair<hand::Finger, music::Pitch>& pair) {
  return {{"finger", pair.first.number()}, {"note", music::text(pair.second)}};
}

Json move_json(const teach::Lesson& lesson, const teach::Move& move) {
  Json fingers = Json::array();
  for (const teach::FingerMove& finger : move.fingers) {
    fingers.push_back({{"finger", finger.finger.number()},
                       {"from", music::text(finger.from)},
                       {"to", music::text(finger.to)}});
  }
  Json held = Json::array();
  for (const teach::HeldNote& note : move.held) {
    held.push_back({{"note", music::text(note.pitch)},
                    {"before", note.before.number()},
                    {"after", note.after.number()}});
  }
  Json lifted = Json::array();
  for (const auto& pair : move.lifted) lifted.push_back(on_note(pair));
  Json added = Json::array();
  for (const auto& pair : move.added) added.push_back(on_note(pair));
  return {{"from", lesson.shapes.at(move.from).chord},
          {"to", lesson.shapes.at(move.to).chord},
          {"from_shape", move.from},
          {"to_shape", move.to},
          {"times", move.times},
          {"words", move.words},
          {"fingers", std::move(fingers)},
          {"held", std::move(held)},
          {"lifted", std::move(lifted)},
          {"added", std::move(added)},
          {"optional", move.is_optional},
          {"millibits", move.difficulty.index.value()},
          {"milliseconds", move.shortest.value()},
          {"millibits_per_second", move.needed.value()}};
}

Json prices_json(const PriceList& list) {
  Json shapes = Json::array();
  for (const arrange::Price& price : list.prices) {
    Json entry = shape_json(price.shape);
    entry["cost"] = price.cost.value();
    entry["more"] = price.more.value();
    shapes.push_back(std::move(entry));
  }
  return {{"chord", music::text(list.chord)}, {"shapes", std::move(shapes)}};
}

}  // namespace

std::string arrange_json(const arrange::Arrangement& arrangement, const teach::Lesson& lesson,
                         const PriceList* prices) {
  Json out;
  out["song"] = song_json(lesson);
  out["manner"] = lesson.manner;
  out["hand_size"] = lesson.hand_size;
  out["right_hand"] = right_hand_json(lesson);
  out["left_hand"] = left_hand_json(arrangement, lesson);
  out["moves"] = Json::array();
  for (const teach::Move& move : lesson.moves) out["moves"].push_back(move_json(lesson, move));
  out["hardest_moves"] = lesson.hardest;
  if (lesson.student) {
    out["student"] = {{"name", lesson.student->name},
                      {"news", lesson.student->news},
                      {"reductions", lesson.student->reductions}};
  }
  if (prices != nullptr) out["prices"] = prices_json(*prices);
  return out.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace stillhand::cli
