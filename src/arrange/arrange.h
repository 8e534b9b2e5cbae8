// The one entrance: a Song and the teacher's choices in, an Arrangement out.
#pragma once

#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "arrange/arrangement.h"
#include "arrange/known_shape.h"
#include "arrange/manner.h"
#include "arrange/skill.h"
#include "hand/shape.h"
#include "hand/size.h"

namespace stillhand::arrange {

// Where the right hand plays: never outside `limit`, gladly inside `preferred`.
struct RightHandRegisters {
  hand::Register limit = hand::kRightHandRegister;
  hand::Register preferred = hand::kRightHandPreferred;
};

// Whether a chord may have a second shape, for some sections, where that costs less (arrange/second_shapes.h).
enum class SecondShapes { leave_out, allow };

struct Choices {
  Manner manner = Manner::home();
  hand::HandSize hand = hand::HandSize::medium();
  RightHandRegisters registers;
  // What the left hand plays (arrange/ladder.h). Neither: bass notes in five-finger positions, unless
  // section_rungs names the section.
  //   skills only  each section the rung that its fullness asks for, of those the student knows
  //   both         the same, and nothing above `rung`
  //   rung only    that rung in every section; only so does a small hand get octaves
  std::optional<Rung> rung;
  std::optional<Skills> skills;
  // With skills, but without the one of inversions, every shape has the root at the bottom (pins apart).
  // With neither: sections (indices into Song::sections) whose pattern needs more than bass notes.
  std::map<std::size_t, Rung> section_rungs;
  std::vector<KnownShape> known;  // these cost nothing to learn
  std::int64_t state_limit =
      20'000'000;  // search states before "limit reached" (our judgement: about 10 s)
  SecondShapes second_shapes = SecondShapes::leave_out;
  std::int64_t second_shapes_state_limit = 200'000;  // of the search for them
};

// Fails with Fault::chart: chords the hand cannot play (each located at its first place, with the
// reason), pins that cannot be played.
Result<Arrangement> arrange(const Song& song, const Choices& choices);

// What each shape of one chord (bass ignored) would cost the whole song if it were forced: a re-solve each, exact. Every
// chord has one shape here, whatever `choices` says of second ones.
// Cheapest first, ties in canonical order. Fails when the chord is not in the song.
struct Price {
  Shape shape;
  Status status = Status::optimal;
  Cost cost;  // of the whole song
  Cost more;  // than the optimum; zero for the shape taken
};
Result<std::vector<Price>> prices(const Song& song, const Choices& choices, const Chord& chord);

}  // namespace stillhand::arrange
