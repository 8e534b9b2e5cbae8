// How a song builds from section to section: the first verse sparse, the last chorus full. The left hand's rung and the
// pattern of each section follow from it.
//
//   for (const PlayedSection& s : build_up(song, bars)) s.fullness …      one entry each time a section begins
//
// Common practice, no source: verse roots only; second verse a pulse; chorus octaves or eighths; a bridge begins lowest
// and rises; the last chorus peaks.
#pragma once

#include <cstddef>
#include <vector>

#include "chart/song.h"

namespace stillhand::arrange {

enum class Fullness { sparse, light, middling, full, fullest };

struct PlayedSection {
  std::size_t first_bar = 0;  // index into the bars as played
  std::size_t section = 0;    // index into Song::sections
  Fullness fullness = Fullness::light;
  friend bool operator==(const PlayedSection&, const PlayedSection&) = default;
};

// `bars` are chart::perform(song).
std::vector<PlayedSection> build_up(const chart::Song& song,
                                    const std::vector<chart::PlayedBar>& bars);

}  // namespace stillhand::arrange
