#include "write/midi.h"

#include <gtest/gtest.h>

#include <rapidcheck/gtest.h>
#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>

#include "arrange/arrange.h"
#include "base/files.h"
#include "chart/chart.h"

namespace stillhand::write {
namespace {

using hand::Hand;
using Json = nlohmann::json;
using music::Meter;
using music::PianoKey;
using music::Tempo;
using music::Tick;
using perform::Performance;
using perform::Velocity;

const std::string kTools = std::string(STILLHAND_SOURCE_DIR) + "/tools/js";

std::string hex(std::string_view bytes) {
  constexpr std::string_view digits = "0123456789abcdef";
  std::string out;
  for (const char c : bytes) {
    const auto b = static_cast<unsigned char>(c);
    if (!out.empty()) out += ' ';
    out += digits[b >> 4];
    out += digits[b & 15];
  }
  return out;
}

Meter meter(int upper, int lower) { return *Meter::make(upper, lower); }
music::Tonality tonality(std::string_view text) { return *music::parse_tonality(text); }

// Source: Standard MIDI Files 1.0, "Variable Length Quantities", all twelve examples of its table.
TEST(Midi, WritesVariableLengthNumbersAsTheStandardShows) {
  const std::vector<std::pair<std::uint32_t, std::string>> examples{
      {0x00000000, "00"},          {0x00000040, "40"},          {0x0000007F, "7f"},
      {0x00000080, "81 00"},       {0x00002000, "c0 00"},       {0x00003FFF, "ff 7f"},
      {0x00004000, "81 80 00"},    {0x00100000, "c0 80 00"},    {0x001FFFFF, "ff ff 7f"},
      {0x00200000, "81 80 80 00"}, {0x08000000, "c0 80 80 00"}, {0x0FFFFFFF, "ff ff ff 7f"}};
  for (const auto& [number, expected] : examples) {
    std::string bytes;
    append_variable_length(bytes, number);
    EXPECT_EQ(hex(bytes), expected) << number;
  }
}

// One bar of 6/8 in E flat, a count a second: every byte worked out by hand from the standard.
// RP-001: the name of the first track of a type 1 file is the title of the sequence.
TEST(Midi, TheFirstTrackHasTheTitle) {
  const std::string with = midi(perform::Performance{}, "Quay");
  EXPECT_NE(with.find(std::string("\xFF\x03\x04Quay")), std::string::npos);
  EXPECT_NE(midi(perform::Performance{}).find(std::string("\xFF\x03\x04Song")), std::string::npos);
}

TEST(Midi, ATinyPerformanceByteByByte) {
  Performance p;
  p.end = Tick(2880);
  p.tempo = Tempo(60);
  p.meters = {{Tick(0), meter(6, 8)}};
  p.tonalities = {{Tick(0), tonality("Eb")}};
  p.sections = {{Tick(0), "A"}};
  p.chords = {{Tick(0), "Eb"}};
  p.words = {{Tick(1440), "la"}};
  p.notes = {{Hand::right, PianoKey(67), Velocity(84), Tick(0), Tick(1350)},
             {Hand::right, PianoKey(67), Velocity(64), Tick(1440), Tick(1440)},
             {Hand::left, PianoKey(39), Velocity(80), Tick(0), Tick(2790)}};
  p.clicks = {{Tick(0), true}, {Tick(1440), false}};
  EXPECT_EQ(hex(midi(p)),
            "4d 54 68 64 00 00 00 06 00 01 00 04 03 c0 "  // MThd, type 1, 4 tracks, 960
            "4d 54 72 6b 00 00 00 34 "
            "00 ff 03 04 53 6f 6e 67 "  // "Song"
            "00 ff 51 03 0a 2c 2b "     // 666,667 us: a dotted quarter a second
            "00 ff 58 04 06 03 24 08 "  // 6/8, 36 clocks to the dotted quarter
            "00 ff 59 02 fd 00 "        // three flats, major
            "00 ff 06 01 41 "           // marker "A"
            "00 ff 01 02 45 62 "        // text "Eb"
            "8b 20 ff 05 02 6c 61 "     // 1440 ticks on, lyric "la"
            "8b 20 ff 2f 00 "           // end
            "4d 54 72 6b 00 00 00 27 "
            "00 ff 03 0a 52 69 67 68 74 20 68 61 6e 64 "  // "Right hand"
            "00 c0 00 "                                   // piano
            "00 90 43 54 8a 46 80 43 40 "                 // on, 1350, off
            "5a 90 43 40 8b 20 80 43 40 "                 // 90, on, 1440, off
            "00 ff 2f 00 "
            "4d 54 72 6b 00 00 00 1d "
            "00 ff 03 09 4c 65 66 74 20 68 61 6e 64 "  // "Left hand"
            "00 c1 00 "
            "00 91 27 50 95 66 81 27 40 "  // on, 2790, off
            "5a ff 2f 00 "
            "4d 54 72 6b 00 00 00 1f "
            "00 ff 03 05 43 6c 69 63 6b "  // "Click", channel 10
            "00 99 4c 60 78 89 4c 40 "     // high block
            "8a 28 99 4d 48 78 89 4d 40 "  // low block
            "8a 28 ff 2f 00");
}

// What the readers should find, from the performance alone.
Json expected_of(const Performance& p) {
  Json out;
  for (const auto& [at, m] : p.meters) {
    const double quarters = m.count_length().value() / 960.0;  // in a count
    out["tempos"].push_back(
        {{"at", at.value()}, {"microseconds", std::lround(60e6 / p.tempo.value() / quarters)}});
    out["meters"].push_back({{"at", at.value()},
                             {"upper", m.upper()},
                             {"lower", m.lower()},
                             {"clocks", std::lround(24 * quarters)},
                             {"thirty_seconds", 8}});
  }
  for (const auto& [at, t] : p.tonalities) {
    out["keys"].push_back(
        {{"at", at.value()}, {"fifths", t.fifths()}, {"minor", t.mode == music::Mode::minor}});
  }
  const auto texts = [](const std::vector<perform::At<std::string>>& from) {
    Json list = Json::array();
    for (const auto& [at, text] : from) list.push_back({{"at", at.value()}, {"text", text}});
    return list;
  };
  out["markers"] = texts(p.sections);
  out["chords"] = texts(p.chords);
  out["words"] = texts(p.words);
  out["names"] = {"Song", "Right hand", "Left hand", "Click"};
  out["end"] = p.end.value();
  out["seconds"] = perform::seconds(p, p.end, 100);
  Json hands[2] = {Json::array(), Json::array()};
  for (const perform::Note& n : p.notes) {
    hands[n.hand == Hand::left ? 1 : 0].push_back({{"at", n.start.value()},
                                                   {"key", n.key.number()},
                                                   {"velocity", n.velocity.value()},
                                                   {"duration", n.duration.value()},
                                                   {"channel", n.hand == Hand::left ? 1 : 0}});
  }
  Json clicks = Json::array();
  for (const perform::Click& c : p.clicks) {
    clicks.push_back({{"at", c.start.value()},
                      {"key", c.is_first_of_bar ? 76 : 77},
                      {"velocity", c.is_first_of_bar ? 96 : 72},
                      {"duration", 120},
                      {"channel", 9}});
  }
  out["notes"] = {hands[0], hands[1], clicks};
  return out;
}

bool has_readers() {
  return std::filesystem::exists(kTools + "/node_modules/midi-file") &&
         std::filesystem::exists(kTools + "/node_modules/@tonejs/midi");
}

// Exit code of the two readers.
int read_back(const std::string& bytes, const Json& expected, const std::string& name) {
  const std::string base = std::string(STILLHAND_BINARY_DIR) + "/" + name;
  std::ofstream(base + ".mid", std::ios::binary) << bytes;
  std::ofstream(base + ".json", std::ios::binary) << expected.dump(1);
  return std::system(
      ("node " + kTools + "/midi-read.mjs " + base + ".mid " + base + ".json").c_str());
}

void add_bars(Performance& p, Meter m, int bars) {
  for (int bar = 0; bar < bars; ++bar) {
    for (int count = 0; count < m.counts().value(); ++count) {
      const Tick at = p.end + m.count_length() * count;
      p.clicks.push_back({at, count == 0});
      for (const int key : {60, 64, 67}) {
        p.notes.push_back({Hand::right, PianoKey(key + bar % 5), Velocity(64 + 10 * (count == 0)),
                           at, m.count_length()});  // struck again where the key is let go
      }
    }
    p.notes.push_back(
        {Hand::left, PianoKey(48 - bar % 5), Velocity(80), p.end, m.bar_length() - Tick(60)});
    p.end += m.bar_length();
  }
}

Performance long_performance() {
  Performance p;
  p.tempo = Tempo(97);
  const std::vector<std::pair<Meter, std::string>> parts{
      {meter(4, 4), "Verse 1"}, {meter(6, 8), "Chorus"}, {meter(7, 8), "Bridge – leise"},
      {meter(3, 2), "Chorus"},  {meter(12, 8), "Tag ♭"}, {meter(1, 4), "End"}};
  const std::vector<std::string> keys{"D", "Bbm", "C#", "Cb", "G#m", "Am"};
  for (std::size_t i = 0; i < parts.size(); ++i) {
    p.meters.push_back({p.end, parts[i].first});
    p.tonalities.push_back({p.end, tonality(keys[i])});
    p.sections.push_back({p.end, parts[i].second});
    p.chords.push_back({p.end, i % 2 == 0 ? "F#m7b5/E" : "N.C."});
    p.words.push_back({p.end, "qui-et qu’ai für — " + std::string(150, 'x')});
    add_bars(p, parts[i].first, 7);
  }
  std::sort(p.notes.begin(), p.notes.end(), [](const perform::Note& a, const perform::Note& b) {
    return std::tuple(a.start, a.hand, a.key) < std::tuple(b.start, b.hand, b.key);
  });
  return p;
}

// Sources: npm midi-file 1.2.4 (MIT) and @tonejs/midi 2.0.28 (MIT).
TEST(Midi, TwoIndependentReadersFindWhatThePerformanceSays) {
  if (!has_readers()) GTEST_SKIP() << "tools/js/node_modules is missing: run `npm ci` in tools/js";
  const Performance p = long_performance();
  const Json expected = expected_of(p);
  EXPECT_EQ(read_back(midi(p), expected, "midi_test"), 0);
}

// The same for the songs of the project, from the chart on.
TEST(Midi, TheExamplesReadBackAsTheyAreArranged) {
  if (!has_readers()) GTEST_SKIP() << "tools/js/node_modules is missing: run `npm ci` in tools/js";
  int songs = 0;
  for (const auto& entry :
       std::filesystem::directory_iterator(std::string(STILLHAND_SOURCE_DIR) + "/examples")) {
    if (entry.path().extension() != ".stillhand") continue;
    const auto chart = read_file(entry.path(), 1 << 20);
    ASSERT_TRUE(chart);
    const auto parsed = chart::parse(*chart, entry.path().string());
    ASSERT_TRUE(parsed);
    const auto arrangement = arrange::arrange(parsed->song, {});
    ASSERT_TRUE(arrangement);
    const Performance p = perform::perform(*arrangement);
    EXPECT_EQ(read_back(midi(p), expected_of(p), "midi_test_example"), 0) << entry.path();
    ++songs;
  }
  EXPECT_GE(songs, 4);
}

TEST(Midi, TheReadersNoticeAChange) {
  if (!has_readers()) GTEST_SKIP() << "tools/js/node_modules is missing: run `npm ci` in tools/js";
  const Performance p = long_performance();
  Json expected = expected_of(p);
  expected["notes"][1][3]["duration"] = 1;
  EXPECT_NE(read_back(midi(p), expected, "midi_test_changed"), 0);
}

TEST(Midi, EveryMeterHasItsClocksAndKeepsThePaceOfACount) {
  for (const int lower : {2, 4, 8}) {
    for (int upper = 1; upper <= 12; ++upper) {
      const auto m = Meter::make(upper, lower);
      if (!m) continue;
      for (const int tempo : {10, 66, 400}) {
        Performance p;
        p.tempo = Tempo(tempo);
        p.meters = {{Tick(0), *m}};
        p.tonalities = {{Tick(0), tonality("C")}};
        const std::string bytes = midi(p);
        const auto byte_at = [&](std::size_t at) {
          return static_cast<int>(static_cast<unsigned char>(bytes[at]));
        };
        const std::size_t t = bytes.find("\xFF\x51\x03");
        const double quarter = byte_at(t + 3) * 65536 + byte_at(t + 4) * 256 + byte_at(t + 5);
        const double count = quarter * m->count_length().value() / 960;
        EXPECT_NEAR(count, 60e6 / tempo, 1) << text(*m) << " at " << tempo;
        const std::size_t s = bytes.find("\xFF\x58\x04");
        EXPECT_EQ(byte_at(s + 3), upper);
        EXPECT_EQ(1 << byte_at(s + 4), lower);
        EXPECT_EQ(byte_at(s + 5) * m->counts().value(), 24 * 4 * upper / lower) << text(*m);
      }
    }
  }
}

RC_GTEST_PROP(MidiProperty, TheFileIsItsChunksAndTheSameEachTime, ()) {
  Performance p;
  p.tempo = Tempo(*rc::gen::inRange(10, 401));
  p.meters = {{Tick(0), meter(4, 4)}};
  p.tonalities = {{Tick(0), tonality("C")}};
  for (int n = *rc::gen::inRange(0, 50); n > 0; --n) {
    p.notes.push_back({*rc::gen::element(Hand::right, Hand::left),
                       PianoKey(*rc::gen::inRange(0, 128)), Velocity(*rc::gen::inRange(1, 128)),
                       Tick(*rc::gen::inRange(0, 3000000)), Tick(*rc::gen::inRange(1, 100000))});
  }
  const std::string bytes = midi(p);
  RC_ASSERT(bytes == midi(p));
  std::size_t at = 14;
  int tracks = 0;
  while (at < bytes.size()) {
    RC_ASSERT(bytes.substr(at, 4) == "MTrk");
    std::size_t size = 0;
    for (std::size_t i = at + 4; i < at + 8; ++i) {
      size = size * 256 + static_cast<unsigned char>(bytes[i]);
    }
    at += 8 + size;
    RC_ASSERT(bytes.substr(at - 3, 3) == std::string("\xFF\x2F\x00", 3));
    ++tracks;
  }
  RC_ASSERT(at == bytes.size());
  RC_ASSERT(tracks == 4);
}

}  // namespace
}  // namespace stillhand::write
