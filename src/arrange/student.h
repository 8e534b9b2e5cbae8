// A student: what somebody can do, how large the hand is, and how the sheet should be written. A plain text file, one
// `name value` a line; language: docs/student.md.
//
//   Result<ParsedStudent> mara = read_student(text, "mara.student");   // all errors at once
//   Choices choices = choices_for(mara->student, Manner::home());
//   Simplified song = simplified(parsed.song, mara->student.skills());
//   Result<Arrangement> a = arrange(song.song, choices);
//   new_for(mara->student, *a)                                         // what is new in this song
//
// The levels are data: data/levels.tsv (common practice, no source).
#pragma once

#include <compare>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "arrange/arrange.h"
#include "arrange/known_shape.h"
#include "arrange/skill.h"
#include "base/result.h"
#include "hand/geometry.h"
#include "hand/size.h"
#include "music/meter.h"
#include "music/note_names.h"

namespace stillhand::arrange {

// 0: finger numbers and single notes … 7: many sharps or flats, singing while playing.
class Level {
 public:
  static std::optional<Level> make(int number);  // 0–7
  int number() const { return number_; }
  friend auto operator<=>(const Level&, const Level&) = default;

 private:
  explicit Level(int number) : number_(number) {}
  int number_;
};
inline constexpr int kHighestLevel = 7;

// All that is learned up to this level.
Skills skills_of_level(Level level);
// "two, then three triads, whole notes"
std::string_view about(Level level);

// The paper that the student's sheets are printed on. (The writers have a type of their own.)
enum class StudentPaper { a4, letter };

// How far apart thumb and little finger may ever lie, key centre to key centre. Named by an interval of the trade, or
// measured.
std::optional<hand::Millimetre> stretch_named(std::string_view interval);  // "fifth" … "tenth"
std::vector<std::string> stretch_names();
inline constexpr hand::Millimetre kSmallestStretch{940};  // white keys a fifth apart: the triad
inline constexpr hand::Millimetre kLargestStretch{2800};

struct Student {
  std::string name;
  std::optional<Level> level;  // where the skills start from; none: `also` says them all
  Skills also;                 // skills beyond the level
  Skills not_yet;              // skills of the level that are still to come
  std::vector<KnownShape> knows;
  std::string hand_size = "medium";      // "small", "medium", "large"; unused with a span
  std::optional<hand::Millimetre> span;  // measured flat, 120–280 mm
  std::optional<hand::Millimetre> stretch;
  music::NoteNames note_names = music::NoteNames::english;
  StudentPaper paper = StudentPaper::a4;
  std::optional<music::Tempo> tempo;  // at which three runs come out clean

  Skills skills() const;
  hand::HandSize hand() const;
  friend bool operator==(const Student&, const Student&) = default;
};

// A student about whom nothing is known but the level.
Student student_of(Level level);

struct ParsedStudent {
  Student student;
  Diagnostics remarks;  // warnings: a skill added that the level holds already, …
};

// Errors: every one in the text, in the order of the lines, Fault::usage, with caret and suggestion.
Result<ParsedStudent> read_student(std::string_view text, const std::string& file);
// The file again, in its canonical layout: read_student(write_student(s)) gives s. Comments are not part of it.
std::string write_student(const Student& student);

// Hand, shapes known and skills; a level without `triads` cannot be arranged for.
Choices choices_for(const Student& student, const Manner& manner);

// What this song asks that the student has not met.
struct NewForStudent {
  std::vector<std::size_t> shapes;  // indices into Arrangement::right.shapes
  Skills skills;
  bool is_nothing() const { return shapes.empty() && skills.empty(); }
};
NewForStudent new_for(const Student& student, const Arrangement& arrangement);
// One line: "New for Mara: 2 shapes (Em; C first inversion); suspension." or "Nothing in it is new for Mara."
std::string in_words(const NewForStudent& news, const Student& student,
                     const Arrangement& arrangement);

}  // namespace stillhand::arrange
