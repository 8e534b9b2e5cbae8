#include <algorithm>

#include "chart/options.h"
#include "chart/song.h"

namespace stillhand::chart {
namespace {

struct Spot {
  std::size_t line = 0;
  std::size_t bar = 0;
};

std::vector<Spot> spots_of(const Section& section) {
  std::vector<Spot> spots;
  for (std::size_t line = 0; line < section.lines.size(); ++line) {
    for (std::size_t bar = 0; bar < section.lines[line].bars.size(); ++bar)
      spots.push_back({line, bar});
  }
  return spots;
}

bool belongs_to_pass(const Bar& bar, int pass) {
  return bar.endings.empty() ||
         std::find(bar.endings.begin(), bar.endings.end(), pass) != bar.endings.end();
}

// Bars that are played together `passes` times; in each pass those of other endings are left out.
struct Group {
  std::size_t begin = 0;
  std::size_t end = 0;
  int passes = 1;
};

class Unfolded {
 public:
  explicit Unfolded(const Section& section) : section_(section), spots_(spots_of(section)) {
    std::size_t from = 0;
    while (from < spots_.size()) from = add_group_from(from);
  }

  std::vector<Spot> order() const {
    std::vector<Spot> order;
    for (const Group& group : groups_) {
      for (int pass = 1; pass <= group.passes; ++pass) {
        for (std::size_t i = group.begin; i < group.end; ++i) {
          if (belongs_to_pass(bar(i), pass)) order.push_back(spots_[i]);
        }
      }
    }
    return order;
  }

  std::size_t size() const {
    std::size_t bars = 0;
    for (const Group& group : groups_) {
      for (std::size_t i = group.begin; i < group.end; ++i) {
        const auto passes = static_cast<std::size_t>(group.passes);
        bars += bar(i).endings.empty() ? passes : bar(i).endings.size();
      }
    }
    return bars;
  }

 private:
  const Bar& bar(std::size_t i) const { return section_.lines[spots_[i].line].bars[spots_[i].bar]; }

  // Adds what is played up to the end of the next repeat; returns the bar behind it.
  std::size_t add_group_from(std::size_t from) {
    std::size_t end = from;
    while (end < spots_.size() && bar(end).repeat_times <= 1) ++end;
    if (end == spots_.size()) {
      groups_.push_back({from, end, 1});
      return end;
    }
    std::size_t begin = from;
    for (std::size_t i = from; i <= end; ++i) {
      if (bar(i).repeat_begins) begin = i;
    }
    const int passes = bar(end).repeat_times;
    ++end;
    if (!bar(end - 1).endings.empty()) {
      while (end < spots_.size() && !bar(end).endings.empty() && !bar(end).repeat_begins) ++end;
    }
    groups_.push_back({from, begin, 1});
    groups_.push_back({begin, end, passes});
    return end;
  }

  const Section& section_;
  std::vector<Spot> spots_;
  std::vector<Group> groups_;
};

template <class BarOf>
std::vector<PlayedChord> chords_in(const std::vector<PlayedBar>& bars, BarOf written) {
  std::vector<PlayedChord> chords;
  for (std::size_t i = 0; i < bars.size(); ++i) {
    const PlayedBar& played = bars[i];
    Tick at{0};
    bool may_join = !played.section_begins && !chords.empty();
    for (const ChordEvent& event : written(played).chords) {
      const Tick duration = std::min(event.duration, played.length - at);
      if (duration <= Tick(0)) break;  // a pick-up has taken the rest of the bar
      if (may_join && chords.back().chord == event.chord) {
        chords.back().duration += duration;
      } else {
        chords.push_back(
            {event.chord, played.start + at, duration, i, played.section, event.place});
      }
      at += duration;
      may_join = true;
    }
  }
  return chords;
}

}  // namespace

std::size_t count_played_bars(const Song& song) {
  std::vector<std::size_t> sizes;
  for (const Section& section : song.sections) sizes.push_back(Unfolded(section).size());
  std::size_t bars = 0;
  for (const RoadMapEntry& entry : song.road_map)
    bars += sizes[entry.section] * static_cast<std::size_t>(entry.times);
  return bars;
}

std::vector<PlayedBar> perform(const Song& song) {
  std::vector<PlayedBar> played;
  std::vector<int> passes(song.sections.size(), 0);
  Tick now{0};
  for (const RoadMapEntry& entry : song.road_map) {
    const Section& section = song.sections[entry.section];
    const std::vector<Spot> order = Unfolded(section).order();
    for (int time = 0; time < entry.times; ++time) {
      const int pass = ++passes[entry.section];
      bool section_begins = true;
      for (const Spot spot : order) {
        const Bar& bar = section.lines[spot.line].bars[spot.bar];
        if (bar.is_pick_up && !played.empty()) {
          const Tick taken = std::min(bar.length, played.back().length);
          played.back().length -= taken;
          now -= taken;
        }
        played.push_back(
            {entry.section, spot.line, spot.bar, pass, section_begins, now, bar.length});
        now += bar.length;
        section_begins = false;
      }
    }
  }
  return played;
}

std::vector<PlayedChord> played_chords(const Song& song, const std::vector<PlayedBar>& bars) {
  return chords_in(bars,
                   [&](const PlayedBar& played) -> const Bar& { return bar_of(song, played); });
}

std::vector<PlayedChord> played_chords(const Song& song, const std::vector<PlayedBar>& bars,
                                       const OptionPlace& taken) {
  return chords_in(bars, [&](const PlayedBar& played) -> const Bar& {
    const bool is_taken = played.section == taken.section && played.line == taken.line;
    return is_taken ? option_at(song, taken).bars[played.bar] : bar_of(song, played);
  });
}

std::size_t chord_at(const std::vector<PlayedChord>& chords, Tick moment) {
  const auto after = std::upper_bound(chords.begin(), chords.end(), moment,
                                      [](Tick t, const PlayedChord& c) { return t < c.start; });
  return static_cast<std::size_t>(after - chords.begin()) - 1;
}

}  // namespace stillhand::chart
