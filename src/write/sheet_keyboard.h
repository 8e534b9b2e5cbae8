// A keyboard picture: a window of the keyboard with the fingers on it.
//
//   KeyWindow window = window_over({PianoKey(55), PianoKey(66)});    // F3–B4, eleven white keys
//   Marks marks = keyboard(window, fingers, hand::Hand::right, names, 113, style, measurer);
//
// The right hand is a filled disc, the left hand an open square, each with its finger number; a
// mark on a black key is ringed in white. Names of white keys stand below, of black keys above.
// A small arrow-head points to middle C. Where keys are marked without fingers, only the lowest and the
// highest are named.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "hand/finger.h"
#include "music/pitch.h"
#include "write/sheet_style.h"
#include "write/sheet_text.h"

namespace stillhand::write {

// White keys from `first` (a white key) up.
struct KeyWindow {
  music::PianoKey first;
  int white_keys = 0;
};

// From the C or F at or below the lowest to the B or E at or above the highest key, so that the
// groups of black keys stay whole. The keys must not be empty.
KeyWindow window_over(const std::vector<music::PianoKey>& keys);
// The same window with at least this many white keys.
KeyWindow widened(KeyWindow window, int white_keys);

// Where things lie on a keyboard picture whose left top corner is at (0, top).
struct KeyboardFrame {
  KeyWindow window;
  double width = 0, top = 0, height = 0;
  double black_part = 0.62;  // of the height: the length of a black key

  double white_width() const { return width / window.white_keys; }
  double black_width() const;
  double black_length() const { return height * black_part; }
  double bottom() const { return top + height; }
  double x(music::PianoKey key) const;  // its centre
  music::PianoKey end() const;          // the first white key beyond the window
};
Marks keys_of(const KeyboardFrame& frame);

// Note names, black keys' above the keys and white keys' below; those too close to each other are moved apart. The band
// is as high above the keys as below them.
struct NameOnKey {
  std::string text;
  music::PianoKey key;
};
inline constexpr double kNameBand = 10.5;  // at style.unit 1
inline double name_band(const SheetStyle& style) { return kNameBand * style.unit; }
Marks names_of(const std::vector<NameOnKey>& names, const KeyboardFrame& frame,
               const SheetStyle& style, const TextMeasurer& measurer);

// The sign under middle C where the window shows it.
Marks middle_c_of(const KeyboardFrame& frame);

struct FingerOnKey {
  music::Pitch pitch;
  std::optional<hand::Finger> finger = {};  // nullopt: the key is marked, whichever finger plays it
};

// "right hand, D thumb, G 2, B 5": what the picture says, low to high.
std::string in_words(const std::vector<FingerOnKey>& fingers, hand::Hand hand,
                     music::NoteNames names);

struct KeyboardPicture {
  Marks marks;  // from (0, 0): the top of the names of the black keys
  double height = 0;
};
KeyboardPicture keyboard(const KeyWindow& window, const std::vector<FingerOnKey>& fingers,
                         hand::Hand hand, music::NoteNames names, double width,
                         const SheetStyle& style, const TextMeasurer& measurer);

// A finger mark alone, centred: for pictures and for the legend.
Marks finger_mark(hand::Finger finger, hand::Hand hand, double x, double y, double radius,
                  const SheetStyle& style, const TextMeasurer& measurer);

// The sign under middle C, its tip just below `top`.
Marks middle_c_sign(double x, double top, double unit = 1);

}  // namespace stillhand::write
