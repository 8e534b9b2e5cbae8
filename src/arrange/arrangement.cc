#include "arrange/arrangement.h"

namespace stillhand::arrange {

std::string_view name(Status status) {
  return status == Status::optimal ? "optimal" : "limit reached";
}

std::string_view name(Rung rung) {
  switch (rung) {
    case Rung::one_root:
      return "one root";
    case Rung::position:
      return "five-finger position";
    case Rung::root_and_fifth:
      return "root and fifth";
    case Rung::octave:
      return "octave";
    case Rung::root_fifth_octave:
      return "root, fifth, octave";
    case Rung::walking_bass:
      return "walking bass";
  }
  return "";
}

const Shape* Arrangement::shape_at(std::size_t chord) const {
  const auto& index = shape_of_chord[chord];
  return index ? &right.shapes[*index].shape : nullptr;
}

}  // namespace stillhand::arrange
