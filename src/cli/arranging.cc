#include "cli/arranging.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <cmath>
#include <string_view>
#include <utility>

#include "base/files.h"
#include "chart/chart.h"
#include "cli/chart_file.h"
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
    out.rung = teach::rung_named(left_hand_);
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
  Result<arrange::Manner> manner = manner_of(manner_);
  if (!manner) return tl::unexpected(manner.error());
  out.manner = std::move(*manner);
  return out;
}

Result<Loaded> load(const std::string& path, const std::optional<music::Tonality>& key,
                    Terminal& terminal) {
  Result<std::string> text = read_chart(path);
  if (!text) return tl::unexpected(text.error());
  Diagnostics remarks;
  Result<Loaded> loaded = teach::load(std::move(*text), path, key, remarks);
  terminal.report(remarks);
  return loaded;
}

Result<LoadedFor> load_for(const std::string& path, const Arranging& arranging,
                           Terminal& terminal) {
  Result<std::string> text = read_chart(path);
  if (!text) return tl::unexpected(text.error());
  Diagnostics remarks;
  Result<LoadedFor> loaded = teach::load_for(std::move(*text), path, arranging, remarks);
  terminal.report(remarks);
  return loaded;
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

Result<Arranged> arrange_chart(const std::string& chart, const Arranging& arranging,
                               Terminal& terminal) {
  Result<LoadedFor> song = load_for(chart, arranging, terminal);
  if (!song) return tl::unexpected(song.error());
  Diagnostics remarks;
  Result<Arranged> arranged = teach::arrange_loaded(std::move(*song), arranging, remarks);
  terminal.report(remarks);
  return arranged;
}

}  // namespace stillhand::cli
