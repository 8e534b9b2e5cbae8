// What every command that arranges shares: its options, and the way from a chart file to an Arrangement (teach/from_chart.h).
//
//   ArrangingFlags flags;  flags.declare(app);  …          in Command::declare
//   Result<Arranging> arranging = flags.read();            in Command::run, first of all
//   Result<Arranged> arranged = arrange_chart(chart, *arranging, terminal);
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "arrange/arrange.h"
#include "arrange/student.h"
#include "base/result.h"
#include "chart/song.h"
#include "cli/terminal.h"
#include "hand/geometry.h"
#include "hand/size.h"
#include "music/tonality.h"
#include "perform/pattern.h"
#include "teach/from_chart.h"

namespace CLI {
class App;
}

namespace stillhand::cli {

// The CHART argument: a file, or - for standard input.
void declare_chart(CLI::App& app, std::string& chart);

// What is asked of an arrangement, read and understood.
using Arranging = teach::Wishes;
using teach::Arranged;
using teach::Loaded;
using teach::LoadedFor;

// The same as typed.
class ArrangingFlags {
 public:
  // All of them; or, for a command that honours no more, those of the hands and the student, and --key.
  void declare(CLI::App& app);
  void declare_hands(CLI::App& app);
  void declare_key(CLI::App& app);
  Result<Arranging> read() const;

 private:
  Result<std::optional<arrange::ParsedStudent>> read_student() const;
  std::string manner_ = "home";
  std::string hand_size_;
  std::string span_;
  std::string student_;
  std::string level_;
  std::string key_;
  std::string left_hand_;
  bool with_options_ = false;
  std::vector<std::string> options_;
  std::string pattern_;
  bool second_shapes_ = false;
};

// The chart as a Song in the wanted key. Remarks go to standard error at once.
Result<Loaded> load(const std::string& path, const std::optional<music::Tonality>& key,
                    Terminal& terminal);

// The same, its chords reduced to those that the student knows.
Result<LoadedFor> load_for(const std::string& path, const Arranging& arranging, Terminal& terminal);

// Reads the manner's file if it is one.
Result<arrange::Manner> manner_of(const std::string& name_or_file);

Result<Arranged> arrange_chart(const std::string& chart, const Arranging& arranging,
                               Terminal& terminal);

}  // namespace stillhand::cli
