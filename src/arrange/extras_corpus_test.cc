// Extras judged on real songs: the figures of docs/extras.md, computed again.
//
// Tuned on every second song of the McGill Billboard collection (J. A. Burgoyne, J. Wild & I. Fujinaga, ISMIR 2011; CC0)
// and of OpenEWLD (F. Simonetta, 2018; MIT); judged on the others. STILLHAND_FIT_EXTRAS=FILE writes the rows of
// data/extras.tsv.
#include <gtest/gtest.h>

#include <array>
#include <cstdlib>
#include <fstream>
#include <map>
#include <string>
#include <vector>

#include "arrange/extras.h"
#include "arrange/extras_search.h"
#include "testing/amount.h"
#include "testing/corpus.h"
#include "testing/extras_judge.h"

namespace stillhand::arrange {
namespace {

using ::stillhand::testing::Stripped;
using ::stillhand::testing::Taken;
using ::stillhand::testing::Verdict;

// What data/extras.tsv keeps: contexts met so often, turns met so often.
constexpr double kLeastChords = 30;
constexpr double kLeastTurns = 1;

struct Tally {
  double places = 0;
  std::array<double, 6> back{};  // by the best one, two … five offers
  double share(std::size_t best) const { return places == 0 ? 0 : back[best] / places; }
};
// Material that comes again in a song is one place.
using Tallies = std::map<Taken, Tally>;

void add(const std::vector<Verdict>& verdicts, Tallies& once, Tally& played) {
  std::map<std::string, int> times;
  for (const Verdict& verdict : verdicts) ++times[verdict.material];
  for (const Verdict& verdict : verdicts) {
    const double weight = 1.0 / times[verdict.material];
    Tally& tally = once[verdict.kind];
    tally.places += weight;
    played.places += 1;
    for (std::size_t best = 1; best <= 5; ++best) {
      if (verdict.alike == 0 || verdict.alike > static_cast<int>(best)) continue;
      tally.back[best] += weight;
      played.back[best] += 1;
    }
  }
}

Tally sum(const Tallies& tallies) {
  Tally all;
  for (const auto& [kind, tally] : tallies) {
    all.places += tally.places;
    for (std::size_t i = 0; i < all.back.size(); ++i) all.back[i] += tally.back[i];
  }
  return all;
}

std::vector<Stripped> every_second_song(std::size_t first) {
  const auto songs = ::stillhand::testing::read_whole_corpus();
  std::vector<Stripped> out;
  for (std::size_t i = first; i < songs.size(); i += 2) {
    out.push_back(::stillhand::testing::stripped(songs[i]));
  }
  return out;
}

TEST(ExtrasOnRealSongs, TheTableIsWhatTheTuningHalfSays) {
  if (!::stillhand::testing::data_folder()) GTEST_SKIP() << ::stillhand::testing::kNoData;
  TurnCounts counts;
  for (const Stripped& plain : every_second_song(0)) ::stillhand::testing::learn(plain, counts);
  const std::string rows = counts.kept(kLeastChords, kLeastTurns).tsv();
  if (const char* file = std::getenv("STILLHAND_FIT_EXTRAS")) std::ofstream(file) << rows;
  EXPECT_EQ(rows, TurnCounts::built_in().tsv());
}

TEST(ExtrasOnRealSongs, BringBackWhatWasTakenOut) {
  if (!::stillhand::testing::data_folder()) GTEST_SKIP() << ::stillhand::testing::kNoData;
  if (::stillhand::testing::kSampleOnly) GTEST_SKIP() << ::stillhand::testing::kNeedsAll;
  ExtrasRequest request;
  request.kinds = {ExtraKind::slash_chord, ExtraKind::stepwise_bass, ExtraKind::passing_chord,
                   ExtraKind::suspension};
  Tallies ours;
  Tallies theirs;
  Tally ours_played;
  Tally theirs_played;
  for (const Stripped& plain : every_second_song(1)) {
    std::vector<Extra> offers = found_extras(plain.song, request, TurnCounts::built_in());
    if (offers.size() > kUsualExtras) offers.resize(kUsualExtras);
    std::vector<Extra> baseline = ::stillhand::testing::first_inversions(plain.song);
    if (baseline.size() > offers.size()) baseline.resize(offers.size());
    add(judged(plain, offers), ours, ours_played);
    add(judged(plain, baseline), theirs, theirs_played);
  }
  // The published figures, in per mille.
  const auto per_mille = [](double share) { return static_cast<int>(share * 1000 + 0.5); };
  EXPECT_EQ(per_mille(sum(ours).share(1)), 176);
  EXPECT_EQ(per_mille(sum(ours).share(3)), 239);
  EXPECT_EQ(per_mille(sum(ours).share(5)), 243);
  EXPECT_EQ(per_mille(sum(theirs).share(5)), 107);
  EXPECT_EQ(per_mille(ours[Taken::slash_bass].share(5)), 317);
  EXPECT_EQ(per_mille(ours[Taken::suspension].share(5)), 251);
  EXPECT_EQ(per_mille(ours[Taken::passing_chord].share(5)), 48);
  EXPECT_EQ(per_mille(ours_played.share(5)), 351);
  EXPECT_EQ(per_mille(theirs_played.share(5)), 95);
}

}  // namespace
}  // namespace stillhand::arrange
