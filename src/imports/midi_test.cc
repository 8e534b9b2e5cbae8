// Standard MIDI Files 1.0 (MIDI Manufacturers Association, 1996), and the chords found in them.
#include <gtest/gtest.h>

#include "chart/chart.h"
#include "imports/chord_finding.h"
#include "imports/imports.h"
#include "imports/midi_file.h"

namespace stillhand::imports {
namespace {

using music::PianoKey;
using music::PitchClass;

std::string bytes(std::initializer_list<int> list) {
  std::string out;
  for (const int byte : list) out += static_cast<char>(byte);
  return out;
}

std::string chunk(std::string_view name, const std::string& content) {
  const auto size = static_cast<int>(content.size());
  return std::string(name) +
         bytes({size >> 24 & 255, size >> 16 & 255, size >> 8 & 255, size & 255}) + content;
}

constexpr int kEnd[] = {0x00, 0xFF, 0x2F, 0x00};
std::string end_of_track() { return bytes({kEnd[0], kEnd[1], kEnd[2], kEnd[3]}); }

// Format 0, 96 parts of a quarter.
std::string file(const std::string& events) {
  return chunk("MThd", bytes({0, 0, 0, 1, 0, 96})) + chunk("MTrk", events + end_of_track());
}

TEST(MidiFile, NotesRunningStatusAndMeta) {
  // 100,000 in variable length is 86 8D 20, by the standard's rule of seven bits a byte.
  const Result<MidiFile> midi = read_midi(
      file(bytes({0, 0xFF, 0x03, 4, 'Q', 'u', 'a', 'y'}) +            // name
           bytes({0, 0xFF, 0x51, 3, 0x07, 0xA1, 0x20}) +              // 120 quarters a minute
           bytes({0, 0xFF, 0x58, 4, 3, 2, 24, 8}) +                   // 3/4
           bytes({0, 0xFF, 0x59, 2, 0xFE, 1}) +                       // two flats, minor
           bytes({0, 0xF0, 2, 1, 0xF7}) +                             // passed over
           bytes({0, 0x90, 60, 80, 0, 64, 80}) +                      // running status
           bytes({96, 60, 0, 0, 0x80, 64, 0}) +                       // two ways to let go
           bytes({0, 0x99, 36, 100, 0, 0xC0, 0, 0, 0xB0, 64, 127}) +  // percussion, program, pedal
           bytes({0x86, 0x8D, 0x20, 0x90, 67, 1})),                   // never let go
      "quay.mid");
  ASSERT_TRUE(midi) << render(midi.error().front());
  EXPECT_EQ(midi->title, "Quay");
  EXPECT_DOUBLE_EQ(midi->quarters_per_minute.value(), 120);
  EXPECT_EQ(music::text(midi->meters.at(0).value), "3/4");
  EXPECT_EQ(music::text(midi->tonalities.at(0).value), "Gm");
  ASSERT_EQ(midi->notes.size(), 3U);
  EXPECT_EQ(midi->notes[0].key, PianoKey(60));
  EXPECT_EQ(midi->notes[0].duration, Tick(960));
  EXPECT_EQ(midi->notes[1].key, PianoKey(64));
  EXPECT_EQ(midi->notes[1].channel, Channel(1));
  EXPECT_EQ(midi->notes[2].start, Tick(960 + 1'000'000));
  EXPECT_EQ(midi->notes[2].duration, Tick(1));
}

TEST(MidiFile, AFileThatEndsEarlySaysSo) {
  const auto header = [](char tracks) {
    return chunk("MThd", bytes({0, 1, 0, 0, 0, 96}).replace(3, 1, 1, tracks));
  };
  const std::string track = chunk("MTrk", bytes({0, 0x90, 60, 80, 96, 0x80, 60, 0}));
  EXPECT_FALSE(read_midi(header(1) + track, "x.mid")->ends_early);
  EXPECT_TRUE(read_midi(header(2) + track, "x.mid")->ends_early);
  const std::string cut = (header(1) + track).substr(0, header(1).size() + track.size() - 4);
  EXPECT_TRUE(read_midi(cut, "x.mid")->ends_early);
}

TEST(MidiFile, HostileFilesAreRefused) {
  const auto said = [](const std::string& content) {
    const Result<MidiFile> midi = read_midi(content, "x.mid");
    return midi ? std::string("read") : midi.error().front().message;
  };
  EXPECT_EQ(said("RIFF"), "it is no MIDI file");
  EXPECT_EQ(said("MThd"), "the MIDI file is cut short");
  EXPECT_EQ(said(chunk("MThd", bytes({0, 2, 0, 1, 0, 96}))),
            "it holds separate songs (format 2), not one");
  EXPECT_EQ(said(chunk("MThd", bytes({0, 1, 0, 1, 0xE7, 40}))),
            "its time is counted in film frames, not in parts of a quarter");
  EXPECT_EQ(said(file(bytes({0, 60, 80}))), "the MIDI file is damaged: data without a status");
  EXPECT_EQ(said(file(bytes({0, 0xF8}))),
            "the MIDI file is damaged: a message that belongs to no file");
  std::string late;
  for (int i = 0; i < 4000; ++i) late += bytes({0xFF, 0xFF, 0xFF, 0x7F, 0xFF, 0x01, 0});
  EXPECT_EQ(said(file(late)), "it is longer than a hundred hours");
  std::string many;
  for (std::size_t i = 0; i <= kMostMidiEvents; ++i) many += bytes({0, 0xFF, 0x01, 0});
  EXPECT_EQ(said(file(many)), "it has more than 1,000,000 events");
}

// One bar of 4/4 for each list of keys, struck on every count.
std::vector<MidiNote> struck(const std::vector<std::vector<int>>& bars) {
  std::vector<MidiNote> out;
  for (std::size_t bar = 0; bar < bars.size(); ++bar) {
    for (int count = 0; count < 4; ++count) {
      for (const int key : bars[bar])
        out.push_back({PianoKey(key), Channel(1), Tick(static_cast<int>(bar) * 3840 + count * 960),
                       Tick(900)});
    }
  }
  return out;
}

std::vector<GridPoint> grid(int bars) {
  std::vector<GridPoint> out;
  for (int i = 0; i < bars * 8; ++i) {
    out.push_back({Tick(i * 480), i % 8 == 0   ? Accent::bar
                                  : i % 4 == 0 ? Accent::half_bar
                                  : i % 2 == 0 ? Accent::count
                                               : Accent::between_counts});
  }
  return out;
}

TEST(ChordFinding, EveryTriadAndSeventhInEveryInversion) {
  for (const char* suffix : {"", "m", "7", "maj7", "m7", "sus4", "dim"}) {
    for (int root = 0; root < 12; ++root) {
      const auto quality = *music::parse_quality(suffix);
      std::vector<int> keys{36 + root};
      for (const music::Degree d : quality.degrees)
        keys.push_back(60 + d.above(PitchClass(root)).value());
      const auto found = find_chords(struck({keys}), grid(1), Tick(3840), Tick(960));
      ASSERT_EQ(found.size(), 1U) << root << suffix;
      EXPECT_EQ(found[0].root, PitchClass(root)) << root << suffix;
      EXPECT_EQ(found[0].quality, quality) << root << suffix;
      EXPECT_EQ(found[0].bass, PitchClass(root));
    }
  }
}

TEST(ChordFinding, CutsWhereChordsChangeAndKeepsTheBass) {
  const auto found =
      find_chords(struck({{36, 60, 64, 67}, {36, 60, 64, 67}, {47, 59, 62, 67}, {}, {}}), grid(5),
                  Tick(5 * 3840), Tick(960));
  ASSERT_EQ(found.size(), 3U);
  EXPECT_EQ(found[0].end, Tick(2 * 3840));
  EXPECT_EQ(found[1].root, PitchClass(7));
  EXPECT_EQ(found[1].bass, PitchClass(11));
  EXPECT_EQ(found[2].root, std::nullopt);  // silence
}

TEST(Midi, AFileWithoutNotesIsRefused) {
  const Result<std::string> chart = import_midi(file(""), "x.mid");
  ASSERT_FALSE(chart);
  EXPECT_EQ(render(chart.error().front()),
            "x.mid: error: it has no notes\n  export the song with its notes");
}

TEST(Midi, AFileWithoutMeterStillHasBars) {
  // C C G C in 3/4, a note a quarter.
  std::string events;
  for (const int root : {48, 53, 55, 48, 53, 55, 48, 48}) {
    for (int count = 0; count < 3; ++count) {
      for (const int above : {0, 4, 7}) events += bytes({0, 0x90, root + above, 80});
      events += bytes({90, 0x80, root, 0, 0, root + 4, 0, 0, root + 7, 0, 6, 0xB0, 1, 0});
    }
  }
  const Result<std::string> chart = import_midi(file(events), "x.mid");
  ASSERT_TRUE(chart) << render(chart.error().front());
  EXPECT_NE(chart->find("3/4 was found"), std::string::npos) << *chart;
  EXPECT_NE(chart->find("| C | F | G | C |\n| F | G | C | C |"), std::string::npos) << *chart;
}

}  // namespace
}  // namespace stillhand::imports
