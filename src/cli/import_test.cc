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

std::vector<std::string> chords_of(const chart::Song& song) {
  std::vector<std::string> out;
  for (const chart::PlayedChord& chord : chart::played_chords(song, chart::perform(song))) {
    const std::string text = chord.chord ? music::text(*chord.chord) : "N.C.";
    if (out.empty() || out.back() != text) out.push_back(text);
  }
  return out;
}

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
    EXPECT_EQ(chords_of(chart::parse(*chart, "song.mid")->song), chords_of(song)) << entry.path();
  }
}

}  // namespace
}  // namespace stillhand::cli
