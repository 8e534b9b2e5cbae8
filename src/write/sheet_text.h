// Text for the sheet: measuring, breaking into lines, and real accidentals.
//
//   pretty_chord("Bbm7b5/F#") == "B♭m7♭5/F♯"
//   pretty_notes("Thumb up, F#3 to G3.") == "Thumb up, F♯3 to G3."
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "music/note_names.h"
#include "music/tonality.h"
#include "write/sheet_page.h"

namespace stillhand::write {

struct TextSize {
  double width = 0;
  double ascent = 0, descent = 0;  // of the ink, from the baseline
};

// Whoever draws the text measures it.
class TextMeasurer {
 public:
  virtual ~TextMeasurer() = default;
  virtual TextSize measure(std::string_view text, const Font& font) const = 0;
};

// Valid UTF-8 on one line: bad bytes become U+FFFD, control characters spaces; ends are trimmed.
std::string one_line(std::string_view text);

// Whether the first letter that has a direction runs from right to left: Hebrew, Arabic and their neighbours.
bool runs_leftward(std::string_view text);

// Sharps and flats of a chord symbol as signs.
std::string pretty_chord(std::string_view symbol);
// The symbol as the sheet prints it, in the student's names; what is no symbol stays.
std::string shown_chord(std::string_view symbol, music::NoteNames names);

// How chords stand in the bars of a sheet.
enum class ChordWriting {
  letters,  // "A/C♯", "E7"
  numbers,  // degrees of the key in force: "5/7", "2(7)"; a figure after the degree stands in parentheses
};
std::optional<ChordWriting> chord_writing_named(std::string_view wanted);  // "letters", "numbers"
struct ChordNaming {
  music::NoteNames names = music::NoteNames::english;
  ChordWriting writing = ChordWriting::letters;
};
std::string shown_chord(std::string_view symbol, music::Tonality tonality, ChordNaming naming);
//   shown_number("A/C#", D major) == "5/7"      shown_number("Dm7b5", C major) == "2m7♭5"
// What is no symbol ("N.C.") stays.
std::string shown_number(std::string_view symbol, music::Tonality tonality);

// Sharps and flats of note names and chord roots that stand as words of a sentence.
std::string pretty_notes(std::string_view sentence);

// Lines at most `width` wide. Breaks at spaces; a word wider than a line is cut between characters.
// At least one line.
std::vector<std::string> break_lines(std::string_view text, const Font& font, double width,
                                     const TextMeasurer& measurer);
// The text, or as much of it as fits, ended by "…".
std::string fitted(std::string_view text, const Font& font, double width,
                   const TextMeasurer& measurer);

// One line of text with its left end at x.
TextMark set_text(std::string_view text, const Font& font, Ink ink, double x, double baseline,
                  const TextMeasurer& measurer);

// A stack of lines from (0, 0) down.
struct Paragraph {
  Marks marks;
  double height = 0;
};
Paragraph set_paragraph(std::string_view text, const Font& font, Ink ink, double width,
                        double leading, Role role, const TextMeasurer& measurer);

}  // namespace stillhand::write
