// How well chords are found in MIDI files: real songs, arranged and performed, written as MIDI files, read back; the share
// of the time in which the chord is right.
//   import_bench [STEP]      every STEP-th song (default 1) of the half that nothing was fitted on
//   import_bench --fitting [STEP]     of the other half
// Disturbances: jitter (each stroke up to 50 ms early or late), no meter (no meters written in the file), melody (a note on
// every count above the right hand, half of them foreign to the chord, on the right hand's own channel).
// majmin as in mir_eval (C. Raffel et al., ISMIR 2014): only where the true chord is a major or minor triad or holds one, or
// nothing sounds; bass: the lowest note on the chord's first count, where any sounds.
#include <fmt/format.h>

#include <algorithm>
#include <cstdio>
#include <optional>
#include <random>
#include <string>
#include <tuple>
#include <vector>

#include "arrange/arrange.h"
#include "chart/chart.h"
#include "imports/imports.h"
#include "perform/performance.h"
#include "testing/corpus.h"
#include "write/midi.h"

namespace {

using namespace stillhand;
using music::Tick;

struct Disturbance {
  const char* name;
  bool jitter, no_meter, melody;
};
constexpr Disturbance kDisturbances[] = {{"clean", false, false, false},
                                         {"jitter", true, false, false},
                                         {"no meter", false, true, false},
                                         {"melody", false, false, true},
                                         {"all three", true, true, true}};

// A triad's root and third, as a number; -1 silence, -2 neither major nor minor.
int majmin(const std::optional<music::Chord>& chord) {
  if (!chord) return -1;
  const auto has = [&](int number, int alteration) {
    for (const music::Degree d : chord->quality.degrees) {
      if (d.number == number && d.alteration == alteration) return true;
    }
    return false;
  };
  if (has(5, -1) || has(5, 1)) return -2;
  if (has(3, 0)) return chord->root.pitch_class().value();
  if (has(3, -1)) return 12 + chord->root.pitch_class().value();
  return -2;
}

// "no meter": the meters written are taken out of the bytes (FF 58 04 …), as files of recorded playing have none.
std::string without_meters(std::string midi) {
  for (std::size_t at = 0; (at = midi.find("\xFF\x58\x04", at)) != std::string::npos; ++at) {
    midi[at + 1] = '\x7F';  // a sequencer's own event
  }
  return midi;
}

// As performances have them.
void in_order(perform::Performance& p) {
  std::sort(p.notes.begin(), p.notes.end(), [](const perform::Note& a, const perform::Note& b) {
    return std::tuple(a.start, a.hand, a.key) < std::tuple(b.start, b.hand, b.key);
  });
}

void shake(perform::Performance& p, std::mt19937& random) {
  const int count = p.meters.front().value.count_length().value();
  const int most = p.tempo.value() * count / 60 / 20;  // ticks of 50 ms
  for (perform::Note& note : p.notes) {
    const int early = static_cast<int>(random() % static_cast<unsigned>(2 * most + 1)) - most;
    note.start = std::max(Tick(0), note.start + Tick(early));
  }
  in_order(p);
}

void add_melody(perform::Performance& p, const arrange::Arrangement& a, std::mt19937& random) {
  for (std::size_t i = 0; i < a.chords.size(); ++i) {
    if (!a.chords[i].chord) continue;
    const auto tones = a.chords[i].chord->notes();
    const auto& bar = chart::bar_of(a.song, a.bars[a.chords[i].played_bar]);
    const Tick count = bar.meter.count_length();
    for (Tick at; at < a.chords[i].duration; at += count) {
      music::PitchClass pc = tones[random() % tones.size()].pitch_class();
      if (random() % 2 == 0)
        pc = bar.tonality.degree(static_cast<int>(random() % 7) + 1).pitch_class();
      p.notes.push_back({hand::Hand::right, music::PianoKey(72 + pc.value()), perform::Velocity(90),
                         p.count_in + a.chords[i].start + at,
                         std::min(count, a.chords[i].duration - at) - Tick(60)});
    }
  }
  in_order(p);
}

struct Share {
  double right = 0, all = 0;
  double percent() const { return all > 0 ? 100 * right / all : 0; }
};

}  // namespace

int main(int argc, char** argv) {
  const std::vector<std::string> arguments(argv + 1, argv + argc);
  unsigned half = 1;
  std::size_t step = 1;
  for (const std::string& argument : arguments) {
    if (argument == "--fitting") {
      half = 0;
    } else {
      step = std::stoul(argument);
    }
  }
  if (!testing::data_folder()) {
    std::fputs("STILLHAND_DATA is not set: there are no songs to measure\n", stderr);
    return 2;
  }
  const std::vector<chart::Song> songs = testing::read_whole_corpus();
  for (const Disturbance& d : kDisturbances) {
    Share triads, basses;
    std::size_t failed = 0, tried = 0, songs_right = 0;
    for (std::size_t s = half; s < songs.size(); s += 2 * step) {
      std::mt19937 random(static_cast<unsigned>(s));
      const auto a = arrange::arrange(songs[s], {});
      if (!a) continue;
      perform::Performance p = perform::perform(*a);
      if (p.notes.empty()) continue;
      ++tried;
      if (d.melody) add_melody(p, *a, random);
      if (d.jitter) shake(p, random);
      std::string bytes = write::midi(p);
      if (d.no_meter) bytes = without_meters(std::move(bytes));
      const auto chart = imports::import_midi(bytes, "song.mid");
      const auto parsed = chart ? chart::parse(*chart, "song.mid") : tl::unexpected(chart.error());
      if (!parsed) {
        ++failed;
        if (failed < 4) fmt::print("{}: {}\n", songs[s].title, render(parsed.error().front()));
        continue;
      }
      const auto found = chart::played_chords(parsed->song, chart::perform(parsed->song));
      // The chart begins with the bar (or the quarter) in which the first note sounds.
      const Tick sounds = p.notes.front().start + Tick(240) - p.count_in;
      Tick begins;
      if (d.no_meter) {
        begins = Tick(std::max(0, sounds.value()) / 960 * 960);
      } else {
        for (const auto& bar : a->bars) {
          if (bar.start <= sounds) begins = bar.start;
        }
      }
      const double before = triads.right, before_all = triads.all;
      std::size_t at = 0;
      const Tick frame(240);
      for (std::size_t i = 0; i < a->chords.size(); ++i) {
        const auto& truth = a->chords[i];
        for (Tick t = truth.start; t < truth.start + truth.duration; t += frame) {
          const Tick here = t + frame / 2 - begins;
          if (here < Tick(0)) continue;
          while (at + 1 < found.size() && found[at + 1].start <= here) ++at;
          const auto& guess = found[at];
          const int expected = majmin(truth.chord);
          if (expected != -2) {
            triads.all += 1;
            triads.right += majmin(guess.chord) == expected ? 1 : 0;
          }
          if (truth.chord) {
            basses.all += 1;
            basses.right += guess.chord && guess.chord->bass_note().pitch_class() ==
                                               truth.chord->bass_note().pitch_class()
                                ? 1
                                : 0;
          }
        }
      }
      if (triads.right - before >= 0.95 * (triads.all - before_all)) ++songs_right;
    }
    fmt::print(
        "{:<10} {} songs, {} not read: majmin {:.2f} %, bass {:.2f} %; at least 95 % in {} songs\n",
        d.name, tried, failed, triads.percent(), basses.percent(), songs_right);
  }
  return 0;
}
