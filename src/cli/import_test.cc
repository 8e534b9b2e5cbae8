// What the program writes it can read back: the examples as MIDI files give the chords they were made from.
#include <gtest/gtest.h>

#include <filesystem>

#include "arrange/arrange.h"
#include "base/files.h"
#include "chart/chart.h"
#include "imports/imports.h"
#include "perform/performance.h"
#include "write/midi.h"

namespace stillhand::cli {
namespace {

std::vector<chart::PlayedChord> played(const chart::Song& song) {
  return chart::played_chords(song, chart::perform(song));
}

std::string name_at(const std::vector<chart::PlayedChord>& chords, music::Tick at) {
  for (const chart::PlayedChord& chord : chords) {
    if (at < chord.start || at >= chord.start + chord.duration) continue;
    return chord.chord ? music::text(*chord.chord) : "N.C.";
  }
  return "nothing";
}

// A suspension that resolves within two counts may be taken for one chord; all else comes back.
TEST(Import, ExamplesComeBackFromTheirMidiFiles) {
  for (const auto& entry : std::filesystem::directory_iterator(STILLHAND_SOURCE_DIR "/examples")) {
    if (entry.path().extension() != ".stillhand") continue;
    const auto text = read_file(entry.path().string(), chart::kLargestChart);
    const chart::Song song = chart::parse(*text, entry.path().string())->song;
    const auto arrangement = arrange::arrange(song, {});
    ASSERT_TRUE(arrangement);
    const auto chart =
        imports::import_midi(write::midi(perform::perform(*arrangement)), "song.mid");
    ASSERT_TRUE(chart) << render(chart.error().front());
    const auto expected = played(song);
    const auto found = played(chart::parse(*chart, "song.mid")->song);
    int right = 0;
    int all = 0;
    const music::Tick end = expected.back().start + expected.back().duration;
    for (music::Tick at(240); at < end; at += music::Tick(480), ++all) {
      right += name_at(expected, at) == name_at(found, at) ? 1 : 0;
    }
    EXPECT_GE(right, all * 98 / 100) << entry.path() << "\n" << *chart;
  }
}

}  // namespace
}  // namespace stillhand::cli
