// The plans as a document without a form: what stands in them in which order. Markdown and PDF are two ways of setting the
// same one, so that they cannot differ in what they say.
//
//   PlanDocument document = teacher_document(lesson);     // or student_document(lesson, tracks)
//
// All text is one line of valid UTF-8 with real sharps and flats. Claims carry small raised numbers, explained once under
// "Sources" at the end.
#pragma once

#include <string>
#include <variant>
#include <vector>

#include "teach/count_aloud.h"
#include "teach/practice.h"

namespace stillhand::write {

struct PlanHeading {
  std::string text;
  std::string after;  // "18 minutes"
};
// Of one step or one day.
struct PlanStep {
  std::string text;
  std::string after;
};
struct PlanParagraph {
  std::string text;
};
// What is said aloud to the student.
struct PlanSpeech {
  std::vector<std::string> sentences;
};
struct PlanCounts {
  std::vector<std::vector<std::string>> lines;  // of bars
};
struct PlanPoints {
  std::vector<std::string> points;
};
// "Repeat" and what is said under it.
struct PlanRow {
  std::string label;
  std::string text;
};
struct PlanRows {
  std::vector<PlanRow> rows;
};
// Keyboard pictures, with words for those who see none.
struct PlanShapes {
  struct Item {
    std::size_t shape;  // index into Lesson::shapes
    std::string words;  // "D: A3 D4 F♯4, fingers 1 3 5, second inversion"
  };
  std::vector<Item> shapes;
};

using PlanPart = std::variant<PlanHeading, PlanStep, PlanParagraph, PlanSpeech, PlanCounts,
                              PlanPoints, PlanRows, PlanShapes>;

struct PlanDocument {
  std::string title;    // "Lamps Along the Quay"
  std::string kind;     // "Teaching plan", "Practice plan for Mara"
  std::string writers;  // may be empty
  std::string rights;
  std::string facts;  // "D major, 4/4, 66 counts a minute, …"
  std::vector<PlanPart> parts;
};

PlanDocument teacher_document(const teach::Lesson& lesson);
PlanDocument student_document(const teach::Lesson& lesson,
                              const std::vector<teach::PracticeTrack>& tracks);

}  // namespace stillhand::write
