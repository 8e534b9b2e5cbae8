// Requests that give the chart's text back, changed.
#include <fmt/format.h>

#include <algorithm>

#include "arrange/extras.h"
#include "base/base64.h"
#include "base/utf8.h"
#include "chart/chart.h"
#include "chart/pins.h"
#include "desk/answers.h"
#include "desk/chart_text.h"
#include "imports/imports.h"

namespace stillhand::desk {
namespace {

Answer text_answer(const Result<std::string>& text) {
  return text ? answer(Json{{"text", *text}}) : problem(text.error());
}

// As Lesson.right_hand.shapes has it.
OrProblem<music::Chord> chord_named(const std::string& name) {
  const auto chord = music::parse_chord(name);
  if (chord) return chord->without_bass();
  const auto near = music::suggest_chord(name);
  return tl::unexpected(
      problem(Status::chart_error, fmt::format("`{}` is no chord", name),
              near ? fmt::format("did you mean `{}`?", *near) : "name a chord of the song"));
}

// The keys spelled as the chord spells them.
OrProblem<std::vector<music::Pitch>> spelled(const music::Chord& chord,
                                             const std::vector<int>& midi) {
  std::vector<music::Pitch> out;
  for (const int number : midi) {
    const music::PianoKey key(number);
    const auto notes = chord.notes();
    const auto note = std::find_if(notes.begin(), notes.end(), [&](music::NoteName n) {
      return n.pitch_class() == key.pitch_class();
    });
    if (note == notes.end()) {
      std::string names;
      for (const music::NoteName n : notes) names += (names.empty() ? "" : " ") + music::text(n);
      return tl::unexpected(problem(
          Status::chart_error, fmt::format("piano key {} is no note of {}", number, text(chord)),
          fmt::format("its notes are {}", names)));
    }
    out.push_back(music::pitch_at(key, *note));
  }
  return out;
}

// What is wrong with the pin of this chord; errors elsewhere in the song are not its fault.
Diagnostics faults_of_pin(const std::string& text, const AskedChart& asked,
                          const music::Chord& chord) {
  AskedChart with = asked;
  with.text = text;
  Diagnostics remarks;
  auto song = teach::load_for(with.text, with.name, with.wishes, remarks);
  if (!song) return {};
  std::vector<int> lines;
  for (const chart::Pin& pin : song->loaded.song.pins) {
    if (pin.chord == chord) lines.push_back(pin.place.line);
  }
  const auto arranged = arrange_loaded(std::move(*song), with, remarks);
  Diagnostics out;
  if (arranged) return out;
  for (const Diagnostic& error : arranged.error()) {
    if (std::find(lines.begin(), lines.end(), error.place.line) != lines.end())
      out.push_back(error);
  }
  return out;
}

}  // namespace

Answer pin_answer(const Json& body, const Shelf& shelf) {
  Fields fields(body);
  const auto asked = read_chart_text(fields, shelf);
  const std::string name = fields.text("chord");
  const std::vector<int> midi = fields.numbers_if_any("midi", 0, 127);
  const std::vector<int> fingers = fields.numbers_if_any("fingers", 1, 5);
  const auto section = fields.text_if_any("section");
  if (auto fault = fields.fault()) return *fault;
  if (!asked) return asked.error();
  const auto chord = chord_named(name);
  if (!chord) return chord.error();
  const auto pitches = spelled(*chord, midi);
  if (!pitches) return pitches.error();
  chart::Pin pin;
  pin.chord = *chord;
  pin.pitches = *pitches;
  pin.fingers = fingers;
  const auto written = chart::with_pin(asked->text, asked->name, pin, section);
  if (!written) return problem(written.error());
  const Diagnostics faults = faults_of_pin(*written, *asked, *chord);
  // The chart on the page has no such line: nothing of it can be underlined.
  if (!faults.empty())
    return problem(Status::chart_error, faults.front().message, faults.front().suggestion);
  return text_answer(written);
}

Answer unpin_answer(const Json& body, const Shelf& shelf) {
  Fields fields(body);
  const auto asked = read_chart_text(fields, shelf);
  const std::string name = fields.text("chord");
  const auto section = fields.text_if_any("section");
  if (auto fault = fields.fault()) return *fault;
  if (!asked) return asked.error();
  const auto chord = chord_named(name);
  if (!chord) return chord.error();
  return text_answer(chart::without_pin(asked->text, asked->name, *chord, section));
}

Answer format_answer(const Json& body, const Shelf&) {
  Fields fields(body);
  const std::string name = fields.text("name");
  const std::string text = fields.text("text");
  if (auto fault = fields.fault()) return *fault;
  return text_answer(chart::format(text, name));
}

Answer transpose_answer(const Json& body, const Shelf&) {
  Fields fields(body);
  const std::string name = fields.text("name");
  const std::string text = fields.text("text");
  const std::string key = fields.text("key");
  if (auto fault = fields.fault()) return *fault;
  const auto to = music::parse_tonality(key);
  if (!to) {
    return problem(Status::chart_error, fmt::format("`{}` is no key", key),
                   "write it like D, Bb or F#m, with at most seven sharps or flats");
  }
  return text_answer(chart::transpose(text, name, *to));
}

Answer accept_extra_answer(const Json& body, const Shelf& shelf) {
  Fields fields(body);
  auto asked = read_chart_text(fields, shelf);
  const std::string id = fields.text("id");
  if (auto fault = fields.fault()) return *fault;
  if (!asked) return asked.error();
  asked->wishes.student.reset();  // it is written for everybody
  arrange::ExtrasRequest request;
  request.choices = teach::choices_of(asked->wishes);
  return text_answer(arrange::accept_extra(asked->text, asked->name, id, request));
}

namespace {

// "My Song.mid" -> "My Song": a name that ChartEntry allows.
std::string proposed_name(std::string_view file) {
  constexpr std::size_t kLongest = 120;  // characters
  if (const auto slash = file.find_last_of("/\\"); slash != std::string_view::npos)
    file.remove_prefix(slash + 1);
  if (const auto dot = file.rfind('.'); dot != std::string_view::npos && dot > 0)
    file = file.substr(0, dot);
  std::string out;
  std::size_t length = 0;
  const std::string whole = repaired(file);
  std::string_view rest = whole;
  while (!rest.empty() && length < kLongest) {
    const auto next = code_point(rest);
    const std::size_t size = next ? next->size : 1;
    const bool is_control = next && (next->value < 0x20 || next->value == 0x7F);
    if (!is_control) {
      out += rest.substr(0, size);
      ++length;
    }
    rest.remove_prefix(size);
  }
  const auto begin = out.find_first_not_of(" .");
  if (begin == std::string::npos) return "Song";
  const auto end = out.find_last_not_of(' ');
  return out.substr(begin, end - begin + 1);
}

}  // namespace

Answer import_answer(const Json& body, const Shelf&) {
  Fields fields(body);
  const std::string name = fields.text("name");
  const std::string content = fields.text("content");
  if (auto fault = fields.fault()) return *fault;
  const auto bytes = from_base64(content);
  if (!bytes) {
    return problem(Status::not_understood, "`content` is not in base64",
                   "send the bytes of the file in base64 (RFC 4648, section 4)");
  }
  if (bytes->size() > imports::kLargestFile) {
    return problem(Status::too_large,
                   fmt::format("the file is larger than {} MB", imports::kLargestFile >> 20U),
                   "import a smaller file");
  }
  const auto text = imports::import_file(*bytes, name);
  if (!text) {
    // The faults are of the file, not of the chart on the page.
    const Diagnostic& first = text.error().front();
    const std::string where =
        first.place.line > 0 ? fmt::format("line {}: ", first.place.line) : "";
    return problem(Status::chart_error, where + first.message, first.suggestion);
  }
  return answer(Json{{"name", proposed_name(name)}, {"text", *text}});
}

}  // namespace stillhand::desk
