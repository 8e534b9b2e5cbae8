#include "teach/section_use.h"

#include <algorithm>

namespace stillhand::teach {
namespace {

void add_once(std::vector<std::size_t>& list, std::size_t item) {
  if (std::find(list.begin(), list.end(), item) == list.end()) list.push_back(item);
}

class Reader {
 public:
  explicit Reader(const Lesson& lesson) : lesson_(lesson) {}

  // Bars in the order given; repeats go back as their signs say.
  void read(const std::vector<const SheetBar*>& bars, int number_before) {
    int number = number_before;
    std::optional<std::size_t> repeated;  // the first shape after the sign
    std::optional<std::size_t> before_endings;
    bool awaits_first = true;
    for (std::size_t i = 0; i < bars.size(); ++i) {
      const SheetBar& bar = *bars[i];
      number += bar.is_pick_up ? 0 : 1;
      const bool is_first_ending = !bar.endings.empty() && (i == 0 || bars[i - 1]->endings.empty());
      const bool is_next_ending = !bar.endings.empty() && i > 0 && !bars[i - 1]->endings.empty() &&
                                  bars[i - 1]->endings != bar.endings;
      if (is_first_ending) before_endings = before_;
      if (is_next_ending) {
        // The ending before went back to the beginning; this one follows what precedes them all.
        if (before_ && repeated) use_move(*before_, *repeated, number);
        before_ = before_endings;
      }
      if (bar.repeat_begins) awaits_first = true;
      for (const SheetChord& chord : bar.chords) {
        if (!chord.shape) continue;
        if (awaits_first) repeated = chord.shape;
        awaits_first = false;
        use_shape(*chord.shape, number);
      }
      if (bar.repeat_times > 1 && bar.endings.empty()) {
        if (before_ && repeated) use_move(*before_, *repeated, number);
        awaits_first = true;
      }
    }
  }

  void use_shape(std::size_t shape, int bar) {
    if (shape >= lesson_.shapes.size()) return;
    if (!use_.first_shape) use_.first_shape = shape;
    if (before_) use_move(*before_, shape, bar);
    add_once(use_.shapes, shape);
    before_ = shape;
    use_.last_shape = shape;
  }

  SectionUse done() && { return std::move(use_); }

 private:
  void use_move(std::size_t from, std::size_t to, int bar) {
    const auto move = find_move(lesson_, from, to);
    if (!move) return;
    const bool is_known = std::any_of(use_.moves.begin(), use_.moves.end(),
                                      [&](const UsedMove& known) { return known.move == *move; });
    if (!is_known) use_.moves.push_back({*move, bar});
  }

  const Lesson& lesson_;
  std::optional<std::size_t> before_;
  SectionUse use_;
};

std::vector<const SheetBar*> bars_of(const std::vector<SheetLine>& lines, std::size_t first,
                                     std::size_t last) {
  std::vector<const SheetBar*> out;
  for (std::size_t l = first; l < last; ++l) {
    for (const SheetBar& bar : lines[l].bars) out.push_back(&bar);
  }
  return out;
}

std::optional<std::size_t> edge_shape(const std::vector<const SheetBar*>& bars, bool last) {
  std::optional<std::size_t> out;
  for (const SheetBar* bar : bars) {
    for (const SheetChord& chord : bar->chords) {
      if (chord.shape && (last || !out)) out = chord.shape;
    }
  }
  return out;
}

std::optional<std::size_t> section_named(const Lesson& lesson, const std::string& name) {
  for (std::size_t s = 0; s < lesson.sections.size(); ++s) {
    if (lesson.sections[s].name == name) return s;
  }
  return std::nullopt;
}

}  // namespace

SectionUse section_use(const Lesson& lesson, std::size_t section) {
  return section_use(lesson, section, lesson.sections.at(section).lines.size());
}

SectionUse section_use(const Lesson& lesson, std::size_t section, std::size_t lines) {
  const auto& all = lesson.sections.at(section).lines;
  Reader reader(lesson);
  reader.read(bars_of(all, 0, std::min(lines, all.size())), 0);
  return std::move(reader).done();
}

SectionUse option_use(const Lesson& lesson, std::size_t section, std::size_t line,
                      std::size_t option) {
  const auto& lines = lesson.sections.at(section).lines;
  const std::vector<const SheetBar*> before = bars_of(lines, 0, line);
  const std::vector<const SheetBar*> after = bars_of(lines, line + 1, lines.size());
  int number = 0;
  for (const SheetBar* bar : before) number += bar->is_pick_up ? 0 : 1;
  std::vector<const SheetBar*> bars;
  for (const SheetBar& bar : lines[line].options.at(option).bars) bars.push_back(&bar);
  Reader reader(lesson);
  if (const auto shape = edge_shape(before, true)) reader.use_shape(*shape, number);
  reader.read(bars, number);
  if (const auto shape = edge_shape(after, false)) {
    const int count = static_cast<int>(std::count_if(
        bars.begin(), bars.end(), [](const SheetBar* bar) { return !bar->is_pick_up; }));
    reader.use_shape(*shape, number + count + 1);
  }
  return std::move(reader).done();
}

std::optional<std::size_t> find_move(const Lesson& lesson, std::size_t from, std::size_t to) {
  for (std::size_t m = 0; m < lesson.moves.size(); ++m) {
    if (lesson.moves[m].from == from && lesson.moves[m].to == to) return m;
  }
  return std::nullopt;
}

std::vector<std::size_t> played_order(const Lesson& lesson) {
  std::vector<std::size_t> out;
  for (const RoadMapStep& step : lesson.road_map) {
    if (const auto section = section_named(lesson, step.section)) add_once(out, *section);
  }
  if (out.empty()) {
    for (std::size_t s = 0; s < lesson.sections.size(); ++s) out.push_back(s);
  }
  return out;
}

bool is_pick_up_alone(const SheetLine& line) {
  return !line.bars.empty() && std::all_of(line.bars.begin(), line.bars.end(),
                                           [](const SheetBar& bar) { return bar.is_pick_up; });
}

std::size_t line_number(const SheetSection& section, std::size_t line) {
  std::size_t number = 1;
  for (std::size_t l = 0; l < line; ++l) number += is_pick_up_alone(section.lines.at(l)) ? 0 : 1;
  return number;
}

std::vector<Join> joins(const Lesson& lesson) {
  std::vector<Join> out;
  std::optional<std::size_t> before;
  const auto add = [&](Join join) {
    if (std::find(out.begin(), out.end(), join) == out.end()) out.push_back(join);
  };
  for (const RoadMapStep& step : lesson.road_map) {
    const auto section = section_named(lesson, step.section);
    if (!section) continue;
    if (before) add({*before, *section});
    if (step.times > 1) add({*section, *section});
    before = section;
  }
  return out;
}

}  // namespace stillhand::teach
