#include "write/sheet_bass.h"

#include <algorithm>
#include <optional>

namespace stillhand::write {
namespace {

using music::Tick;
using teach::SheetBar;
using teach::SheetChord;

bool goes_along(const SheetChord& chord) {
  return chord.bass && chord.bass->rung >= arrange::Rung::root_and_fifth;
}

bool any_goes_along(const std::vector<SheetBar>& bars) {
  return std::any_of(bars.begin(), bars.end(), [](const SheetBar& bar) {
    return std::any_of(bar.chords.begin(), bar.chords.end(), goes_along);
  });
}

// The bars of a section, or of an option, one after the other, and how long the present chord has sounded.
class Walker {
 public:
  explicit Walker(std::vector<const SheetBar*> bars) : bars_(std::move(bars)) {}

  std::vector<BarBass> strokes() {
    std::vector<BarBass> out;
    std::optional<Tick> before_endings;
    for (std::size_t b = 0; b < bars_.size(); ++b) {
      const SheetBar& bar = *bars_[b];
      // Each ending goes on from the bar before the first of them.
      if (bar.endings.empty()) before_endings.reset();
      if (!bar.endings.empty() && !before_endings) before_endings = sounded_;
      const bool begins_ending =
          !bar.endings.empty() && (b == 0 || bars_[b - 1]->endings != bar.endings);
      if (begins_ending) sounded_ = *before_endings;
      out.emplace_back();
      for (std::size_t c = 0; c < bar.chords.size(); ++c) add(b, c, out.back());
    }
    return out;
  }

 private:
  void add(std::size_t b, std::size_t c, BarBass& out) {
    const SheetChord& chord = bars_[b]->chords[c];
    if (!chord.is_held) sounded_ = Tick(0);
    if (chord.is_held && b == 0 && c == 0) sounded_ = sounded_before(chord);
    if (chord.bass) {
      const arrange::BassNote& note = *chord.bass;
      if (!chord.is_held) out.strokes.push_back({chord.start, tones(note), false});
      for (const arrange::WalkNote& step : note.walk) {
        if (step.start < sounded_ || step.start >= sounded_ + chord.duration) continue;
        out.strokes.push_back(
            {chord.start + step.start - sounded_, {{step.pitch, step.finger}}, true});
      }
    }
    sounded_ += chord.duration;
  }

  static std::vector<BassTone> tones(const arrange::BassNote& note) {
    std::vector<BassTone> out{{note.pitch, note.finger}};
    const bool has_figure =
        note.rung >= arrange::Rung::root_and_fifth && note.rung != arrange::Rung::walking_bass;
    if (!has_figure) return out;
    for (const arrange::FigureNote& part : note.figure) {
      // The third is a matter of the pattern.
      if (part.tone != arrange::BassTone::third) out.push_back({part.pitch, part.finger});
    }
    return out;
  }

  // A chord that came over from the section before: its walk ends with it.
  Tick sounded_before(const SheetChord& first) const {
    if (!first.bass || first.bass->walk.empty()) return Tick(0);
    Tick here;
    for (std::size_t b = 0; b < bars_.size(); ++b) {
      for (std::size_t c = 0; c < bars_[b]->chords.size(); ++c) {
        const SheetChord& chord = bars_[b]->chords[c];
        if ((b > 0 || c > 0) && !chord.is_held) return length_of(*first.bass) - here;
        here += chord.duration;
      }
    }
    return length_of(*first.bass) - here;
  }
  static Tick length_of(const arrange::BassNote& note) {
    return note.walk.back().start + note.walk.back().duration;
  }

  std::vector<const SheetBar*> bars_;
  Tick sounded_;
};

std::vector<const SheetBar*> pointers(const std::vector<SheetBar>& bars) {
  std::vector<const SheetBar*> out;
  for (const SheetBar& bar : bars) out.push_back(&bar);
  return out;
}

}  // namespace

bool has_bass_in_bars(const teach::SheetSection& section) {
  return std::any_of(section.lines.begin(), section.lines.end(),
                     [](const auto& line) { return any_goes_along(line.bars); });
}

std::vector<LineBass> bass_in_bars(const teach::SheetSection& section) {
  std::vector<const SheetBar*> all;
  for (const auto& line : section.lines) {
    for (const SheetBar& bar : line.bars) all.push_back(&bar);
  }
  std::vector<BarBass> strokes = Walker(std::move(all)).strokes();
  std::vector<LineBass> out;
  auto next = strokes.begin();
  for (const auto& line : section.lines) {
    LineBass here;
    for (std::size_t i = 0; i < line.bars.size(); ++i) here.bars.push_back(std::move(*next++));
    for (const auto& option : line.options)
      here.options.push_back(Walker(pointers(option.bars)).strokes());
    out.push_back(std::move(here));
  }
  return out;
}

}  // namespace stillhand::write
