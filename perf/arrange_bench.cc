// Speed of the exact right hand on the real songs of testing/corpus.h, and a comparison with
// toulbar2 on the same networks, song by song in turn.
//
//   arrange_bench                     times and counts of all songs
//   arrange_bench --rival             and toulbar2 on every song
//   arrange_bench --counts            only what is the same on every machine (perf/baseline.txt)
#include <fmt/format.h>
#include <time.h>

#include <algorithm>
#include <cstring>
#include <string>
#include <vector>

#include "arrange/arrange.h"
#include "arrange/right_hand.h"
#include "testing/corpus.h"
#include "testing/network_files.h"

namespace stillhand {
namespace {

using arrange::Choices;
using arrange::Manner;

constexpr int kRivalSeconds = 60;

// Processor time of this thread: what toulbar2 reports too, and steady beside other work.
struct Moment {
  double milliseconds = 0;
};
Moment now() {
  timespec t{};
  clock_gettime(CLOCK_THREAD_CPUTIME_ID, &t);
  return {1e3 * static_cast<double>(t.tv_sec) + 1e-6 * static_cast<double>(t.tv_nsec)};
}
double milliseconds_since(Moment start) { return now().milliseconds - start.milliseconds; }

struct Run {
  std::string song;
  double arrange_ms = 0;  // the whole of arrange()
  double task_ms = 0;     // the network
  double solve_ms = 0;    // the proof
  double rival_ms = 0;    // toulbar2's own figure
  double minutes = 0;     // as performed
  std::size_t chords = 0;
  std::size_t table_costs = 0;  // numbers in the network
  std::int64_t states = 0;
};

double minutes_of(const chart::Song& song) {
  double minutes = 0;
  for (const chart::PlayedBar& played : chart::perform(song)) {
    const auto count = chart::bar_of(song, played).meter.count_length().value();
    minutes += static_cast<double>(played.length.value()) / count / song.tempo.value();
  }
  return minutes;
}

Run measure(const chart::Song& song, const Choices& choices, bool with_rival) {
  Run run;
  run.song = song.title;
  run.minutes = minutes_of(song);
  auto start = now();
  const auto arrangement = arrange::arrange(song, choices);
  run.arrange_ms = milliseconds_since(start);
  if (!arrangement || arrangement->right.status != arrange::Status::optimal) {
    fmt::print(stderr, "{}: {}\n", song.title,
               arrangement ? "not proven" : render(arrangement.error().front()));
    std::exit(1);
  }
  const auto chords = chart::played_chords(song, chart::perform(song));
  start = now();
  const auto task = arrange::right_hand_task(song, chords, choices);
  run.task_ms = milliseconds_since(start);
  start = now();
  const arrange::Solution solution = arrange::solve(task->network, choices.state_limit);
  run.solve_ms = milliseconds_since(start);
  run.chords = task->variables.size();
  for (const auto& row : task->network.unary) run.table_costs += row.size();
  for (const auto& edge : task->network.edges) run.table_costs += edge.costs.size();
  run.states = solution.states;
  if (with_rival) {
    const testing::TemporaryFile file(testing::wcsp_text(task->network, "song"), ".wcsp");
    const auto rival = testing::run_toulbar2(file.path(), kRivalSeconds);
    if (!rival || rival->cost != solution.cost.value()) {
      fmt::print(stderr, "{}: toulbar2 does not agree\n", song.title);
      std::exit(1);
    }
    run.rival_ms = 1000 * rival->seconds;
  }
  return run;
}

template <class Get>
std::vector<double> sorted(const std::vector<Run>& runs, Get get) {
  std::vector<double> all;
  for (const Run& run : runs) all.push_back(get(run));
  std::sort(all.begin(), all.end());
  return all;
}

template <class Get>
void print_times(const char* what, const std::vector<Run>& runs, Get get) {
  const auto all = sorted(runs, get);
  double sum = 0;
  for (double t : all) sum += t;
  fmt::print("  {:<22} median {:8.3f} ms, 99th percentile {:8.3f}, most {:8.3f}, all {:7.2f} s\n",
             what, all[all.size() / 2], all[all.size() * 99 / 100], all.back(), sum / 1000);
}

void print_counts(const char* manner, const std::vector<Run>& runs) {
  std::int64_t states = 0;
  std::int64_t most = 0;
  std::size_t costs = 0;
  for (const Run& run : runs) {
    states += run.states;
    most = std::max(most, run.states);
    costs += run.table_costs;
  }
  fmt::print("{} songs {}\n{} states_expanded {}\n{} most_states_of_a_song {}\n{} table_bytes {}\n",
             manner, runs.size(), manner, states, manner, most, manner,
             costs * sizeof(arrange::Network{}.unary[0][0]));
}

void print_report(const char* manner, std::vector<Run> runs, bool with_rival) {
  fmt::print("{}, {} songs\n", manner, runs.size());
  print_times("arrange()", runs, [](const Run& r) { return r.arrange_ms; });
  print_times("network", runs, [](const Run& r) { return r.task_ms; });
  print_times("solve()", runs, [](const Run& r) { return r.solve_ms; });
  const auto five = std::count_if(runs.begin(), runs.end(),
                                  [](const Run& r) { return r.minutes >= 4 && r.minutes <= 6; });
  double worst = 0;
  for (const Run& r : runs) {
    if (r.minutes >= 4 && r.minutes <= 6) worst = std::max(worst, r.arrange_ms);
  }
  fmt::print("  songs of four to six minutes: {}, arrange() at most {:.3f} ms\n", five, worst);
  const auto states = sorted(runs, [](const Run& r) { return static_cast<double>(r.states); });
  fmt::print("  states of a song: median {}, 90th percentile {}, 99th {}, most {}\n",
             states[states.size() / 2], states[states.size() * 9 / 10],
             states[states.size() * 99 / 100], states.back());
  if (with_rival) {
    print_times("toulbar2", runs, [](const Run& r) { return r.rival_ms; });
    const double ours = sorted(runs, [](const Run& r) { return r.solve_ms; })[runs.size() / 2];
    const double theirs = sorted(runs, [](const Run& r) { return r.rival_ms; })[runs.size() / 2];
    // Its figure is in whole milliseconds: below that there is nothing to compare.
    const auto slower = std::count_if(runs.begin(), runs.end(), [](const Run& r) {
      return r.rival_ms >= 1 && r.solve_ms > r.rival_ms;
    });
    fmt::print(
        "  median solve() over median toulbar2: {:.3f}; slower on {} of the songs for which it "
        "needed 1 ms or more\n",
        ours / theirs, slower);
  }
  std::sort(runs.begin(), runs.end(),
            [](const Run& a, const Run& b) { return a.arrange_ms > b.arrange_ms; });
  fmt::print("  the slowest:\n");
  for (std::size_t i = 0; i < std::min<std::size_t>(5, runs.size()); ++i) {
    const Run& r = runs[i];
    fmt::print(
        "    {:<28} {:3} chords {:7} costs: arrange {:7.2f} ms (network {:.2f}, solve {:.2f}), "
        "{} states\n",
        r.song, r.chords, r.table_costs, r.arrange_ms, r.task_ms, r.solve_ms, r.states);
  }
}

}  // namespace
}  // namespace stillhand

int main(int argc, char** argv) {
  using namespace stillhand;
  const bool counts_only = argc > 1 && std::strcmp(argv[1], "--counts") == 0;
  const bool with_rival = argc > 1 && std::strcmp(argv[1], "--rival") == 0;
  if (!testing::data_folder()) {
    fmt::print(stderr, "{}\n", testing::kNoData);
    return 2;
  }
  if (with_rival && !testing::is_installed("toulbar2")) {
    fmt::print(stderr, "toulbar2 is not installed\n");
    return 2;
  }
  const auto songs = testing::read_whole_corpus();
  for (const Manner& manner : {Manner::home(), Manner::closest()}) {
    Choices choices;
    choices.manner = manner;
    std::vector<Run> runs;
    for (const auto& song : songs) runs.push_back(measure(song, choices, with_rival));
    if (counts_only) {
      print_counts(manner.name.c_str(), runs);
    } else {
      print_report(manner.name.c_str(), std::move(runs), with_rival);
    }
  }
}
