#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <filesystem>
#include <map>

#include "arrange/manner_learn.h"
#include "base/files.h"
#include "chart/chart.h"
#include "cli/arranging.h"
#include "cli/commands.h"
#include "cli/new_file.h"

namespace stillhand::cli {
namespace {

std::string shown(const arrange::Manner& manner) {
  std::string out = fmt::format("{}\n", manner.name);
  for (const arrange::WeightName& weight : arrange::right_hand_weight_names())
    out += fmt::format("  {:<20}{:>6}\n", weight.name, manner.right.*weight.member);
  return out;
}

class MannerCommand : public Command {
 public:
  std::string_view name() const override { return "manner"; }
  std::string_view about() const override {
    return "learn a manner of your own from charts with pinned shapes";
  }

  void declare(CLI::App& app) override {
    app.require_subcommand(1);
    learn_ = app.add_subcommand("learn", "fit the weights to the shapes pinned in the charts");
    learn_->add_option("CHARTS", charts_, "charts with `shape` lines; 3 to 10 songs teach well")
        ->required()
        ->type_name("");
    learn_->add_option("-o,--out", out_, "the manner file to write; it must be new")
        ->required()
        ->type_name("FILE");
    learn_->add_option("--name", name_, "what the manner is called; the file's name if not given")
        ->type_name("NAME");
    learn_->add_option("--hand-size", hand_size_, "small, medium (the default) or large")
        ->type_name("SIZE");
    show_ = app.add_subcommand("show", "print the weights of a manner");
    show_->add_option("MANNER", shown_, "home, closest, or a manner file")
        ->required()
        ->type_name("");
  }

  Result<void> run(Terminal& terminal) override {
    if (show_->parsed()) {
      const Result<arrange::Manner> manner = manner_of(shown_);
      if (!manner) return tl::unexpected(manner.error());
      return terminal.print(shown(*manner));
    }
    return learn(terminal);
  }

 private:
  Result<void> learn(Terminal& terminal) {
    arrange::Choices choices;
    if (!hand_size_.empty()) {
      const auto size = hand::HandSize::named(hand_size_);
      if (!size) {
        return wrong_call(fmt::format("--hand-size {}: no such size", hand_size_),
                          "it is small, medium or large");
      }
      choices.hand = *size;
    }
    if (auto is_new = check_is_new(out_); !is_new) return is_new;
    Result<void> read = read_charts(terminal);
    if (!read) return read;
    terminal.progress("learning", 50);
    Result<arrange::Learned> learned = arrange::learn_manner(songs_, choices);
    if (!learned) return tl::unexpected(with_lines(learned.error()));
    learned->manner.name = name_.empty() ? std::filesystem::path(out_).stem().string() : name_;
    Result<void> written = write_new_file(out_, arrange::manner_file(learned->manner, *learned));
    if (!written) return written;
    terminal.end_progress();
    terminal.report(with_lines(learned->remarks));
    return terminal.print(fmt::format(
        "{}: learned from {} pins in {} {}. Unpinned it plays {} of them, home {}.\n", out_,
        learned->pins, learned->titles.size(), learned->titles.size() == 1 ? "chart" : "charts",
        learned->by_learned, learned->by_home));
  }

  Result<void> read_charts(Terminal& terminal) {
    Diagnostics errors;
    for (const std::string& chart : charts_) {
      Result<Loaded> loaded = load(chart, std::nullopt, terminal);
      if (!loaded) {
        errors.insert(errors.end(), loaded.error().begin(), loaded.error().end());
        continue;
      }
      songs_.push_back(std::move(loaded->song));
      texts_[chart] = std::move(loaded->text);
    }
    if (!errors.empty()) return tl::unexpected(std::move(errors));
    return {};
  }

  Diagnostics with_lines(const Diagnostics& found) const {
    Diagnostics out;
    for (const Diagnostic& one : found) {
      const auto text = texts_.find(one.file);
      const Diagnostics lined =
          text == texts_.end() ? Diagnostics{one} : teach::with_source_lines({one}, text->second);
      out.insert(out.end(), lined.begin(), lined.end());
    }
    return out;
  }

  CLI::App* learn_ = nullptr;  // owned by the command's own parser
  CLI::App* show_ = nullptr;
  std::vector<std::string> charts_;
  std::string out_;
  std::string name_;
  std::string hand_size_;
  std::string shown_;
  std::vector<chart::Song> songs_;
  std::map<std::string, std::string> texts_;  // by file, as named
};

}  // namespace

std::unique_ptr<Command> manner_command() { return std::make_unique<MannerCommand>(); }

}  // namespace stillhand::cli
