#include "teach/patterns.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "chart/pattern.h"
#include "teach/count_aloud.h"

namespace stillhand::teach {
namespace {

using arrange::Arrangement;
using chart::CountPart;
using chart::kWholeCount;
using chart::PatternBar;
using music::Meter;
using perform::PatternPlan;
using perform::SectionPattern;

// "1", "and"; "1" to "6" for the eighths of 6/8; a quarter of a count has no word of its own.
std::string label(CountPart at, Meter meter) {
  const int count = at.value() / kWholeCount.value();
  const CountPart into = at - kWholeCount * count;
  if (meter.is_compound()) {
    const CountPart eighth = kWholeCount / 3;
    return into.value() % eighth.value() == 0
               ? fmt::format("{}", 3 * count + into.value() / eighth.value() + 1)
               : "";
  }
  if (into == CountPart(0)) return fmt::format("{}", count + 1);
  return into == kWholeCount / 2 ? "and" : "";
}

std::string at_moment(const PatternBar& bar, CountPart at) {
  for (const chart::PatternStep& step : bar.steps) {
    if (step.start == at) return chart::text(step);
  }
  return "-";
}

// The meters of a section as played, in order of first use.
std::vector<Meter> meters_of(const Arrangement& a, std::size_t begin, std::size_t end) {
  std::vector<Meter> out;
  for (std::size_t i = begin; i < end; ++i) {
    const Meter meter = chart::bar_of(a.song, a.bars[i]).meter;
    if (std::find(out.begin(), out.end(), meter) == out.end()) out.push_back(meter);
  }
  return out;
}

std::vector<SectionPattern> sections_of(const Arrangement& a, const PatternPlan& plan) {
  if (!plan.sections.empty()) return plan.sections;
  std::vector<SectionPattern> plain;
  for (std::size_t i = 0; i < a.bars.size(); ++i) {
    if (a.bars[i].section_begins)
      plain.push_back({i, a.bars[i].section, perform::plain_pulse(), ""});
  }
  return plain;
}

class Patterns {
 public:
  explicit Patterns(const Arrangement& a) : a_(a) {}

  void add(const SectionPattern& use, std::size_t end, bool always_the_same) {
    const std::string& section = a_.song.sections[use.section].name;
    const std::string where =
        always_the_same ? section : at_its_time(section, a_.bars[use.first_bar].section_pass);
    for (const Meter meter : meters_of(a_, use.first_bar, end)) {
      auto bars = use.pattern.bars(meter);
      const perform::Pattern& played = bars ? use.pattern : perform::plain_pulse();
      if (!bars) bars = played.bars(meter);
      TaughtPattern& taught = entry(played, meter, *bars);
      if (std::find(taught.sections.begin(), taught.sections.end(), where) == taught.sections.end())
        taught.sections.push_back(where);
    }
  }

  std::vector<TaughtPattern> all;

 private:
  TaughtPattern& entry(const perform::Pattern& pattern, Meter meter,
                       const perform::Pattern::Bars& bars) {
    const auto known = std::find_if(all.begin(), all.end(), [&](const TaughtPattern& t) {
      return t.name == pattern.name && t.meter == meter;
    });
    if (known != all.end()) return *known;
    all.push_back({pattern.name, pattern.says, meter, {}, moments(bars, meter)});
    return all.back();
  }

  const Arrangement& a_;
};

}  // namespace

std::vector<PatternMoment> moments(const perform::Pattern::Bars& bars, Meter meter) {
  std::set<CountPart> at;
  for (int count = 0; count < meter.counts().value(); ++count) at.insert(kWholeCount * count);
  for (const PatternBar* bar : {&bars.left, &bars.right}) {
    for (const chart::PatternStep& step : bar->steps) at.insert(step.start);
  }
  std::vector<PatternMoment> out;
  for (const CountPart moment : at)
    out.push_back(
        {label(moment, meter), at_moment(bars.left, moment), at_moment(bars.right, moment)});
  return out;
}

std::vector<TaughtPattern> taught_patterns(const Arrangement& a, const PatternPlan& plan) {
  Patterns patterns(a);
  const auto uses = sections_of(a, plan);
  for (std::size_t i = 0; i < uses.size(); ++i) {
    const bool always = std::all_of(uses.begin(), uses.end(), [&](const SectionPattern& other) {
      return other.section != uses[i].section || other.pattern.name == uses[i].pattern.name;
    });
    patterns.add(uses[i], i + 1 < uses.size() ? uses[i + 1].first_bar : a.bars.size(), always);
  }
  return std::move(patterns.all);
}

}  // namespace stillhand::teach
