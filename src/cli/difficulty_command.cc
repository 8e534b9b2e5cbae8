#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <nlohmann/json.hpp>
#include <optional>

#include "cli/arrange_output.h"
#include "cli/arranging.h"
#include "cli/clean_at.h"
#include "cli/commands.h"
#include "teach/lesson.h"

namespace stillhand::cli {
namespace {

using Json = nlohmann::ordered_json;

std::string factors_text(std::string_view title, const arrange::Difficulty& difficulty) {
  std::string out = fmt::format("\n{}: {} points\n", title, difficulty.points.value());
  for (const arrange::FactorValue& factor : difficulty.factors) {
    out += fmt::format("  {:>4}  {}\n", factor.points.value(), arrange::in_words(factor));
  }
  return out;
}

std::string difficulty_text(const teach::Lesson& lesson) {
  const int easier = arrange::easier_songs(lesson.difficulty.points).value();
  std::string out = lesson.title.empty() ? "Untitled" : lesson.title;
  out += fmt::format("\nkey {}, {} counts a minute; {} manner, {} hand\n",
                     music::text(lesson.tonality), lesson.tempo.value(), lesson.manner,
                     lesson.hand_size);
  out += factors_text("The whole song", lesson.difficulty);
  out += fmt::format("  {} of 10 real songs {} easier, {} {} harder or alike\n", easier,
                     easier == 1 ? "is" : "are", 10 - easier, easier == 9 ? "is" : "are");
  if (!lesson.section_difficulties.empty()) out += "\nSections\n";
  for (const teach::SectionDifficulty& section : lesson.section_difficulties) {
    out += fmt::format("  {:>4}  {}\n", section.difficulty.points.value(), section.section);
  }
  if (!lesson.hardest.empty()) out += "\nHardest moves, right hand\n";
  for (const std::size_t i : lesson.hardest) {
    const teach::Move& move = lesson.moves[i];
    out += fmt::format("  {}: {}\n", hardest_move_text(lesson, move), move.words);
  }
  return out + fmt::format("\nTempo ladder\n  {}\n", lesson.ladder.words);
}

Json difficulty_json(const arrange::Difficulty& difficulty) {
  Json factors = Json::array();
  for (const arrange::FactorValue& factor : difficulty.factors) {
    factors.push_back({{"factor", std::string(arrange::name(factor.factor))},
                       {"value", factor.value},
                       {"points", factor.points.value()},
                       {"words", arrange::in_words(factor)}});
  }
  return {{"points", difficulty.points.value()}, {"factors", std::move(factors)}};
}

std::string difficulty_json(const teach::Lesson& lesson) {
  Json out;
  out["title"] = lesson.title;
  out["key"] = music::text(lesson.tonality);
  out["song"] = difficulty_json(lesson.difficulty);
  out["easier_of_ten_real_songs"] = arrange::easier_songs(lesson.difficulty.points).value();
  out["sections"] = Json::array();
  for (const teach::SectionDifficulty& section : lesson.section_difficulties) {
    Json entry{{"section", section.section}};
    entry.update(difficulty_json(section.difficulty));
    out["sections"].push_back(std::move(entry));
  }
  out["hardest_moves"] = Json::array();
  for (const std::size_t i : lesson.hardest) {
    const teach::Move& move = lesson.moves[i];
    out["hardest_moves"].push_back({{"from", lesson.shapes.at(move.from).chord},
                                    {"to", lesson.shapes.at(move.to).chord},
                                    {"millibits", move.difficulty.index.value()},
                                    {"milliseconds", move.shortest.value()},
                                    {"millibits_per_second", move.needed.value()},
                                    {"words", move.words}});
  }
  Json steps = Json::array();
  for (const music::Tempo tempo : lesson.ladder.steps) steps.push_back(tempo.value());
  out["tempo_ladder"] = {{"steps", std::move(steps)}, {"words", lesson.ladder.words}};
  return out.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

class DifficultyCommand : public Command {
 public:
  std::string_view name() const override { return "difficulty"; }
  std::string_view about() const override {
    return "how hard a song is, its hardest moves, and the tempo ladder";
  }

  void declare(CLI::App& app) override {
    declare_chart(app, chart_);
    declare_clean_at(app, clean_at_);
    app.add_flag("--json", json_, "print one JSON object");
    arranging_.declare(app);
  }

  Result<void> run(Terminal& terminal) override {
    const Result<Arranging> arranging = arranging_.read();
    if (!arranging) return tl::unexpected(arranging.error());
    const Result<std::optional<music::Tempo>> clean_at = read_clean_at(clean_at_);
    if (!clean_at) return tl::unexpected(clean_at.error());
    const Result<Arranged> arranged = arrange_chart(chart_, *arranging, terminal);
    if (!arranged) return tl::unexpected(arranged.error());
    const teach::Lesson lesson =
        teach::teach(arranged->arrangement, *clean_at ? *clean_at : arranged->comfortable,
                     arranged->student, {}, arranged->note_names);
    return terminal.print(json_ ? difficulty_json(lesson) : difficulty_text(lesson));
  }

 private:
  std::string chart_;
  std::string clean_at_;
  bool json_ = false;
  ArrangingFlags arranging_;
};

}  // namespace

std::unique_ptr<Command> difficulty_command() { return std::make_unique<DifficultyCommand>(); }

}  // namespace stillhand::cli
