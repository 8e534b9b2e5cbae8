// From the text of a chart and the teacher's choices to the Arrangement and the Lesson. The command line and the desk both go
// this way, so that they say the same.
//
//   Diagnostics remarks;                                       // on the chart, the student and the hands: added to
//   Result<LoadedFor> song = load_for(text, "quay.stillhand", wishes, remarks);
//   Result<Arranged> arranged = arrange_loaded(*song, wishes, remarks);
//   Lesson lesson = lesson_of(*arranged);
//
// Errors: those of the chart (Fault::chart), and Fault::usage for a wish that this chart cannot meet. Remarks are complete
// even where the result is an error.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "arrange/arrange.h"
#include "arrange/student.h"
#include "base/result.h"
#include "chart/options.h"
#include "chart/song.h"
#include "hand/size.h"
#include "music/tonality.h"
#include "perform/pattern.h"
#include "teach/lesson.h"

namespace stillhand::teach {

// What is asked of an arrangement besides the chart.
struct Wishes {
  arrange::Manner manner = arrange::Manner::home();
  hand::HandSize hand = hand::HandSize::medium();
  std::optional<music::Tonality> key;       // transpose to it
  std::optional<arrange::Rung> rung;        // of the left hand, in every section
  bool with_options = false;                // take the first `or` line of every line that has one
  std::vector<std::string> options;         // or those of these names
  std::optional<arrange::Student> student;  // the hand is the student's
  Diagnostics remarks;                      // on the student's file
  std::optional<std::string> pattern;       // in every section
  // Allowed although the student's skills do not say so.
  arrange::SecondShapes second_shapes = arrange::SecondShapes::leave_out;
};

// "root", "position", "fifth", "octave", "root-fifth-octave", "walking": what a left hand is asked for by.
std::optional<arrange::Rung> rung_named(std::string_view name);
std::vector<std::string> rung_names();

struct Loaded {
  std::string text;
  chart::Song song;
};

// The chart as a Song in the wanted key.
Result<Loaded> load(std::string text, const std::string& file,
                    const std::optional<music::Tonality>& key, Diagnostics& remarks);

// The same, its chords reduced to those that the student knows.
struct LoadedFor {
  Loaded loaded;
  std::vector<std::string> reductions;
};
Result<LoadedFor> load_for(std::string text, const std::string& file, const Wishes& wishes,
                           Diagnostics& remarks);

// The `or` lines that are to be played. Where two named ones stand under one line, the first named wins. Fails with
// Fault::usage where no `or` line has a name.
Result<std::vector<chart::OptionPlace>> options_taken(const chart::Song& song,
                                                      const Wishes& wishes);

arrange::Choices choices_of(const Wishes& wishes);
// The same, with what the patterns of this song ask of the left hand.
arrange::Choices choices_of(const Wishes& wishes, const chart::Song& song);

struct Arranged {
  Loaded loaded;
  arrange::Choices choices;
  arrange::Arrangement arrangement;
  std::optional<ForStudent> student;
  std::optional<music::Tempo> comfortable;  // of the student's file
  perform::PatternPlan patterns;
  music::NoteNames note_names = music::NoteNames::english;  // of the student's file
};
Result<Arranged> arrange_loaded(LoadedFor song, const Wishes& wishes, Diagnostics& remarks);

Lesson lesson_of(const Arranged& arranged);

// Faults found while arranging know their place but not the text: this shows the line of each.
Diagnostics with_source_lines(Diagnostics errors, std::string_view text);

}  // namespace stillhand::teach
