#include "teach/from_chart.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <utility>

#include "arrange/options.h"
#include "arrange/simplify.h"
#include "chart/chart.h"
#include "chart/options.h"

namespace stillhand::teach {
namespace {

constexpr std::array<std::pair<std::string_view, arrange::Rung>, 6> kRungNames{
    {{"root", arrange::Rung::one_root},
     {"position", arrange::Rung::position},
     {"fifth", arrange::Rung::root_and_fifth},
     {"octave", arrange::Rung::octave},
     {"root-fifth-octave", arrange::Rung::root_fifth_octave},
     {"walking", arrange::Rung::walking_bass}}};

// What was asked of the left hand by name is never left out in silence.
Diagnostics lower_than_asked(const arrange::Arrangement& arrangement, arrange::Rung asked) {
  auto highest = arrange::Rung::one_root;
  for (const auto& bass : arrangement.left.bass) {
    if (bass) highest = std::max(highest, bass->rung);
  }
  if (highest >= asked) return {};
  return {{Severity::note,
           Fault::usage,
           {},
           {},
           fmt::format("left hand: no {} here, at most {}; the hand does not reach, or the student "
                       "has not met it",
                       arrange::name(asked), arrange::name(highest)),
           {},
           {}}};
}

void add(Diagnostics& remarks, Diagnostics more) {
  remarks.insert(remarks.end(), std::make_move_iterator(more.begin()),
                 std::make_move_iterator(more.end()));
}

}  // namespace

std::optional<arrange::Rung> rung_named(std::string_view name) {
  for (const auto& [known, rung] : kRungNames) {
    if (known == name) return rung;
  }
  return std::nullopt;
}

std::vector<std::string> rung_names() {
  std::vector<std::string> out;
  for (const auto& known : kRungNames) out.emplace_back(known.first);
  return out;
}

Result<Loaded> load(std::string text, const std::string& file,
                    const std::optional<music::Tonality>& key, Diagnostics& remarks) {
  Result<chart::Parsed> parsed = chart::parse(text, file);
  if (!parsed) return tl::unexpected(parsed.error());
  add(remarks, std::move(parsed->remarks));
  if (!key) return Loaded{std::move(text), std::move(parsed->song)};
  Result<chart::Song> moved = chart::transpose(parsed->song, *key);
  if (!moved) return tl::unexpected(moved.error());
  return Loaded{std::move(text), std::move(*moved)};
}

Result<LoadedFor> load_for(std::string text, const std::string& file, const Wishes& wishes,
                           Diagnostics& remarks) {
  Result<Loaded> loaded = load(std::move(text), file, wishes.key, remarks);
  if (!loaded) return tl::unexpected(loaded.error());
  add(remarks, wishes.remarks);
  if (!wishes.student) return LoadedFor{std::move(*loaded), {}};
  const arrange::Skills skills = wishes.student->skills();
  if (!skills.contains(arrange::Skill::triads)) {
    return failure(Fault::usage, {},
                   "this student plays single notes: chords begin with the skill `triads`",
                   "arrange for level 1, and let the student play its left hand");
  }
  arrange::Simplified plain = arrange::simplified(loaded->song, skills);
  std::vector<std::string> reductions;
  // What the student reads has the student's names; a remark on the chart those of the chart.
  for (const Diagnostic& remark :
       arrange::simplified(loaded->song, skills, wishes.student->note_names).remarks)
    reductions.push_back(remark.message);
  add(remarks, std::move(plain.remarks));
  loaded->song = std::move(plain.song);
  return LoadedFor{std::move(*loaded), std::move(reductions)};
}

Result<std::vector<chart::OptionPlace>> options_taken(const chart::Song& song,
                                                      const Wishes& wishes) {
  if (wishes.with_options) return chart::first_options(song);
  std::vector<chart::OptionPlace> out;
  for (const std::string& label : wishes.options) {
    const auto named = chart::options_named(song, label);
    if (!named) return tl::unexpected(named.error());
    for (const chart::OptionPlace& place : *named) {
      const bool line_is_taken =
          std::any_of(out.begin(), out.end(), [&](const chart::OptionPlace& other) {
            return other.section == place.section && other.line == place.line;
          });
      if (!line_is_taken) out.push_back(place);
    }
  }
  return out;
}

arrange::Choices choices_of(const Wishes& wishes) {
  arrange::Choices choices;
  choices.manner = wishes.manner;
  choices.hand = wishes.hand;
  if (wishes.student) choices = arrange::choices_for(*wishes.student, wishes.manner);
  choices.rung = wishes.rung;
  if (wishes.second_shapes == arrange::SecondShapes::allow)
    choices.second_shapes = wishes.second_shapes;
  return choices;
}

arrange::Choices choices_of(const Wishes& wishes, const chart::Song& song) {
  arrange::Choices choices = choices_of(wishes);
  choices.section_rungs =
      perform::wanted_rungs(song, {wishes.pattern, choices.skills}, choices.hand);
  return choices;
}

Result<Arranged> arrange_loaded(LoadedFor song, const Wishes& wishes, Diagnostics& remarks) {
  Loaded& loaded = song.loaded;
  arrange::Choices choices = choices_of(wishes, loaded.song);
  Result<arrange::Arrangement> arrangement = arrange::arrange(loaded.song, choices);
  if (!arrangement) return tl::unexpected(with_source_lines(arrangement.error(), loaded.text));
  add(remarks, arrangement->remarks);
  if (choices.rung) add(remarks, lower_than_asked(*arrangement, *choices.rung));
  const auto taken = options_taken(loaded.song, wishes);
  if (!taken) return tl::unexpected(taken.error());
  if (!taken->empty()) {
    arrangement = arrange::take_options(*arrangement, choices, *taken);
    if (!arrangement) return tl::unexpected(with_source_lines(arrangement.error(), loaded.text));
  }
  Result<perform::PatternPlan> patterns =
      perform::plan_patterns(*arrangement, {wishes.pattern, choices.skills});
  if (!patterns) return tl::unexpected(with_source_lines(patterns.error(), loaded.text));
  add(remarks, with_source_lines(patterns->remarks, loaded.text));
  std::optional<ForStudent> student;
  std::optional<music::Tempo> comfortable;
  music::NoteNames names = music::NoteNames::english;
  if (wishes.student) {
    names = wishes.student->note_names;
    comfortable = wishes.student->tempo;
    const arrange::NewForStudent news = arrange::new_for(*wishes.student, *arrangement);
    student = {wishes.student->name, arrange::in_words(news, *wishes.student, *arrangement),
               std::move(song.reductions)};
  }
  return Arranged{std::move(loaded),
                  std::move(choices),
                  std::move(*arrangement),
                  std::move(student),
                  comfortable,
                  std::move(*patterns),
                  names};
}

Lesson lesson_of(const Arranged& arranged) {
  return teach(arranged.arrangement, arranged.comfortable, arranged.student, arranged.patterns,
               arranged.note_names);
}

Diagnostics with_source_lines(Diagnostics errors, std::string_view text) {
  for (Diagnostic& error : errors) {
    if (error.place.line == 0 || !error.source_line.empty()) continue;
    std::string_view rest = text;
    for (int line = 1; line < error.place.line; ++line) {
      rest.remove_prefix(std::min(rest.size(), rest.find('\n') + 1));
    }
    std::string_view line = rest.substr(0, rest.find('\n'));
    if (line.ends_with('\r')) line.remove_suffix(1);
    error.source_line = line;
  }
  return errors;
}

}  // namespace stillhand::teach
