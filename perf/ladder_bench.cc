// The table "On real songs" of docs/left-hand.md: each rung asked for in every section of the real songs of
// testing/corpus.h, right hand included, for three hands. arrange() checks every left hand it makes.
//
//   ladder_bench              the table
#include <fmt/format.h>

#include <array>
#include <cstdlib>
#include <vector>

#include "arrange/arrange.h"
#include "testing/corpus.h"

namespace stillhand {
namespace {

using arrange::BassNote;
using arrange::BassTone;
using arrange::Rung;

struct Totals {
  int notes = 0, shifts = 0, with_fifth = 0, with_octave = 0, walks = 0, walked = 0;
  int wide_leaps =
      0;  // more than a fifth from one bass note to the next, the notes of walks included
};

bool has(const BassNote& bass, BassTone tone) {
  for (const arrange::FigureNote& note : bass.figure) {
    if (note.tone == tone) return true;
  }
  return false;
}

void add(Totals& totals, const arrange::Arrangement& a) {
  std::optional<music::PianoKey> last;
  for (const auto& bass : a.left.bass) {
    if (!bass) {
      last = std::nullopt;
      continue;
    }
    ++totals.notes;
    totals.shifts += bass->shifts ? 1 : 0;
    totals.with_fifth += has(*bass, BassTone::fifth) ? 1 : 0;
    totals.with_octave += has(*bass, BassTone::octave) ? 1 : 0;
    totals.walks += bass->walk.empty() ? 0 : 1;
    totals.walked += static_cast<int>(bass->walk.size());
    if (last && abs(bass->pitch.key() - *last) > music::Semitones(7)) ++totals.wide_leaps;
    last = bass->walk.empty() ? bass->pitch.key() : bass->walk.back().pitch.key();
  }
}

}  // namespace
}  // namespace stillhand

int main() {
  using namespace stillhand;
  if (!testing::data_folder()) {
    fmt::print(stderr, "{}\n", testing::kNoData);
    return 2;
  }
  const std::vector<chart::Song> songs = testing::read_whole_corpus();
  for (const Rung rung : {Rung::position, Rung::root_and_fifth, Rung::octave,
                          Rung::root_fifth_octave, Rung::walking_bass}) {
    for (const auto& hand :
         {hand::HandSize::small(), hand::HandSize::medium(), hand::HandSize::large()}) {
      Totals totals;
      for (const chart::Song& song : songs) {
        arrange::Choices choices;
        choices.hand = hand;
        choices.rung = rung;
        const auto a = arrange::arrange(song, choices);
        if (!a) {
          fmt::print("{}: {}\n", song.title, a.error().front().message);
          return EXIT_FAILURE;
        }
        add(totals, *a);
      }
      fmt::print(
          "{}, {} hand: {} bass notes, {} shifts, {} with a fifth, {} with an octave, {} walk {} "
          "notes, {} leaps of more than a fifth\n",
          arrange::name(rung), hand.name(), totals.notes, totals.shifts, totals.with_fifth,
          totals.with_octave, totals.walks, totals.walked, totals.wide_leaps);
    }
  }
}
