// What every command that arranges shares: its options, and the way from a chart file to an Arrangement.
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
#include "teach/lesson.h"

namespace CLI {
class App;
}

namespace stillhand::cli {

// The CHART argument: a file, or - for standard input.
void declare_chart(CLI::App& app, std::string& chart);

// What is asked of an arrangement, understood but not yet looked up.
struct Arranging {
  std::string manner = "home";  // a name or a file
  hand::HandSize hand = hand::HandSize::medium();
  std::optional<music::Tonality> key;  // transpose to it
  std::optional<arrange::Rung> rung;   // of the left hand, in every section
  bool with_options = false;           // take the first `or` line of every line that has one
  std::vector<std::string> options;    // or those of these names
  std::optional<arrange::Student>
      student;                         // of --student, or of --level; the hand is the student's
  Diagnostics remarks;                 // on the student's file
  std::optional<std::string> pattern;  // in every section
  // Allowed although the student's skills do not say so.
  arrange::SecondShapes second_shapes = arrange::SecondShapes::leave_out;
};

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

struct Loaded {
  std::string text;
  chart::Song song;
};

// The chart as a Song in the wanted key. Remarks go to standard error at once.
Result<Loaded> load(const std::string& path, const std::optional<music::Tonality>& key,
                    Terminal& terminal);

// The same, its chords reduced to those that the student knows.
struct LoadedFor {
  Loaded loaded;
  std::vector<std::string> reductions;
};
Result<LoadedFor> load_for(const std::string& path, const Arranging& arranging, Terminal& terminal);

// Reads the manner's file if it is one.
Result<arrange::Manner> manner_of(const std::string& name_or_file);
Result<arrange::Choices> choices_of(const Arranging& arranging);

struct Arranged {
  Loaded loaded;
  arrange::Choices choices;
  arrange::Arrangement arrangement;
  std::optional<teach::ForStudent> student;
  std::optional<music::Tempo> comfortable;  // of the student's file
  perform::PatternPlan patterns;
  music::NoteNames note_names = music::NoteNames::english;  // of the student's file
};
teach::Lesson lesson_of(const Arranged& arranged);

Result<Arranged> arrange_chart(const std::string& chart, const Arranging& arranging,
                               Terminal& terminal);

// Faults found while arranging know their place but not the text: this shows the line of each.
Diagnostics with_source_lines(Diagnostics errors, std::string_view text);

}  // namespace stillhand::cli
