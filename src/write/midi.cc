#include "write/midi.h"

#include <algorithm>
#include <bit>
#include <cassert>
#include <cmath>
#include <string_view>
#include <utility>
#include <vector>

namespace stillhand::write {
namespace {

using hand::Hand;
using music::Meter;
using music::PianoKey;
using music::Tick;
using perform::Performance;
using perform::Velocity;

constexpr int kTracks = 4;
constexpr int kTrackType = 1;  // tracks sound together

enum class Meta : std::uint8_t {
  text = 0x01,
  track_name = 0x03,
  lyric = 0x05,
  marker = 0x06,
  end_of_track = 0x2F,
  tempo = 0x51,
  meter = 0x58,
  tonality = 0x59,
};

struct Channel {
  int number;  // 0–15 in the file, spoken of as 1–16
};
constexpr Channel kRightHand{0};
constexpr Channel kLeftHand{1};
constexpr Channel kPercussion{9};

constexpr int kAcousticGrandPiano = 0;
constexpr int kSustainPedal = 64;  // controller; 0 up, 127 down
// Wood blocks cut through a piano without being loud (our judgement).
constexpr PianoKey kHighWoodBlock{76};
constexpr PianoKey kLowWoodBlock{77};
constexpr Velocity kFirstOfBar{96};
constexpr Velocity kOtherCount{72};
constexpr Tick kClickLength = music::kQuarter / 8;
// Note-off velocity of an instrument that does not sense it, as the MIDI 1.0 specification advises.
constexpr int kPlainRelease = 64;

char byte(int value) {
  assert(value >= 0 && value <= 0xFF);
  return static_cast<char>(static_cast<unsigned char>(value));
}

void append_big_endian(std::string& bytes, std::uint32_t number, int width) {
  for (int shift = 8 * (width - 1); shift >= 0; shift -= 8) {
    bytes += static_cast<char>(static_cast<unsigned char>(number >> shift));
  }
}

// Events may be added in any order. At one tick, keys are let go before anything else happens, then
// events follow in the order in which they were added.
class Track {
 public:
  explicit Track(std::string_view name) { meta(Tick(0), Meta::track_name, name); }

  void meta(Tick at, Meta kind, std::string_view content) {
    std::string bytes{byte(0xFF), byte(static_cast<int>(kind))};
    append_variable_length(bytes, static_cast<std::uint32_t>(content.size()));
    bytes += content;
    events_.push_back({at, Turn::second, std::move(bytes)});
  }

  void program(Channel channel, int program) {
    events_.push_back({Tick(0), Turn::second, {byte(0xC0 | channel.number), byte(program)}});
  }

  void note(Channel channel, PianoKey key, Velocity velocity, Tick start, Tick duration) {
    assert(velocity >= Velocity(1) && velocity <= Velocity(127));
    assert(duration > Tick(0));
    events_.push_back({start,
                       Turn::second,
                       {byte(0x90 | channel.number), byte(key.number()), byte(velocity.value())}});
    events_.push_back({start + duration,
                       Turn::first,
                       {byte(0x80 | channel.number), byte(key.number()), byte(kPlainRelease)}});
  }

  void controller(Channel channel, int controller, int value, Tick at) {
    events_.push_back(
        {at, Turn::second, {byte(0xB0 | channel.number), byte(controller), byte(value)}});
  }

  // The whole chunk; the track lasts until `end` at least.
  std::string chunk(Tick end) {
    std::stable_sort(events_.begin(), events_.end(), [](const Event& a, const Event& b) {
      return std::pair(a.at, a.turn) < std::pair(b.at, b.turn);
    });
    meta(std::max(end, events_.back().at), Meta::end_of_track, {});
    std::string body;
    Tick now{0};
    for (const Event& event : events_) {
      append_variable_length(body, static_cast<std::uint32_t>((event.at - now).value()));
      body += event.bytes;
      now = event.at;
    }
    std::string chunk = "MTrk";
    append_big_endian(chunk, static_cast<std::uint32_t>(body.size()), 4);
    return chunk + body;
  }

 private:
  enum class Turn { first, second };
  struct Event {
    Tick at;
    Turn turn;
    std::string bytes;
  };
  std::vector<Event> events_;
};

// A count lasts 60 s / tempo whatever the meter; the file wants the length of a quarter.
std::uint32_t microseconds_per_quarter(music::Tempo tempo, Meter meter) {
  const double count = 60e6 / tempo.value();
  return static_cast<std::uint32_t>(
      std::lround(count * music::kQuarter.value() / meter.count_length().value()));
}

std::string tempo_content(music::Tempo tempo, Meter meter) {
  std::string content;
  append_big_endian(content, microseconds_per_quarter(tempo, meter), 3);
  return content;
}

// Upper number, the power of two below it, MIDI clocks (24 to the quarter) to the count, and notated
// 32nds to the quarter.
std::string meter_content(Meter meter) {
  const int clocks = 24 * meter.count_length().value() / music::kQuarter.value();
  const int power = std::countr_zero(static_cast<unsigned>(meter.lower()));
  return {byte(meter.upper()), byte(power), byte(clocks), byte(8)};
}

// Sharps as a positive, flats as a negative number; then 0 major, 1 minor.
std::string tonality_content(music::Tonality tonality) {
  return {static_cast<char>(tonality.fifths()), byte(tonality.mode == music::Mode::minor ? 1 : 0)};
}

Track song_track(const Performance& p, std::string_view title) {
  Track track(title.empty() ? "Song" : title);
  for (const auto& [start, meter] : p.meters) {
    track.meta(start, Meta::tempo, tempo_content(p.tempo, meter));
    track.meta(start, Meta::meter, meter_content(meter));
  }
  for (const auto& [start, tonality] : p.tonalities) {
    track.meta(start, Meta::tonality, tonality_content(tonality));
  }
  for (const auto& [start, name] : p.sections) track.meta(start, Meta::marker, name);
  for (const auto& [start, chord] : p.chords) track.meta(start, Meta::text, chord);
  for (const auto& [start, words] : p.words) track.meta(start, Meta::lyric, words);
  return track;
}

Track hand_track(const Performance& p, Hand hand, std::string_view name, Channel channel) {
  Track track(name);
  track.program(channel, kAcousticGrandPiano);
  // Before the notes: at one tick the pedal goes up, then the new chord is struck.
  for (const auto& [start, pedal] : p.pedal)
    track.controller(channel, kSustainPedal, pedal == perform::Pedal::down ? 127 : 0, start);
  for (const perform::Note& note : p.notes) {
    if (note.hand == hand) {
      track.note(channel, note.key, note.velocity, note.start, note.duration);
    }
  }
  return track;
}

Track click_track(const Performance& p) {
  Track track("Click");
  for (const perform::Click& click : p.clicks) {
    track.note(kPercussion, click.is_first_of_bar ? kHighWoodBlock : kLowWoodBlock,
               click.is_first_of_bar ? kFirstOfBar : kOtherCount, click.start, kClickLength);
  }
  return track;
}

}  // namespace

void append_variable_length(std::string& bytes, std::uint32_t number) {
  assert(number <= 0x0FFFFFFF);
  int shift = 21;
  while (shift > 0 && (number >> shift) == 0) shift -= 7;
  for (; shift > 0; shift -= 7) bytes += byte(static_cast<int>(0x80 | ((number >> shift) & 0x7F)));
  bytes += byte(static_cast<int>(number & 0x7F));
}

std::string midi(const Performance& performance, std::string_view title) {
  std::string file = "MThd";
  append_big_endian(file, 6, 4);
  append_big_endian(file, kTrackType, 2);
  append_big_endian(file, kTracks, 2);
  append_big_endian(file, static_cast<std::uint32_t>(music::kQuarter.value()), 2);
  file += song_track(performance, title).chunk(performance.end);
  file += hand_track(performance, Hand::right, "Right hand", kRightHand).chunk(performance.end);
  file += hand_track(performance, Hand::left, "Left hand", kLeftHand).chunk(performance.end);
  file += click_track(performance).chunk(performance.end);
  return file;
}

}  // namespace stillhand::write
