#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <nlohmann/json.hpp>

#include "cli/commands.h"
#include "perform/pattern.h"

namespace stillhand::cli {
namespace {

using Json = nlohmann::ordered_json;
using perform::Pattern;
using perform::PatternForm;

std::string joined(const std::vector<std::string>& words) {
  std::string out;
  for (const std::string& word : words) out += (out.empty() ? "" : ", ") + word;
  return out;
}

std::vector<std::string> paces(const Pattern& pattern) {
  std::vector<std::string> out;
  for (const perform::Pace pace : pattern.paces) out.emplace_back(perform::name(pace));
  return out;
}

std::vector<std::string> meters(const PatternForm& form) {
  std::vector<std::string> out;
  for (const music::Meter meter : form.meters) out.push_back(music::text(meter));
  if (out.empty()) out.emplace_back("any meter");
  return out;
}

std::string in_words(const Pattern& pattern) {
  std::string out =
      fmt::format("{}  ({}; {})\n  {}\n", pattern.name, arrange::name(pattern.fullness),
                  joined(paces(pattern)), pattern.says);
  for (const PatternForm& form : pattern.forms) {
    out += fmt::format("  {}\n    left   {}\n    right  {}\n", joined(meters(form)),
                       chart::text(form.left), chart::text(form.right));
  }
  return out;
}

Json as_json(const Pattern& pattern) {
  Json skills = Json::array();
  for (const arrange::Skill skill : pattern.skills) skills.push_back(arrange::name(skill));
  Json forms = Json::array();
  for (const PatternForm& form : pattern.forms) {
    forms.push_back({{"meters", meters(form)},
                     {"left", chart::text(form.left)},
                     {"right", chart::text(form.right)}});
  }
  return {{"name", pattern.name},     {"says", pattern.says},
          {"skills", skills},         {"fullness", arrange::name(pattern.fullness)},
          {"tempo", paces(pattern)},  {"instead", pattern.instead},
          {"forms", std::move(forms)}};
}

class PatternsCommand : public Command {
 public:
  std::string_view name() const override { return "patterns"; }
  std::string_view about() const override {
    return "list the accompaniment patterns: what each hand does on every count";
  }

  void declare(CLI::App& app) override {
    app.add_option("NAME", name_, "only this one")->type_name("");
    app.add_flag("--json", json_, "print one JSON array");
  }

  Result<void> run(Terminal& terminal) override {
    std::vector<const Pattern*> shown;
    if (name_.empty()) {
      for (const Pattern& pattern : perform::all_patterns()) shown.push_back(&pattern);
    } else if (const Pattern* found = perform::find_pattern(name_)) {
      shown.push_back(found);
    } else {
      return wrong_call(fmt::format("there is no pattern `{}`", name_),
                        "`stillhand patterns` lists them");
    }
    std::string text;
    Json all = Json::array();
    for (const Pattern* pattern : shown) {
      text += (text.empty() ? "" : "\n") + in_words(*pattern);
      all.push_back(as_json(*pattern));
    }
    return terminal.print(json_ ? all.dump(2) + "\n" : text);
  }

 private:
  std::string name_;
  bool json_ = false;
};

}  // namespace

std::unique_ptr<Command> patterns_command() { return std::make_unique<PatternsCommand>(); }

}  // namespace stillhand::cli
