// A Standard MIDI File (1.0; MIDI Manufacturers Association, 1996), read: notes in seconds of music rather than events.
//
//   Result<MidiFile> midi = read_midi(bytes, "quay.mid");
//   for (const MidiNote& note : midi->notes) …         // by start, then key
//
// Formats 0 and 1; time in parts of a quarter. Percussion (channel 10) is left out. Running status, system exclusive events
// and unknown meta events are understood or passed over. A note that is never let go ends with the file.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "music/meter.h"
#include "music/pitch.h"
#include "music/tonality.h"

namespace stillhand::imports {

using music::Tick;

inline constexpr std::size_t kMostMidiEvents = 1'000'000;

struct ChannelTag;
using Channel = Amount<ChannelTag, int>;  // 1–16, as players count them

struct MidiNote {
  music::PianoKey key;
  Channel channel;
  Tick start;  // music/meter.h: 960 to the quarter, whatever the file's own
  Tick duration;
};

template <class T>
struct MidiAt {
  Tick start;
  T value;
};

struct MidiFile {
  std::vector<MidiNote> notes;
  std::vector<MidiAt<music::Meter>> meters;  // only those a chart can have
  std::vector<MidiAt<music::Tonality>> tonalities;
  std::vector<MidiAt<std::string>> markers;
  std::vector<MidiAt<std::string>> lyrics;
  std::string title;                          // the first track's name
  std::optional<double> quarters_per_minute;  // at the beginning
  bool has_odd_meter = false;                 // a meter was left out
  bool ends_early = false;  // fewer tracks, or a shorter last one, than the file itself announces
  Tick end;
};

// Errors (Fault::chart): no MIDI file, cut short within a message or its header, format 2, film time, too many events.
Result<MidiFile> read_midi(std::string_view bytes, const std::string& file);

}  // namespace stillhand::imports
