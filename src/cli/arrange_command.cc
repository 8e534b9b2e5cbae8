#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <optional>

#include "arrange/arrange.h"
#include "cli/arrange_output.h"
#include "cli/arranging.h"
#include "cli/commands.h"
#include "music/chord.h"
#include "teach/lesson.h"

namespace stillhand::cli {
namespace {

class ArrangeCommand : public Command {
 public:
  std::string_view name() const override { return "arrange"; }
  std::string_view about() const override {
    return "print what the hands do: shapes, fingers, moves in words";
  }

  void declare(CLI::App& app) override {
    declare_chart(app, chart_);
    app.add_flag("--json", json_, "print one JSON object");
    app.add_option(
           "--prices", prices_,
           "also print what each other shape of this chord (as it is in the key asked for) would "
           "cost the song")
        ->type_name("CHORD");
    arranging_.declare(app);
  }

  Result<void> run(Terminal& terminal) override {
    const Result<Arranging> arranging = arranging_.read();
    if (!arranging) return tl::unexpected(arranging.error());
    const Result<std::optional<music::Chord>> priced = read_prices();
    if (!priced) return tl::unexpected(priced.error());

    const Result<Arranged> arranged = arrange_chart(chart_, *arranging, terminal);
    if (!arranged) return tl::unexpected(arranged.error());
    std::optional<PriceList> list;
    if (*priced) {
      auto prices = arrange::prices(arranged->loaded.song, arranged->choices, **priced);
      if (!prices) return tl::unexpected(prices.error());
      list = PriceList{**priced, std::move(*prices)};
    }
    const teach::Lesson lesson = teach::lesson_of(*arranged);
    const PriceList* shown = list ? &*list : nullptr;
    return terminal.print(json_ ? arrange_json(arranged->arrangement, lesson, shown)
                                : arrange_text(lesson, shown));
  }

 private:
  Result<std::optional<music::Chord>> read_prices() const {
    if (prices_.empty()) return std::nullopt;
    const std::optional<music::Chord> chord = music::parse_chord(prices_);
    if (!chord) {
      const auto near = music::suggest_chord(prices_);
      return wrong_call(fmt::format("--prices {}: no chord I know", prices_),
                        near ? fmt::format("did you mean {}?", *near) : "write it as in the chart");
    }
    return chord->without_bass();
  }

  std::string chart_;
  ArrangingFlags arranging_;
  std::string prices_;
  bool json_ = false;
};

}  // namespace

std::unique_ptr<Command> arrange_command() { return std::make_unique<ArrangeCommand>(); }

}  // namespace stillhand::cli
