// What a voice calls while the student plays: the counts of each count-in, and the name of each next chord ahead of it. The
// calls as values; when each is spoken, and whether there is time for it, hangs on how long its words last
// (write/audio_voice.h).
//
//   for (const Call& call : calls(lesson.performance, NoteNames::english)) …
//   {Tick(0), Tick(0), "one", CallKind::count}, …, {Tick(6720), Tick(7680), "G over B", CallKind::chord}
//
// - A chord is called where it changes, and again after a count-in; not where it is only struck again.
// - It is called one count before it is due, so that the player hears it a whole count ahead (common practice, no source);
//   a chord that is due before a count of the track has passed, at its beginning.
// - Counts are spoken in count-ins alone: in the song they would hide the chords.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "music/note_names.h"
#include "perform/performance.h"

namespace stillhand::teach {

enum class CallKind { count, chord };

struct Call {
  music::Tick at;  // where its first vowel belongs
  music::Tick
      due;  // of a chord: when it is played, by which the call is over; of a count: the same as `at`
  std::string says;
  CallKind kind = CallKind::chord;
  friend bool operator==(const Call&, const Call&) = default;
};

// In order of `at`.
std::vector<Call> calls(const perform::Performance& performance, music::NoteNames names);

// A symbol in English words, its notes by these names: "F#m7b5/E" is "F sharp minor seven flat five over E", in German
// names "Fis minor seven flat five over E"; "N.C." is "no chord". Empty for what is no symbol.
std::string spoken_chord(std::string_view symbol, music::NoteNames names);

// 1 is "one"; up to 13. Larger ones come back as figures.
std::string spoken_number(int number);

}  // namespace stillhand::teach
