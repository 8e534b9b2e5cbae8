// How a song builds from section to section: the first verse sparse, the last chorus full. The left hand's rung and the
// pattern of each section follow from it.
//
//   for (const PlayedSection& s : build_up(song, bars)) s.fullness …      one entry each time a section begins
//
// Common practice, no source: verse roots only; second verse a pulse; chorus octaves or eighths; a bridge begins lowest
// and rises; the last chorus peaks.
//
// A section's part in the song is read from its name, in free text: "Verse 2", "Pre-Chorus", "Refrain", "Bridge (quiet)".
//   intro            sparse
//   verse            the first sparse, the second light, later ones middling; without any chorus the last of three or more
//                    full; of two light, middling; a single one light
//   pre-chorus       the first light, later ones middling
//   chorus           full; the last one as played fullest
//   bridge           sparse; played again at once middling
//   interlude, solo  light
//   tag              as what it follows;  outro, ending light
// Where names say nothing and there is no chorus, the section played most often (twice at least) counts as the chorus; one
// played once, after two choruses and before another, as a bridge; all else as verses.
#pragma once

#include <cstddef>
#include <string_view>
#include <vector>

#include "chart/song.h"

namespace stillhand::arrange {

enum class Fullness { sparse, light, middling, full, fullest };
std::string_view name(Fullness fullness);

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
