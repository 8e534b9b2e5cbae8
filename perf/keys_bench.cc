// All twelve keys of the real songs of testing/corpus.h, for three hands.
//
//   keys_bench                times and counts of all songs
//   keys_bench --counts       only what is the same on every machine
//   keys_bench --every N      every Nth song only
#include <fmt/format.h>
#include <time.h>

#include <algorithm>
#include <cstdlib>
#include <cstring>
#include <vector>

#include "arrange/keys.h"
#include "testing/corpus.h"

namespace stillhand {
namespace {

double milliseconds() {
  timespec t{};
  clock_gettime(CLOCK_THREAD_CPUTIME_ID, &t);
  return 1e3 * static_cast<double>(t.tv_sec) + 1e-6 * static_cast<double>(t.tv_nsec);
}

struct Totals {
  std::int64_t keys = 0, playable = 0, proven = 0, moved = 0;
  std::int64_t cost = 0, points = 0;
  std::vector<double> songs;  // milliseconds for twelve keys and three hands
};

void add(Totals& totals, const std::vector<arrange::KeyOption>& options) {
  for (const arrange::KeyOption& option : options) {
    ++totals.keys;
    if (!option.can_be_played()) continue;
    ++totals.playable;
    totals.proven += option.status == arrange::Status::optimal ? 1 : 0;
    totals.cost += option.cost.value();
    totals.points += option.points.value();
  }
  totals.moved += options.front().up == music::Semitones(0) ? 0 : 1;
}

void print(Totals& totals, bool counts_only) {
  fmt::print("keys options {}\nkeys playable {}\nkeys proven {}\nkeys another_key_first {}\n",
             totals.keys, totals.playable, totals.proven, totals.moved);
  fmt::print("keys cost {}\nkeys points {}\n", totals.cost, totals.points);
  if (counts_only) return;
  std::sort(totals.songs.begin(), totals.songs.end());
  double sum = 0;
  for (const double ms : totals.songs) sum += ms;
  fmt::print(
      "twelve keys x three hands: median {:.1f} ms, 99th percentile {:.1f}, most {:.1f}; all "
      "{:.1f} s of one core\n",
      totals.songs[totals.songs.size() / 2], totals.songs[totals.songs.size() * 99 / 100],
      totals.songs.back(), sum / 1000);
}

}  // namespace
}  // namespace stillhand

int main(int argc, char** argv) {
  using namespace stillhand;
  const bool counts_only = argc > 1 && std::strcmp(argv[1], "--counts") == 0;
  const int every = argc > 2 && std::strcmp(argv[1], "--every") == 0 ? std::atoi(argv[2]) : 1;
  if (!testing::data_folder() || every < 1) {
    fmt::print(stderr, "{}\n", every < 1 ? "--every wants a number from 1" : testing::kNoData);
    return 2;
  }
  Totals totals;
  int number = 0;
  for (const chart::Song& song : testing::read_whole_corpus()) {
    if (number++ % every != 0) continue;
    const double start = milliseconds();
    for (const auto& hand :
         {hand::HandSize::small(), hand::HandSize::medium(), hand::HandSize::large()}) {
      arrange::KeyWishes wishes;
      wishes.choices.hand = hand;
      add(totals, arrange::rank_keys(song, wishes));
    }
    totals.songs.push_back(milliseconds() - start);
  }
  print(totals, counts_only);
}
