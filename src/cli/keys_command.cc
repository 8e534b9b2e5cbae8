#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <nlohmann/json.hpp>
#include <optional>

#include "arrange/keys.h"
#include "base/files.h"
#include "chart/chart.h"
#include "cli/arranging.h"
#include "cli/chart_file.h"
#include "cli/commands.h"
#include "cli/new_file.h"
#include "teach/key_words.h"

namespace stillhand::cli {
namespace {

using arrange::KeyOption;
using Json = nlohmann::ordered_json;

// "A3-D5"
Result<chart::Range> read_singers(const std::string& text) {
  const std::size_t dash = text.find('-', 1);
  if (dash != std::string::npos) {
    const auto lowest = music::parse_pitch(text.substr(0, dash));
    const auto highest = music::parse_pitch(text.substr(dash + 1));
    if (lowest && highest && lowest->key() < highest->key()) return chart::Range{*lowest, *highest};
  }
  return wrong_call(fmt::format("--singers {}: no range I know", text),
                    "write the lowest and the highest note, such as A3-D5");
}

std::string range_text(const chart::Range& range) {
  return fmt::format("{} to {}", music::text(range.lowest), music::text(range.highest));
}

bool is_outside(const KeyOption& option) { return option.range && !option.range->fits(); }

std::string table(const chart::Song& song, const std::vector<KeyOption>& options,
                  const arrange::KeyWishes& wishes) {
  std::string out =
      fmt::format("Keys for {}, the easiest first\nwritten in {}; {} manner, {} hand; {}\n",
                  song.title.empty() ? "Untitled" : song.title, music::text(song.tonality),
                  wishes.choices.manner.name, wishes.choices.hand.name(),
                  song.range ? fmt::format("singers {}", range_text(wishes.singers))
                             : "the chart has no range line, so the singers are not considered");
  std::string_view heading;
  for (const KeyOption& option : options) {
    const std::string_view belongs = !option.can_be_played() ? "Cannot be played"
                                     : is_outside(option)    ? "Outside the singers' range"
                                     : option.range          ? "Within the singers' range"
                                                             : "All keys";
    if (belongs != heading) out += fmt::format("\n{}\n", heading = belongs);
    out +=
        fmt::format("  {:<4}{} {}\n", music::text(option.tonality),
                    option.can_be_played() ? fmt::format("{:>4}", option.points.value()) : "    ",
                    fmt::join(teach::reasons(option, wishes.singers), "; "));
  }
  return out;
}

Json key_json(const KeyOption& option, const arrange::KeyWishes& wishes) {
  Json out;
  out["key"] = music::text(option.tonality);
  out["up"] = option.up.value();
  out["can_be_played"] = option.can_be_played();
  out["range"] = nullptr;
  if (option.range) {
    out["range"] = {{"lowest", music::text(option.range->melody.lowest)},
                    {"highest", music::text(option.range->melody.highest)},
                    {"octaves_up", option.range->octaves_up},
                    {"semitones_above", option.range->above.value()},
                    {"semitones_below", option.range->below.value()}};
  }
  if (option.can_be_played()) {
    out["points"] = option.points.value();
    out["parts"] = Json::array();
    for (const arrange::KeyPartValue& part : option.parts) {
      out["parts"].push_back({{"part", std::string(arrange::name(part.part))},
                              {"value", part.value},
                              {"points", part.points.value()}});
    }
    out["status"] = std::string(arrange::name(option.status));
    out["cost"] = option.cost.value();
    out["difficulty"] = option.difficulty.points.value();
    out["shifts"] = option.shifts;
    out["reaches"] = option.reaches;
  }
  out["reasons"] = teach::reasons(option, wishes.singers);
  return out;
}

std::string keys_json(const chart::Song& song, const std::vector<KeyOption>& options,
                      const arrange::KeyWishes& wishes) {
  Json out;
  out["title"] = song.title;
  out["written_in"] = music::text(song.tonality);
  out["singers"] = {{"lowest", music::text(wishes.singers.lowest)},
                    {"highest", music::text(wishes.singers.highest)}};
  out["manner"] = wishes.choices.manner.name;
  out["hand_size"] = wishes.choices.hand.name();
  out["keys"] = Json::array();
  for (const KeyOption& option : options) out["keys"].push_back(key_json(option, wishes));
  return out.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

class KeysCommand : public Command {
 public:
  std::string_view name() const override { return "keys"; }
  std::string_view about() const override {
    return "rank all twelve keys: easy hands, within the singers' range";
  }

  void declare(CLI::App& app) override {
    declare_chart(app, chart_);
    app.add_option("--singers", singers_,
                   "the singers' lowest and highest note; A3-D5, a congregation, if not given")
        ->type_name("RANGE");
    app.add_option("--write", write_, "instead of the list, print the chart in this key")
        ->type_name("KEY");
    app.add_option("-o,--out", out_, "with --write: to this new file instead")->type_name("FILE");
    app.add_flag("--json", json_, "print one JSON object");
    arranging_.declare_hands(app);
  }

  Result<void> run(Terminal& terminal) override {
    const Result<Arranging> arranging = arranging_.read();
    if (!arranging) return tl::unexpected(arranging.error());
    arrange::KeyWishes wishes;
    if (!singers_.empty()) {
      const Result<chart::Range> singers = read_singers(singers_);
      if (!singers) return tl::unexpected(singers.error());
      wishes.singers = *singers;
    }
    if (!write_.empty()) return write_chart(wishes, terminal);
    if (!out_.empty()) {
      return wrong_call("--out belongs to --write", "say which key: --write G -o FILE");
    }

    wishes.choices = teach::choices_of(*arranging);
    const Result<LoadedFor> song = load_for(chart_, *arranging, terminal);
    if (!song) return tl::unexpected(song.error());
    const Loaded* loaded = &song->loaded;
    wishes.choices.section_rungs =
        perform::wanted_rungs(loaded->song, {.skills = wishes.choices.skills}, wishes.choices.hand);
    const std::vector<KeyOption> options = arrange::rank_keys(loaded->song, wishes);
    if (!options.front().can_be_played()) {
      return tl::unexpected(teach::with_source_lines(options.front().errors, loaded->text));
    }
    return terminal.print(json_ ? keys_json(loaded->song, options, wishes)
                                : table(loaded->song, options, wishes));
  }

 private:
  Result<void> write_chart(const arrange::KeyWishes& wishes, Terminal& terminal) const {
    const std::optional<music::Tonality> key = music::parse_tonality(write_);
    if (!key) {
      return wrong_call(fmt::format("--write {}: no key I know", write_),
                        "write it like D, Bb or F#m, with at most seven sharps or flats");
    }
    Result<std::string> text = read_chart(chart_);
    if (!text) return tl::unexpected(text.error());
    const Result<std::string> moved = chart::transpose(*text, chart_, *key);
    if (!moved) return tl::unexpected(moved.error());
    const Result<chart::Parsed> parsed = chart::parse(*moved, chart_);
    if (!parsed) return tl::unexpected(parsed.error());
    warn_of_range(parsed->song, wishes.singers, terminal);
    return out_.empty() ? terminal.print(*moved) : write_new_file(out_, *moved);
  }

  void warn_of_range(const chart::Song& song, const chart::Range& singers,
                     Terminal& terminal) const {
    const auto fit = arrange::range_fit(song, singers);
    if (!fit || (fit->fits() && fit->octaves_up == 0)) return;
    terminal.report({{Severity::warning,
                      Fault::chart,
                      chart_,
                      {},
                      fmt::format("in {}, {}", music::text(song.tonality),
                                  teach::range_in_words(*fit, singers)),
                      "`stillhand keys` lists the keys within the range",
                      {}}});
  }

  std::string chart_;
  std::string singers_;
  std::string write_;
  std::string out_;
  bool json_ = false;
  ArrangingFlags arranging_;
};

}  // namespace

std::unique_ptr<Command> keys_command() { return std::make_unique<KeysCommand>(); }

}  // namespace stillhand::cli
