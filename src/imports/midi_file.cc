#include "imports/midi_file.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstdint>
#include <map>
#include <tuple>

namespace stillhand::imports {
namespace {

using music::Meter;
using music::PianoKey;
using music::Tonality;

constexpr int kPercussion = 10;
constexpr std::int64_t kLatest = 1'000'000'000;  // ticks: over a hundred hours at any tempo

// Bytes with an end; reading past it gives zeros and is remembered.
class Bytes {
 public:
  explicit Bytes(std::string_view bytes) : rest_(bytes) {}
  bool at_end() const { return rest_.empty(); }
  bool is_cut() const { return cut_; }

  unsigned next() {
    if (rest_.empty()) {
      cut_ = true;
      return 0;
    }
    const auto byte = static_cast<unsigned char>(rest_.front());
    rest_.remove_prefix(1);
    return byte;
  }
  unsigned peek() const { return rest_.empty() ? 0 : static_cast<unsigned char>(rest_.front()); }

  unsigned number(int bytes) {
    unsigned out = 0;
    for (int i = 0; i < bytes; ++i) out = out << 8U | next();
    return out;
  }
  // At most four bytes of seven bits each.
  unsigned variable() {
    unsigned out = 0;
    for (int i = 0; i < 4; ++i) {
      const unsigned byte = next();
      out = out << 7U | (byte & 0x7FU);
      if (byte < 0x80) break;
    }
    return out;
  }
  std::string_view take(std::size_t size) {
    if (size > rest_.size()) {
      cut_ = true;
      size = rest_.size();
    }
    const std::string_view out = rest_.substr(0, size);
    rest_.remove_prefix(size);
    return out;
  }

 private:
  std::string_view rest_;
  bool cut_ = false;
};

class Reader {
 public:
  explicit Reader(const std::string& file) : file_(file) {}

  Result<MidiFile> read(std::string_view bytes) {
    Bytes all(bytes);
    if (all.take(4) != "MThd") return broken("it is no MIDI file");
    Bytes header(all.take(all.number(4)));
    const unsigned format = header.number(2);
    const unsigned tracks = header.number(2);
    division_ = static_cast<int>(header.number(2));
    if (header.is_cut() || all.is_cut()) return broken("the MIDI file is cut short");
    if (format > 1) return broken("it holds separate songs (format 2), not one");
    if (division_ == 0 || division_ >= 0x8000)
      return broken("its time is counted in film frames, not in parts of a quarter");
    unsigned read_tracks = 0;
    while (read_tracks < tracks && !all.at_end()) {
      const std::string_view name = all.take(4);
      Bytes chunk(all.take(all.number(4)));
      if (name != "MTrk") continue;  // unknown chunks are passed over, as the standard asks
      if (const auto error = read_track(chunk, read_tracks == 0)) return broken(*error);
      ++read_tracks;
    }
    out_.ends_early = all.is_cut() || read_tracks < tracks;
    finish();
    return std::move(out_);
  }

 private:
  tl::unexpected<Diagnostics> broken(std::string what) const {
    return failure(Fault::chart, file_, std::move(what),
                   "export it again as a MIDI file, format 0 or 1");
  }

  Tick tick(std::int64_t parts) const {
    return Tick(static_cast<int>((parts * music::kQuarter.value() + division_ / 2) / division_));
  }

  std::optional<std::string> read_track(Bytes& track, bool is_first) {
    std::int64_t now = 0;
    unsigned status = 0;
    while (!track.at_end()) {
      if (++events_ > kMostMidiEvents) return "it has more than 1,000,000 events";
      now += track.variable();
      if (now * music::kQuarter.value() / division_ > kLatest)
        return "it is longer than a hundred hours";
      if (track.peek() >= 0x80) status = track.next();
      if (status < 0x80) return "the MIDI file is damaged: data without a status";
      if (status == 0xFF) {
        const unsigned type = track.next();
        meta(type, track.take(track.variable()), now, is_first);
        status = 0;
        if (type == 0x2F) break;
      } else if (status == 0xF0 || status == 0xF7) {
        track.take(track.variable());
        status = 0;
      } else if (status > 0xF0) {
        return "the MIDI file is damaged: a message that belongs to no file";
      } else {
        voice(status, track, now);
      }
      if (track.is_cut()) return "the MIDI file is cut short";
    }
    out_.end = std::max(out_.end, tick(now));
    return std::nullopt;
  }

  void voice(unsigned status, Bytes& track, std::int64_t now) {
    const unsigned kind = status & 0xF0U;
    const int channel = static_cast<int>(status & 0x0FU) + 1;
    const unsigned first = track.next() & 0x7FU;
    const unsigned second = kind == 0xC0 || kind == 0xD0 ? 0 : track.next() & 0x7FU;
    if (channel == kPercussion) return;
    if (kind == 0x90 && second > 0) {
      let_go(channel, static_cast<int>(first), now);
      down_[{channel, static_cast<int>(first)}] = now;
    } else if (kind == 0x80 || kind == 0x90) {
      let_go(channel, static_cast<int>(first), now);
    }
  }

  void let_go(int channel, int key, std::int64_t now) {
    const auto found = down_.find({channel, key});
    if (found == down_.end()) return;
    const Tick start = tick(found->second);
    out_.notes.push_back(
        {PianoKey(key), Channel(channel), start, std::max(Tick(1), tick(now) - start)});
    down_.erase(found);
  }

  void meta(unsigned type, std::string_view data, std::int64_t now, bool is_first) {
    const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(data[i]); };
    if (type == 0x03 && is_first && out_.title.empty()) out_.title = data;
    if (type == 0x05) out_.lyrics.push_back({tick(now), std::string(data)});
    if (type == 0x06) out_.markers.push_back({tick(now), std::string(data)});
    if (type == 0x51 && data.size() == 3 && !out_.quarters_per_minute) {
      const int microseconds = byte(0) << 16 | byte(1) << 8 | byte(2);
      if (microseconds > 0) out_.quarters_per_minute = 60e6 / microseconds;
    }
    if (type == 0x58 && data.size() >= 2) {
      const auto meter = byte(1) < 8 ? Meter::make(byte(0), 1 << byte(1)) : std::nullopt;
      if (meter) {
        out_.meters.push_back({tick(now), *meter});
      } else {
        out_.has_odd_meter = true;
      }
    }
    if (type == 0x59 && data.size() == 2) {
      const int fifths = byte(0) < 128 ? byte(0) : byte(0) - 256;
      const bool is_minor = byte(1) == 1;
      if (fifths >= -7 && fifths <= 7) {
        out_.tonalities.push_back(
            {tick(now), Tonality{music::NoteName::at_fifths(fifths + (is_minor ? 3 : 0)),
                                 is_minor ? music::Mode::minor : music::Mode::major}});
      }
    }
  }

  void finish() {
    while (!down_.empty()) {
      const auto [channel, key] = down_.begin()->first;
      let_go(channel, key,
             static_cast<std::int64_t>(out_.end.value()) * division_ / music::kQuarter.value());
    }
    const auto by_start = [](const auto& a, const auto& b) { return a.start < b.start; };
    std::sort(out_.notes.begin(), out_.notes.end(), [](const MidiNote& a, const MidiNote& b) {
      return std::tuple(a.start, a.key, a.channel, a.duration) <
             std::tuple(b.start, b.key, b.channel, b.duration);
    });
    std::stable_sort(out_.meters.begin(), out_.meters.end(), by_start);
    std::stable_sort(out_.tonalities.begin(), out_.tonalities.end(), by_start);
    std::stable_sort(out_.markers.begin(), out_.markers.end(), by_start);
    std::stable_sort(out_.lyrics.begin(), out_.lyrics.end(), by_start);
  }

  const std::string& file_;
  int division_ = 480;
  std::size_t events_ = 0;
  std::map<std::pair<int, int>, std::int64_t> down_;  // channel and key → since when
  MidiFile out_;
};

}  // namespace

Result<MidiFile> read_midi(std::string_view bytes, const std::string& file) {
  return Reader(file).read(bytes);
}

}  // namespace stillhand::imports
