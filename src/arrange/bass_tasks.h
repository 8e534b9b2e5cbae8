// What the left hand is asked to play: one BassTask for each chord of an arrangement, or of an `or` line in it.
//
//   const BassTasks tasks(a, choices);       tasks.of(played, shape)
#pragma once

#include <vector>

#include "arrange/arrange.h"
#include "arrange/build_up.h"
#include "arrange/left_hand.h"

namespace stillhand::arrange {

class BassTasks {
 public:
  // Reads the song and its bars; they must stay.
  BassTasks(const Arrangement& arrangement, const Choices& choices);

  // `shape`: what the right hand plays meanwhile; nullptr under N.C.
  BassTask of(const chart::PlayedChord& played, const Shape* shape) const;

 private:
  Rung rung_at(const chart::PlayedChord& played) const;

  const Arrangement& a_;
  std::vector<PlayedSection> sections_;
  std::vector<Rung> rungs_;
};

LeftHandManner left_hand_manner(const Choices& choices);

}  // namespace stillhand::arrange
