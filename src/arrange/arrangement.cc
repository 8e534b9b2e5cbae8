#include "arrange/arrangement.h"

namespace stillhand::arrange {

std::string_view name(Status status) {
  return status == Status::optimal ? "optimal" : "limit reached";
}

const Shape* Arrangement::shape_at(std::size_t chord) const {
  const auto& index = shape_of_chord[chord];
  return index ? &right.shapes[*index].shape : nullptr;
}

}  // namespace stillhand::arrange
