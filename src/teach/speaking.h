// Speaking notes: what a teacher says of a shape, a move, the left hand, a pattern. Every sentence is made from keys and
// fingers of the lesson.
//
//   Speaker say(lesson);
//   say.shape(0)        // "D: thumb on A, finger 3 on D, little finger on F♯."
//   say.place(pitch)    // "the A below middle C"
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "teach/lesson.h"

namespace stillhand::teach {

// The first letter as a capital one.
std::string capitalised(std::string text);

class Speaker {
 public:
  explicit Speaker(const Lesson& lesson) : lesson_(lesson) {}

  // "G"; "G in the Chorus" where the chord has another shape elsewhere.
  std::string chord(std::size_t shape) const;
  // "D and G"
  std::string chords(const std::vector<std::size_t>& shapes) const;
  std::string note(const Pitch& pitch) const;  // "F♯", in the student's names
  // "thumb on A, finger 3 on D, little finger on F♯"
  std::string fingers(std::size_t shape) const;
  // "middle C", "the A below middle C", "the second G below middle C"
  std::string place(const Pitch& pitch) const;
  // "A to D"
  std::string pair(const Move& move) const;
  // "From A to D. Finger 3 up a half step, …"
  std::string move(const Move& move) const;
  // Where the left hand lies, and what its remarks say, sentence by sentence.
  std::vector<std::string> left_hand(const SectionPosition& entry) const;
  // One remark of an `or` line as a sentence: "The left hand shifts at F7: …", "Left hand: thumb reaches up …".
  static std::string left_hand_remark(const std::string& remark);
  // "Under the chords: D, thumb; G, little finger; D/F♯, finger 2 on F♯." The note is named where it is not the root, or where
  // the finger reaches. Empty where nothing is played.
  std::string bass_fingers(const SheetSection& section) const;
  // "Left hand: the bass note on one. Right hand: the chord on one, two, three and four."
  std::vector<std::string> pattern(const TaughtPattern& pattern) const;

 private:
  std::string hand_part(const TaughtPattern& pattern, std::string PatternMoment::*hand) const;

  const Lesson& lesson_;
};

}  // namespace stillhand::teach
