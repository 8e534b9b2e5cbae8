// A Network in two open formats, so that programs of others can solve the same problem:
//
//   std::ofstream("song.wcsp") << wcsp_text(net, "song");      // toulbar2 song.wcsp
//   std::ofstream("song.lp") << lp_text(net);                  // cbc song.lp solve
//
// Both files have the same optimum as the network. docs/exactness.md states the encoding.
// Sources: the WCSP format of toulbar2's user guide (S. de Givry et al., INRAE); the LP format as
// COIN-OR's cbc reads it.
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>

#include "arrange/solver.h"

namespace stillhand::testing {

// Weighted constraint network: one variable for each chord, one cost function for each row of
// unary costs and each edge, every tuple written out.
std::string wcsp_text(const arrange::Network& network, const std::string& name);

// Mixed integer programme: x = 1 if a chord takes a shape; y, continuous, for each pair of shapes.
std::string lp_text(const arrange::Network& network);

// Whether a program of this name stands in a folder of PATH.
bool is_installed(const std::string& program);

// What an outside solver proved.
struct OutsideOptimum {
  std::int64_t cost = 0;
  double seconds = 0;  // its own figure: reading the file not included
};

// Runs the solver on a file; nullopt if it proved nothing within the limit (both write their
// figures to standard output; the texts of other versions may differ).
std::optional<OutsideOptimum> run_toulbar2(const std::filesystem::path& wcsp, int seconds);
std::optional<OutsideOptimum> run_cbc(const std::filesystem::path& lp, int seconds);

// The network's text in a file of its own, removed at the end.
class TemporaryFile {
 public:
  TemporaryFile(const std::string& text, const std::string& ending);
  ~TemporaryFile();
  TemporaryFile(const TemporaryFile&) = delete;
  TemporaryFile& operator=(const TemporaryFile&) = delete;
  const std::filesystem::path& path() const { return path_; }

 private:
  std::filesystem::path path_;
};

}  // namespace stillhand::testing
