// Any bytes: reading ends with a song or with errors. A song's canonical layout is stable and says
// the same song; moved to other keys it can still be read and the text and the song agree.
#include <cstdint>
#include <cstdlib>
#include <string>
#include <string_view>

#include "chart/chart.h"

namespace {

using namespace stillhand;
using namespace stillhand::chart;

void require(bool holds) {
  if (!holds) std::abort();
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const auto parsed = parse(text, "fuzz");
  const auto formatted = format(text, "fuzz");
  require(parsed.has_value() == formatted.has_value());
  if (!parsed) {
    require(!parsed.error().empty());
    for (const Diagnostic& d : parsed.error()) require(!render(d).empty());
    return 0;
  }
  const Song& song = parsed->song;
  require(played_chords(song, perform(song)).size() >= 1);
  const auto again = parse(*formatted, "fuzz");
  require(again.has_value() && again->song == song);
  require(*format(*formatted, "fuzz") == *formatted);
  for (const char* name : {"Eb", "F#", "Bbm", "G#m"}) {
    const Tonality to = *music::parse_tonality(name);
    if (to.mode != song.tonality.mode) continue;
    const auto moved_song = transpose(song, to);
    const auto moved_text = transpose(text, "fuzz", to);
    require(moved_song.has_value() && moved_text.has_value());
    const auto read = parse(*moved_text, "fuzz");
    require(read.has_value() && count_played_bars(read->song) == count_played_bars(song));
  }
  return 0;
}
