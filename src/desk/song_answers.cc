// Requests that ask something about the song and leave its text alone.
#include <fmt/format.h>

#include <algorithm>

#include "arrange/extras.h"
#include "arrange/keys.h"
#include "chart/text.h"
#include "desk/answers.h"
#include "desk/chart_text.h"
#include "teach/extra_words.h"
#include "teach/key_words.h"

namespace stillhand::desk {
namespace {

Json price_json(const arrange::Price& price, const arrange::Arrangement& arrangement,
                const music::Chord& chord) {
  Json notes = Json::array();
  Json midi = Json::array();
  Json fingers = Json::array();
  Json degrees = Json::array();
  for (const hand::ShapeNote& note : price.shape.notes) {
    notes.push_back(music::text(note.pitch));
    midi.push_back(note.key().number());
    fingers.push_back(note.finger.number());
    degrees.push_back(music::text(note.degree));
  }
  bool is_taken = false;
  bool is_pinned = false;
  for (const arrange::ShapeChoice& choice : arrangement.right.shapes) {
    if (choice.chord != chord || choice.shape != price.shape) continue;
    is_taken = true;
    is_pinned = is_pinned || choice.is_pinned;
  }
  return {{"notes", notes},
          {"midi", midi},
          {"fingers", fingers},
          {"degrees", degrees},
          {"inversion", hand::name(price.shape.inversion)},
          {"cost", price.cost.value()},
          {"more", price.more.value()},
          {"taken", is_taken},
          {"pinned", is_pinned}};
}

}  // namespace

Answer prices_answer(const Json& body, const Shelf& shelf) {
  Fields fields(body);
  const auto asked = read_chart_text(fields, shelf);
  const std::string name = fields.text("chord");
  if (auto fault = fields.fault()) return *fault;
  if (!asked) return asked.error();
  const auto parsed = music::parse_chord(name);
  if (!parsed) {
    const auto near = music::suggest_chord(name);
    return problem(Status::chart_error, fmt::format("`{}` is no chord", name),
                   near ? fmt::format("did you mean `{}`?", *near) : "name a chord of the song");
  }
  const music::Chord chord = parsed->without_bass();
  const auto song = arranged(*asked);
  if (!song) return song.error();
  const auto prices = arrange::prices(song->loaded.song, song->choices, chord);
  if (!prices) return problem(prices.error());
  Json shapes = Json::array();
  for (const arrange::Price& price : *prices)
    shapes.push_back(price_json(price, song->arrangement, chord));
  return answer(Json{{"chord", text(chord)}, {"shapes", std::move(shapes)}});
}

Answer keys_answer(const Json& body, const Shelf& shelf) {
  Fields fields(body);
  const auto asked = read_chart_text(fields, shelf);
  const auto singers = fields.text_if_any("singers");
  if (auto fault = fields.fault()) return *fault;
  if (!asked) return asked.error();
  arrange::KeyWishes wishes;
  if (singers) {
    const auto range = chart::parse_range(*singers);
    if (!range) {
      return problem(Status::chart_error, fmt::format("`{}` is no range", *singers),
                     "write the lowest and the highest note, such as A3-D5");
    }
    wishes.singers = *range;
  }
  const auto loaded = load(*asked);
  if (!loaded) return loaded.error();
  const chart::Song& song = loaded->loaded.song;
  wishes.choices = teach::choices_of(asked->wishes, song);
  const std::vector<arrange::KeyOption> options = arrange::rank_keys(song, wishes);
  if (!options.front().can_be_played())
    return problem(teach::with_source_lines(options.front().errors, asked->text));
  Json keys = Json::array();
  for (const arrange::KeyOption& option : options) {
    const auto& range = option.range;
    keys.push_back({{"key", music::text(option.tonality)},
                    {"up", option.up.value()},
                    {"points", option.can_be_played() ? option.points.value() : 0},
                    {"playable", option.can_be_played()},
                    {"fits", range ? Json(range->fits()) : Json(nullptr)},
                    {"melody", range ? fmt::format("{}-{}", music::text(range->melody.lowest),
                                                   music::text(range->melody.highest))
                                     : std::string()},
                    {"reasons", teach::reasons(option, wishes.singers)},
                    {"now", option.up.value() == 0}});
  }
  return answer(Json{{"keys", std::move(keys)}});
}

namespace {

Json extra_json(const chart::Song& song, const arrange::Extra& extra, std::string with) {
  Json places = Json::array();
  for (const arrange::ExtraPlace& place : extra.places) {
    const chart::Line& line = song.sections[place.section].lines[place.line];
    places.push_back({{"line", line.rows.first}, {"words", teach::place_in_words(song, place)}});
  }
  return {{"id", extra.id},
          {"kind", arrange::name(extra.kind)},
          {"change", extra.change},
          {"reason", extra.reason},
          {"skill", arrange::name(extra.skill)},
          {"new_skill", extra.is_new_skill},
          {"price",
           {{"movement", extra.price.movement.value()},
            {"shapes", extra.price.shapes},
            {"shifts", extra.price.shifts},
            {"reaches", extra.price.reaches},
            {"words", teach::price_in_words(extra.price)}}},
          {"places", std::move(places)},
          {"text", std::move(with)},
          {"option", extra.lines.empty() ? std::string() : extra.lines.front().option.label}};
}

}  // namespace

Answer extras_answer(const Json& body, const Shelf& shelf) {
  const auto asked = read_chart_text(body, shelf);
  if (!asked) return asked.error();
  const auto loaded = load(*asked);
  if (!loaded) return loaded.error();
  const chart::Song& song = loaded->loaded.song;
  arrange::ExtrasRequest request;
  request.choices = teach::choices_of(asked->wishes);
  if (asked->wishes.student) request.skills = teach::skills_within_reach(*asked->wishes.student);
  const auto found = arrange::extras(song, request);
  if (!found) return problem(teach::with_source_lines(found.error(), asked->text));
  // It is written into the chart as it stands, for everybody.
  teach::Wishes plain = asked->wishes;
  plain.student.reset();
  arrange::ExtrasRequest accepting;
  accepting.choices = teach::choices_of(plain);
  Json extras = Json::array();
  for (const arrange::Extra& extra : *found) {
    auto with = arrange::accept_extra(asked->text, asked->name, extra.id, accepting);
    // One that only the chart as reduced for the student has.
    if (!with) continue;
    extras.push_back(extra_json(song, extra, std::move(*with)));
  }
  return answer(Json{{"extras", std::move(extras)}});
}

}  // namespace stillhand::desk
