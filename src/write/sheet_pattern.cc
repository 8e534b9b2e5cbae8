#include "write/sheet_pattern.h"

#include <fmt/format.h>

#include <algorithm>
#include <string_view>
#include <vector>

namespace stillhand::write {
namespace {

constexpr std::string_view kGoesOn = "-";
constexpr std::string_view kRest = "rest";
constexpr std::string_view kNext = "next";

// Where in its lane a tone lies, 0 at the bottom to 1 at the top, and whether it is the whole chord.
struct TonePlace {
  double height;
  bool is_whole;
};

TonePlace place_of(std::string_view tone) {
  if (tone == "bass" || tone == "low") return {0.0, false};
  if (tone == "third" || tone == "fifth" || tone == "middle") return {0.5, false};
  if (tone == "octave" || tone == "high") return {1.0, false};
  return {0.5, true};  // chord, upper, next
}

// "bass+octave" as its tones.
std::vector<std::string_view> tones_of(std::string_view step) {
  std::vector<std::string_view> out;
  while (!step.empty()) {
    const std::size_t end = std::min(step.find('+'), step.size());
    out.push_back(step.substr(0, end));
    step.remove_prefix(std::min(end + 1, step.size()));
  }
  return out;
}

class StripSetter {
 public:
  StripSetter(const teach::TaughtPattern& pattern, double width, const SheetStyle& style,
              const TextMeasurer& measurer)
      : pattern_(pattern), width_(width), style_(style), measurer_(measurer) {}

  Block block() const {
    Stack stack;
    const std::size_t moments = pattern_.moments.size();
    if (moments > 0) {
      const auto most =
          static_cast<std::size_t>(std::max(1.0, width_ / (kNarrowest * style_.unit)));
      const std::size_t rows = (moments + most - 1) / most;
      const std::size_t per_row = (moments + rows - 1) / rows;
      for (std::size_t first = 0; first < moments; first += per_row) {
        if (first > 0) stack.space(4 * style_.unit);
        const Block strip = row(first, std::min(moments, first + per_row), per_row);
        stack.add(strip.marks, strip.height);
      }
    }
    return std::move(stack).done();
  }

 private:
  static constexpr double kNarrowest = 8.8;  // of one moment, in units
  static constexpr double kWidest = 17;

  double lane() const { return 13 * style_.unit; }
  double whole() const { return 3.3 * style_.unit; }
  double small() const { return 1.9 * style_.unit; }

  Block row(std::size_t first, std::size_t end, std::size_t per_row) const {
    Block out;
    const double step = std::min(width_ / static_cast<double>(per_row), kWidest * style_.unit);
    const double labels = style_.note.size * 1.25;
    const double right = labels + 2 * style_.unit;
    const double left = right + lane() + 2 * style_.unit;
    const double bottom = left + lane();
    for (std::size_t i = first; i < end; ++i) {
      const double x = (static_cast<double>(i - first) + 0.5) * step;
      label(pattern_.moments[i].label, x, step, out.marks);
    }
    hand(first, end, step, right, hand::Hand::right, out.marks);
    hand(first, end, step, left, hand::Hand::left, out.marks);
    const double wide = step * static_cast<double>(end - first);
    out.marks.push_back(RuleMark{0, right, 0, bottom, 0.6, Ink::grey});
    out.marks.push_back(RuleMark{wide, right, wide, bottom, 0.6, Ink::grey});
    out.height = bottom + 2 * style_.unit;
    return out;
  }

  // "and" is a sign, so that it has room.
  void label(const std::string& text, double x, double step, Marks& marks) const {
    if (text.empty()) return;
    const bool is_count = text != "and";
    const TextMark mark = set_text(is_count ? text : "&", style_.note,
                                   is_count ? Ink::black : Ink::grey, 0, 0, measurer_);
    if (mark.box.width > step) return;
    marks.push_back(shifted(mark, x - mark.box.width / 2, style_.note.size));
  }

  void hand(std::size_t first, std::size_t end, double step, double top, hand::Hand which,
            Marks& marks) const {
    // Where a line goes on, at first that of the bar before; none after a rest.
    double held_at = y_of("chord", top);
    double line_from = 0;
    const auto step_at = [&](std::size_t i) -> const std::string& {
      return which == hand::Hand::right ? pattern_.moments[i].right : pattern_.moments[i].left;
    };
    // What was struck before this row is held on into it.
    for (std::size_t i = 0; i < first; ++i) {
      if (step_at(i) == kRest) held_at = -1;
      if (step_at(i) != kRest && step_at(i) != kGoesOn) held_at = y_of(step_at(i), top);
    }
    for (std::size_t i = first; i < end; ++i) {
      const std::string& here = step_at(i);
      const double x = (static_cast<double>(i - first) + 0.5) * step;
      if (here == kGoesOn) continue;
      if (held_at >= 0) line(line_from, x - whole() - style_.unit, held_at, marks);
      if (here == kRest) {
        held_at = -1;
        continue;
      }
      strike(here, x, top, which, marks);
      held_at = y_of(here, top);
      line_from = x + whole() + style_.unit;
    }
    if (held_at >= 0) line(line_from, step * static_cast<double>(end - first), held_at, marks);
  }

  // Only where it says that something is held: not in the small gap to the next moment.
  void line(double from, double to, double y, Marks& marks) const {
    if (to - from < 5 * style_.unit) return;
    marks.push_back(RuleMark{from, y, to, y, 0.7, Ink::grey});
  }

  double y_of_tone(std::string_view tone, double top) const {
    const double inset = whole();
    return top + lane() - inset - place_of(tone).height * (lane() - 2 * inset);
  }
  double y_of(std::string_view step, double top) const {
    const auto tones = tones_of(step);
    return tones.empty() ? top + lane() / 2 : y_of_tone(tones.front(), top);
  }

  void strike(std::string_view step, double x, double top, hand::Hand which, Marks& marks) const {
    for (const std::string_view tone : tones_of(step)) {
      const double y = y_of_tone(tone, top);
      const bool is_whole = place_of(tone).is_whole;
      if (which == hand::Hand::right) {
        const double r = tone == "upper" ? whole() * 0.75 : is_whole ? whole() : small();
        marks.push_back(DiscMark{x, y, r, Ink::black, std::nullopt, 0});
      } else {
        const double half = small() + 0.4 * style_.unit;
        marks.push_back(
            BoxMark{{x - half, y - half, 2 * half, 2 * half}, Ink::paper, Ink::black, 0.8});
      }
      if (tone != kNext) continue;
      const double from = x + whole() + 1.2 * style_.unit;
      const double reach = 1.8 * style_.unit;
      marks.push_back(RuleMark{from, y - reach, from + reach, y, 0.9, Ink::accent});
      marks.push_back(RuleMark{from + reach, y, from, y + reach, 0.9, Ink::accent});
    }
  }

  const teach::TaughtPattern& pattern_;
  double width_;
  const SheetStyle& style_;
  const TextMeasurer& measurer_;
};

}  // namespace

Block set_pattern(const teach::TaughtPattern& pattern, double width, const SheetStyle& style,
                  const TextMeasurer& measurer) {
  Stack stack;
  const Block strip = StripSetter(pattern, width, style, measurer).block();
  stack.add(as_picture(strip.marks, "pattern: " + spoken(pattern)), strip.height);
  if (!pattern.says.empty()) {
    stack.space(2 * style.unit);
    stack.add(set_paragraph(one_line(pattern.says), style.note, Ink::black, width, style.leading,
                            Role::paragraph, measurer));
  }
  return std::move(stack).done();
}

std::string spoken(const teach::TaughtPattern& pattern) {
  std::vector<std::string> moments;
  for (const teach::PatternMoment& moment : pattern.moments) {
    std::vector<std::string> hands;
    if (moment.left != kGoesOn) hands.push_back("left hand " + moment.left);
    if (moment.right != kGoesOn) hands.push_back("right hand " + moment.right);
    if (hands.empty()) continue;
    moments.push_back(fmt::format("{}{}{}", moment.label, moment.label.empty() ? "" : ": ",
                                  fmt::join(hands, ", ")));
  }
  return fmt::format("{}", fmt::join(moments, "; "));
}

}  // namespace stillhand::write
