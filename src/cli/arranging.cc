#include "cli/arranging.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>
#include <utility>

#include "arrange/options.h"
#include "arrange/simplify.h"
#include "base/files.h"
#include "chart/chart.h"
#include "chart/options.h"
#include "cli/command.h"

namespace stillhand::cli {
namespace {

constexpr std::size_t kLargestManner = 1 << 16;  // bytes (our judgement: a manner has 1 KB)
constexpr std::size_t kLargestStudent = 1 << 16;
constexpr int kNarrowestSpan = 1200;  // tenths of a millimetre; hand::HandSize::from_span
constexpr int kWidestSpan = 2800;

Result<hand::Millimetre> read_span(const std::string& text) {
  std::size_t used = 0;
  double millimetres = 0;
  try {
    millimetres = std::stod(text, &used);
  } catch (const std::exception&) {
    used = 0;
  }
  const double tenths = std::round(millimetres * 10);
  if (used != text.size() || text.empty() || !(tenths >= kNarrowestSpan && tenths <= kWidestSpan)) {
    return wrong_call(fmt::format("--span-mm {}: no hand span in millimetres", text),
                      "give 120 to 280: thumb tip to little finger tip, the hand flat and "
                      "stretched without pain");
  }
  return hand::Millimetre(static_cast<int>(tenths));
}

std::optional<arrange::Rung> rung_named(std::string_view name) {
  using arrange::Rung;
  constexpr std::array<std::pair<std::string_view, Rung>, 6> names{
      {{"root", Rung::one_root},
       {"position", Rung::position},
       {"fifth", Rung::root_and_fifth},
       {"octave", Rung::octave},
       {"root-fifth-octave", Rung::root_fifth_octave},
       {"walking", Rung::walking_bass}}};
  for (const auto& [known, rung] : names) {
    if (known == name) return rung;
  }
  return std::nullopt;
}

// The first named wins where two stand under one line.
Result<std::vector<chart::OptionPlace>> options_taken(const chart::Song& song,
                                                      const Arranging& arranging) {
  if (arranging.with_options) return chart::first_options(song);
  std::vector<chart::OptionPlace> out;
  for (const std::string& label : arranging.options) {
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

// What was asked of the left hand by name is never left out in silence.
Diagnostics lower_than_asked(const arrange::Arrangement& arrangement, arrange::Rung asked) {
  auto highest = arrange::Rung::one_root;
  for (const auto& bass : arrangement.left.bass) {
    if (bass) highest = std::max(highest, bass->rung);
  }
  if (highest >= asked) return {};
  return {
      {Severity::note,
       Fault::usage,
       {},
       {},
       fmt::format("--left-hand: no {} here, at most {}; the hand does not reach, or the student "
                   "has not met it",
                   arrange::name(asked), arrange::name(highest)),
       {},
       {}}};
}

}  // namespace

void declare_chart(CLI::App& app, std::string& chart) {
  app.add_option("CHART", chart, "the chart file; - reads standard input")
      ->required()
      ->type_name("");
}

void ArrangingFlags::declare_key(CLI::App& app) {
  app.add_option("--key", key_, "transpose to this key first: D, F#m, Bb")->type_name("KEY");
}

void ArrangingFlags::declare_hands(CLI::App& app) {
  app.add_option("--manner", manner_,
                 "home (familiar root positions slid by step; the default), closest (least "
                 "movement), or the file of a manner of your own")
      ->type_name("NAME|FILE");
  app.add_option("--hand-size", hand_size_, "small, medium (the default) or large")
      ->type_name("SIZE");
  app.add_option("--span-mm", span_,
                 "instead of a size: thumb tip to little finger tip of the flat, stretched hand, "
                 "120 to 280 millimetres")
      ->type_name("N");
  app.add_option("--student", student_,
                 "arrange for this student: skills, shapes known, hand, paper (docs/student.md)")
      ->type_name("FILE");
  app.add_option("--level", level_, "arrange for a student of this level, 1 to 7")->type_name("N");
  app.add_option("--left-hand", left_hand_,
                 "what the left hand plays: root, position (the default), fifth, octave, "
                 "root-fifth-octave or walking")
      ->type_name("RUNG");
  app.add_flag(
      "--second-shapes", second_shapes_,
      "let a chord have a second shape in some sections, where that saves enough movement");
}

void ArrangingFlags::declare(CLI::App& app) {
  declare_hands(app);
  declare_key(app);
  app.add_flag("--with-options", with_options_,
               "play the `or` lines instead of the lines above them, the first where there are "
               "several");
  app.add_option("--option", options_,
                 "play only the `or` lines of this name instead; may be given several times")
      ->allow_extra_args(false)
      ->type_name("NAME");
  app.add_option("--pattern", pattern_,
                 "the accompaniment pattern of every section; `stillhand patterns` lists them")
      ->type_name("NAME");
}

Result<std::optional<arrange::ParsedStudent>> ArrangingFlags::read_student() const {
  if (!student_.empty() && !level_.empty()) {
    return wrong_call("--student and --level both say what the student has learned",
                      "give only one of them, or correct the level in the student's file");
  }
  if (!level_.empty()) {
    const bool is_digit = level_.size() == 1 && level_[0] >= '0' && level_[0] <= '9';
    const auto level = is_digit ? arrange::Level::make(level_[0] - '0') : std::nullopt;
    if (!level) {
      return wrong_call(
          fmt::format("--level {}: no such level", level_),
          fmt::format("chords are learned from level 1 to {}", arrange::kHighestLevel));
    }
    return arrange::ParsedStudent{arrange::student_of(*level), {}};
  }
  if (student_.empty()) return std::nullopt;
  Result<std::string> text = read_file(student_, kLargestStudent);
  if (!text) return tl::unexpected(text.error());
  Result<arrange::ParsedStudent> parsed = arrange::read_student(*text, student_);
  if (!parsed) return tl::unexpected(parsed.error());
  return std::move(*parsed);
}

Result<Arranging> ArrangingFlags::read() const {
  Arranging out;
  out.manner = manner_;
  if (!hand_size_.empty() && !span_.empty()) {
    return wrong_call("--hand-size and --span-mm both say how large the hand is",
                      "give only one of them");
  }
  Result<std::optional<arrange::ParsedStudent>> student = read_student();
  if (!student) return tl::unexpected(student.error());
  if (*student) {
    out.student = std::move((*student)->student);
    out.remarks = std::move((*student)->remarks);
  }
  if (!hand_size_.empty()) {
    const std::optional<hand::HandSize> named = hand::HandSize::named(hand_size_);
    if (!named) {
      return wrong_call(fmt::format("--hand-size {}: no such size", hand_size_),
                        "it is small, medium or large; or measure and give --span-mm");
    }
    out.hand = *named;
    if (out.student) {
      out.student->hand_size = hand_size_;
      out.student->span.reset();
    }
  }
  if (!span_.empty()) {
    const Result<hand::Millimetre> span = read_span(span_);
    if (!span) return tl::unexpected(span.error());
    out.hand = *hand::HandSize::from_span(*span);
    if (out.student) out.student->span = *span;
  }
  if (out.student) out.hand = out.student->hand();
  if (!key_.empty()) {
    out.key = music::parse_tonality(key_);
    if (!out.key) {
      return wrong_call(fmt::format("--key {}: no key I know", key_),
                        "write it like D, Bb or F#m, with at most seven sharps or flats");
    }
  }
  if (!left_hand_.empty()) {
    out.rung = rung_named(left_hand_);
    if (!out.rung) {
      return wrong_call(
          fmt::format("--left-hand {}: the left hand knows no such thing", left_hand_),
          "it plays root, position, fifth, octave, root-fifth-octave or walking");
    }
  }
  if (with_options_ && !options_.empty()) {
    return wrong_call("--with-options takes every `or` line, --option only those named",
                      "give only one of them");
  }
  out.with_options = with_options_;
  out.options = options_;
  if (!pattern_.empty()) out.pattern = pattern_;
  if (second_shapes_) out.second_shapes = arrange::SecondShapes::allow;
  return out;
}

Result<Loaded> load(const std::string& path, const std::optional<music::Tonality>& key,
                    Terminal& terminal) {
  Result<std::string> text = read_file(path, chart::kLargestChart);
  if (!text) return tl::unexpected(text.error());
  Result<chart::Parsed> parsed = chart::parse(*text, path);
  if (!parsed) return tl::unexpected(parsed.error());
  terminal.report(parsed->remarks);
  if (!key) return Loaded{std::move(*text), std::move(parsed->song)};
  Result<chart::Song> moved = chart::transpose(parsed->song, *key);
  if (!moved) return tl::unexpected(moved.error());
  return Loaded{std::move(*text), std::move(*moved)};
}

Result<LoadedFor> load_for(const std::string& path, const Arranging& arranging,
                           Terminal& terminal) {
  Result<Loaded> loaded = load(path, arranging.key, terminal);
  if (!loaded) return tl::unexpected(loaded.error());
  terminal.report(arranging.remarks);
  if (!arranging.student) return LoadedFor{std::move(*loaded), {}};
  const arrange::Skills skills = arranging.student->skills();
  if (!skills.contains(arrange::Skill::triads)) {
    return wrong_call("this student plays single notes: chords begin with the skill `triads`",
                      "arrange for level 1, and let the student play its left hand");
  }
  arrange::Simplified plain = arrange::simplified(loaded->song, skills);
  std::vector<std::string> reductions;
  // What the student reads has the student's names; a remark on the chart those of the chart.
  for (const Diagnostic& remark :
       arrange::simplified(loaded->song, skills, arranging.student->note_names).remarks)
    reductions.push_back(remark.message);
  terminal.report(plain.remarks);
  loaded->song = std::move(plain.song);
  return LoadedFor{std::move(*loaded), std::move(reductions)};
}

Result<arrange::Manner> manner_of(const std::string& name_or_file) {
  if (const auto known = arrange::Manner::named(name_or_file)) return *known;
  Result<std::string> text = read_file(name_or_file, kLargestManner);
  if (!text) {
    Diagnostics errors = text.error();
    errors.front().suggestion = "a manner is home, closest, or the name of a manner file";
    return tl::unexpected(std::move(errors));
  }
  return arrange::Manner::read(*text, name_or_file);
}

Result<arrange::Choices> choices_of(const Arranging& arranging) {
  Result<arrange::Manner> manner = manner_of(arranging.manner);
  if (!manner) return tl::unexpected(manner.error());
  arrange::Choices choices;
  choices.manner = *manner;
  choices.hand = arranging.hand;
  if (arranging.student) choices = arrange::choices_for(*arranging.student, *manner);
  choices.rung = arranging.rung;
  if (arranging.second_shapes == arrange::SecondShapes::allow)
    choices.second_shapes = arranging.second_shapes;
  return choices;
}

Result<Arranged> arrange_chart(const std::string& chart, const Arranging& arranging,
                               Terminal& terminal) {
  Result<arrange::Choices> choices = choices_of(arranging);
  if (!choices) return tl::unexpected(choices.error());
  Result<LoadedFor> song = load_for(chart, arranging, terminal);
  if (!song) return tl::unexpected(song.error());
  Loaded& loaded = song->loaded;
  const perform::PatternChoice pattern{arranging.pattern, choices->skills};
  choices->section_rungs = perform::wanted_rungs(loaded.song, pattern, choices->hand);
  Result<arrange::Arrangement> arrangement = arrange::arrange(loaded.song, *choices);
  if (!arrangement) return tl::unexpected(with_source_lines(arrangement.error(), loaded.text));
  terminal.report(arrangement->remarks);
  if (choices->rung) terminal.report(lower_than_asked(*arrangement, *choices->rung));
  const auto taken = options_taken(loaded.song, arranging);
  if (!taken) return tl::unexpected(taken.error());
  if (!taken->empty()) {
    arrangement = arrange::take_options(*arrangement, *choices, *taken);
    if (!arrangement) return tl::unexpected(with_source_lines(arrangement.error(), loaded.text));
  }
  Result<perform::PatternPlan> patterns = perform::plan_patterns(*arrangement, pattern);
  if (!patterns) return tl::unexpected(with_source_lines(patterns.error(), loaded.text));
  terminal.report(with_source_lines(patterns->remarks, loaded.text));
  std::optional<teach::ForStudent> student;
  std::optional<music::Tempo> comfortable;
  music::NoteNames names = music::NoteNames::english;
  if (arranging.student) {
    names = arranging.student->note_names;
    comfortable = arranging.student->tempo;
    const arrange::NewForStudent news = arrange::new_for(*arranging.student, *arrangement);
    student = {arranging.student->name, arrange::in_words(news, *arranging.student, *arrangement),
               std::move(song->reductions)};
  }
  return Arranged{std::move(loaded),
                  std::move(*choices),
                  std::move(*arrangement),
                  std::move(student),
                  comfortable,
                  std::move(*patterns),
                  names};
}

teach::Lesson lesson_of(const Arranged& arranged) {
  return teach::teach(arranged.arrangement, arranged.comfortable, arranged.student,
                      arranged.patterns, arranged.note_names);
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

}  // namespace stillhand::cli
