// The left hand: where it rests, and which finger plays each bass note.
//
//   LeftHand left = left_hand(tasks, hand::HandSize::medium(), LeftHandManner::sliding());
//   // G, D/F#, Em, C in G major: C3 D3 E3 F#3 G3 under 5 4 3 2 1, and nothing ever moves.
//
// Positions are five neighbouring degrees of the tonality in force, little finger lowest; in minor
// the seventh degree may be raised. All five keys and every bass note lie within kLeftHandRegister.
// From its position
//   - a finger plays its own key (Reach::none);
//   - the little finger reaches a half or whole step below the lowest key, the thumb a half or
//     whole step above the highest one, as far as the hand stretches (reach_down, reach_up);
//   - a key between two keys of the position is played by the finger next to it, moved by a half
//     step (likewise);
//   - in a stepwise bass the little finger may slide on below its reach, step by step, at most a
//     fifth below its own key, and back up (Reach::slide): the hand comes along and returns home
//     with the next note.
// Anything else is a shift to another position. Two positions on the same five keys are the same
// place for the hand, whatever the tonality calls them.
//
// Each chord has its rung (Rung, arrangement.h), and with it a figure over the bass note (arrange/figure.h):
//   - root and fifth: a finger nearer to the thumb plays the fifth from the same position, on its own key, a half step
//     off between two keys, or (the thumb) up to a whole step above the position; never on a slide. The third comes
//     with it where a finger between the two lies on it or a half step off, and it is no lower than C3.
//   - octave, root-fifth-octave: the open hand goes along with the bass, little finger on the bass note, thumb on its
//     octave, finger 2 on the fifth; bass notes down to kLowestOctave.
//   - walking bass: the open hand plays a line of the bass notes and, on chords long enough, walks into the next one.
//     The line of a section has the least points of hand/line_fingering.h for walking on into the section after it,
//     which is fingered first, so that a section keeps its fingers whatever came before; where a leap leaves no
//     finger to go on with, the hand jumps, and that is a shift.
// A chord has as much of its figure as any key and position allow under the right hand and within the hand's practical
// spans (for root-fifth-octave: the octave before the fifth), whatever that costs: the least cost is sought among the
// fullest figures only. BassNote::rung says what is left. Between a position and the open hand lies a shift.
//
// The answer is a proven optimum (dynamic programming over all the above), so its status is always
// optimal. Among equal costs the first in this order is taken, compared at the earliest note where
// two answers differ: lower position (keys compared low to high), lower bass key, finger nearer the
// little finger.
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "arrange/arrangement.h"
#include "arrange/figure.h"
#include "hand/size.h"
#include "music/meter.h"
#include "music/pitch.h"
#include "music/tonality.h"

namespace stillhand::arrange {

// A bass note that stays as it was found before; of the open hand only its key stays.
struct KeptBass {
  music::PianoKey key;
  Finger finger;
  Reach reach = Reach::none;
  Position position;
};

// One chord of the song as played.
struct BassTask {
  std::optional<music::NoteName> note;  // what the bass must sound; nullopt under N.C.
  std::optional<music::PianoKey>
      below;  // the bass key must lie below this key: the lowest of the right hand
  music::Tick duration;
  std::size_t section = 0;
  music::Tonality tonality;
  Rung rung = Rung::position;       // the highest wanted here
  std::optional<Chord> chord = {};  // what figure and walk are made of; nullopt: neither
  Tick count = music::kQuarter;     // at the chord's end
  std::size_t most_walk_notes = kMostWalkNotes;  // fewer in a fast song
  bool begins_section = false;  // the section, or another time through it, begins here
  // Plays just this. It must be an answer to the task; the first kept note must not slide, and a kept slide must follow
  // what it followed when it was found.
  std::optional<KeptBass> kept = std::nullopt;
};

inline constexpr hand::Register kLeftHandRegister{PianoKey(36),
                                                  PianoKey(59)};  // C2–B3 (our judgement)
inline constexpr PianoKey kLowestOctave{28};  // E1: bass notes with their octave (our judgement)
// `below` is never lower than this: C2–B2 then holds every bass note. The right hand stays above
// E3, so it is not.
inline constexpr PianoKey kLowestCeiling{48};  // C3

// What the left hand is charged, in points. All weights are our judgement and not negative.
//
// The four large ones are so far apart that they rank, one above the other, in any song of up to
// 10,000 bass notes and 2,000 reaches: an unbroken stepwise bass, then few shifts, then few reaches
// and slides, then comfort.
struct LeftHandManner {
  // Once for each pair of neighbouring bass notes a half or whole step apart which the hand plays
  // an octave out.
  Cost broken_step{20'000'000'000'000};
  Cost shift{2'000'000'000};  // each
  Cost reach{1'000'000};      // each bass note played off its finger's key
  // Each bass note of a slide; nullopt: the little finger does not slide, the hand shifts.
  std::optional<Cost> slide{1'000'000};

  // Each root and fifth not under 5 and 1. Dearer than two shifts: the hand rather goes along with the chord.
  Cost unusual_fifth{5'000'000'000};

  // Comfort.
  Cost whole_step_reach{1};  // each reach by a whole step
  Cost other_letter{
      1};  // each half step by the finger whose key has another letter (G# by the A finger)
  // Each note in a position where neither the thumb nor the little finger lies on the tonic (in
  // minor: nor on the tonic of the relative major).
  Cost unfamiliar_position{6};
  Cost end_finger_on_black{1};  // each note of the thumb or the little finger on a black key
  Cost mud{2};                  // each semitone below G2 (with its octave: below A1), each note
  Cost high{1};                 // each semitone above F3 (with its octave: above G2), each note
  Cost crowding{1};             // each semitone nearer to the right hand than a fourth, each note
  Cost thumb_in_the_way{
      4};        // each note while the resting thumb lies on or above the lowest right-hand key
  Cost leap{1};  // each semitone beyond a fifth between neighbouring bass notes
  Cost travel{
      1};  // each semitone the little finger's place moves in a shift, the open hand in a move
  Cost shift_inside_section{10};  // each shift that does not fall on the beginning of a section
  Cost hurried_shift{10};  // each shift with less than two quarters since the bass note before

  // A bass that walks down out of the position: slid with the little finger, a beginner's way (the
  // default) …
  static LeftHandManner sliding() { return {}; }
  // … or with one announced shift.
  static LeftHandManner shifting() {
    LeftHandManner manner;
    manner.slide.reset();
    return manner;
  }
};

// One bass note per task. Precondition: every `below` is kLowestCeiling or higher; there is then
// always an answer.
LeftHand left_hand(const std::vector<BassTask>& tasks, const hand::HandSize& size,
                   const LeftHandManner& manner);

}  // namespace stillhand::arrange
