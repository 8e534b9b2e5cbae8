#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <filesystem>
#include <nlohmann/json.hpp>

#include "arrange/extras.h"
#include "base/files.h"
#include "chart/chart.h"
#include "cli/arranging.h"
#include "cli/chart_file.h"
#include "cli/commands.h"
#include "teach/extra_words.h"

namespace stillhand::cli {
namespace {

using arrange::Extra;

std::string kinds_in_words() {
  std::string out;
  const auto& all = arrange::all_extra_kinds();
  for (std::size_t i = 0; i < all.size(); ++i) {
    out += i == 0 ? "" : i + 1 == all.size() ? " or " : ", ";
    out += arrange::name(all[i]);
  }
  return out;
}

std::string asked_in_words(const Extra& extra) {
  if (extra.kind == arrange::ExtraKind::tag) return "nothing new";
  return fmt::format("{}{}", arrange::name(extra.skill),
                     extra.is_new_skill ? ", new in this song" : "");
}

const std::vector<arrange::ExtraLine>& lines_of(const Extra& extra) {
  return extra.section ? extra.section->changed : extra.lines;
}

// The lines that change, as they stand and as the extra has them; each different one once.
std::string lines_text(const Extra& extra) {
  constexpr std::size_t kMostLines = 3;
  std::vector<std::string> shown;
  for (const arrange::ExtraLine& line : lines_of(extra)) {
    std::string both = fmt::format("  plain   {}\n  with it {}\n", arrange::bars_text(line.plain),
                                   arrange::bars_text(line.option.bars));
    if (shown.size() < kMostLines && std::find(shown.begin(), shown.end(), both) == shown.end())
      shown.push_back(std::move(both));
  }
  return fmt::format("{}", fmt::join(shown, ""));
}

std::string extras_text(const chart::Song& song, const std::vector<Extra>& extras) {
  std::string out;
  for (const Extra& extra : extras) {
    out += fmt::format("{}{}\n", out.empty() ? "" : "\n", extra.id);
    out += fmt::format("  {}: {}\n  {}\n", arrange::name(extra.kind), extra.change, extra.reason);
    out += fmt::format("  where   {}\n{}", teach::places_in_words(song, extra), lines_text(extra));
    out += fmt::format("  asks    {}\n  price   {}\n", asked_in_words(extra),
                       teach::price_in_words(extra.price));
  }
  return out.empty() ? "no extra fits this chart\n" : out;
}

nlohmann::ordered_json place_json(const chart::Song& song, const arrange::ExtraPlace& place) {
  return {{"section", song.sections[place.section].name},
          {"line", place.line + 1},
          {"first_bar", place.first_bar + 1},
          {"last_bar", place.last_bar + 1}};
}

nlohmann::ordered_json extra_json(const chart::Song& song, const Extra& extra) {
  nlohmann::ordered_json out;
  out["id"] = extra.id;
  out["kind"] = arrange::name(extra.kind);
  out["change"] = extra.change;
  out["reason"] = extra.reason;
  out["places"] = nlohmann::ordered_json::array();
  for (const arrange::ExtraPlace& place : extra.places) {
    out["places"].push_back(place_json(song, place));
  }
  out["lines"] = nlohmann::ordered_json::array();
  for (const arrange::ExtraLine& line : lines_of(extra)) {
    out["lines"].push_back({{"section", song.sections[line.section].name},
                            {"line", line.line + 1},
                            {"plain", arrange::bars_text(line.plain)},
                            {"option", arrange::bars_text(line.option.bars)}});
  }
  if (extra.section) {
    out["new_section"] = extra.section->name;
    if (extra.section->pivot) out["pivot"] = music::text(*extra.section->pivot);
  }
  out["skill"] = arrange::name(extra.skill);
  out["is_new_skill"] = extra.is_new_skill;
  out["price"] = {{"status", arrange::name(extra.price.status)},
                  {"movement", extra.price.movement.value()},
                  {"shapes", extra.price.shapes},
                  {"left_hand_shifts", extra.price.shifts},
                  {"left_hand_reaches", extra.price.reaches}};
  return out;
}

std::string extras_json(const chart::Song& song, const std::vector<Extra>& extras) {
  nlohmann::ordered_json out;
  out["title"] = song.title;
  out["extras"] = nlohmann::ordered_json::array();
  for (const Extra& extra : extras) out["extras"].push_back(extra_json(song, extra));
  return out.dump(2) + "\n";
}

class ExtrasCommand : public Command {
 public:
  std::string_view name() const override { return "extras"; }
  std::string_view about() const override {
    return "offer ways to enrich the song, each with its plain fallback";
  }

  void declare(CLI::App& app) override {
    declare_chart(app, chart_);
    app.add_flag("--json", json_, "print one JSON object");
    app.add_option("--limit", limit_, "how many at most, 1 to 100 (12)")->type_name("N");
    app.add_option("--kind", kind_, "only this kind: " + kinds_in_words())->type_name("KIND");
    app.add_option("--accept", accept_, "write this extra into the chart")->type_name("ID");
    arranging_.declare_hands(app);
    arranging_.declare_key(app);
  }

  Result<void> run(Terminal& terminal) override {
    const Result<Arranging> arranging = arranging_.read();
    if (!arranging) return tl::unexpected(arranging.error());
    if (limit_ < 1 || limit_ > 100) {
      return wrong_call(fmt::format("--limit {} is out of range", limit_),
                        "name a number from 1 to 100");
    }
    arrange::ExtrasRequest request;
    request.limit = static_cast<std::size_t>(limit_);
    if (!kind_.empty()) {
      const auto kind = arrange::extra_kind_named(kind_);
      if (!kind) {
        return wrong_call(fmt::format("there is no kind of extra `{}`", kind_),
                          fmt::format("a kind is {}", kinds_in_words()));
      }
      request.kinds = {*kind};
    }
    if (!accept_.empty() && arranging->key) {
      return wrong_call("--accept and --key do not go together",
                        "an extra is written into the chart as it stands");
    }
    if (!accept_.empty() && arranging->student) {
      return wrong_call("--accept does not go together with --student or --level",
                        "an extra is written into the chart as it stands, for everybody");
    }
    if (arranging->student) request.skills = teach::skills_within_reach(*arranging->student);
    request.choices = teach::choices_of(*arranging);
    return accept_.empty() ? list(request, *arranging, terminal) : accept(request, terminal);
  }

 private:
  Result<void> list(const arrange::ExtrasRequest& request, const Arranging& arranging,
                    Terminal& terminal) const {
    const Result<LoadedFor> song = load_for(chart_, arranging, terminal);
    if (!song) return tl::unexpected(song.error());
    const Loaded* loaded = &song->loaded;
    const auto found = arrange::extras(loaded->song, request);
    if (!found) return tl::unexpected(teach::with_source_lines(found.error(), loaded->text));
    return terminal.print(json_ ? extras_json(loaded->song, *found)
                                : extras_text(loaded->song, *found));
  }

  Result<void> accept(const arrange::ExtrasRequest& request, Terminal& terminal) const {
    const Result<std::string> text = read_chart(chart_);
    if (!text) return tl::unexpected(text.error());
    const auto written = arrange::accept_extra(*text, chart_, accept_, request);
    if (!written) return tl::unexpected(teach::with_source_lines(written.error(), *text));
    if (chart_ == "-") return terminal.print(*written);
    if (auto saved = save(*text, *written); !saved) return saved;
    std::string done = fmt::format("{}: `{}` is written in\n", chart_, accept_);
    if (const auto before = chart::parse(*text, chart_)) {
      for (const arrange::ExtraLine& line : arrange::lines_already_there(before->song, accept_)) {
        done += fmt::format("  {}, line {} has it already\n",
                            before->song.sections[line.section].name, line.line + 1);
      }
    }
    return terminal.print(done);
  }

  // Over the file that a link names, with its permissions, and only if nobody has changed it since.
  Result<void> save(const std::string& read, const std::string& written) const {
    std::error_code error;
    const std::filesystem::path target = std::filesystem::canonical(chart_, error);
    if (error) return system_failure("write", chart_, error.value());
    const auto permissions = std::filesystem::status(target, error).permissions();
    const Result<std::string> now = read_file(target.string(), chart::kLargestChart);
    if (!now) return tl::unexpected(now.error());
    if (*now != read) {
      return failure(Fault::file, chart_, "the chart has changed meanwhile; nothing was written",
                     "call the command once more");
    }
    if (auto done = write_file(target, written); !done) return done;
    std::filesystem::permissions(target, permissions, error);
    return {};
  }

  std::string chart_;
  bool json_ = false;
  int limit_ = static_cast<int>(arrange::kUsualExtras);
  std::string kind_;
  std::string accept_;
  ArrangingFlags arranging_;
};

}  // namespace

std::unique_ptr<Command> extras_command() { return std::make_unique<ExtrasCommand>(); }

}  // namespace stillhand::cli
