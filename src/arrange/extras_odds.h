// How probable a turn is at a held chord, learned from real songs: data/extras.tsv.
//
//   std::vector<Odds> all = odds_at(span);       // of all turns known, most probable first
//
// Counts on a ladder of contexts, from "a chord of this length" to "this chord of the key between these two": each rung
// is smoothed with the one below it (Dirichlet prior). Only contexts met often are kept.
#pragma once

#include <array>
#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "arrange/extras_spans.h"

namespace stillhand::arrange {

inline constexpr std::size_t kRungs = 7;
using Contexts = std::array<std::string, kRungs>;
// Each holds its rung's number, so that no two rungs share a text.
Contexts contexts_of(const Span& span);

struct Odds {
  Turn turn;
  double probability = 0;
};

class TurnCounts {
 public:
  // The built-in table.
  static const TurnCounts& built_in();
  static TurnCounts read(std::string_view tsv);  // lines it cannot read are our own bug
  std::string tsv() const;

  void see(const Contexts& contexts, double weight);                    // a chord
  void see(const Contexts& contexts, const Turn& turn, double weight);  // what was done with it
  // Only what was met `least` times.
  TurnCounts kept(double least_chords, double least_turns) const;

  std::vector<Odds> odds_at(const Contexts& contexts) const;

 private:
  struct Row {
    double chords = 0;
    std::map<Turn, double> turns;
  };
  std::map<std::string, Row> rows_;
};

}  // namespace stillhand::arrange
