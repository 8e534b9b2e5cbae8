// How long a sound is written: one or more tied note values that together last exactly as long.
//
//   note_values(Tick(4800), *Meter::make(5, 4))  ->  whole, quarter
//   note_values(Tick(4320), *Meter::make(9, 8))  ->  dotted half, dotted quarter
//   note_values(Tick(320), *Meter::make(4, 4))   ->  an eighth, three in the time of two
//
// Whole counts of a compound meter are written dotted. A third or a fifth of a count is written three
// in the time of two, or five in the time of four. What none of this expresses (a fifteenth of a
// count) comes as one value without a name.
#pragma once

#include <string_view>
#include <vector>

#include "music/meter.h"

namespace stillhand::write {

struct NoteValue {
  music::Tick length;     // as it sounds
  std::string_view name;  // "quarter", as in MusicXML; "" if there is none
  bool is_dotted = false;
  int actual = 1;  // of a tuplet: 3 in the time of 2
  int normal = 1;
  friend bool operator==(const NoteValue&, const NoteValue&) = default;
};

// `length` > 0.
std::vector<NoteValue> note_values(music::Tick length, music::Meter meter);

}  // namespace stillhand::write
