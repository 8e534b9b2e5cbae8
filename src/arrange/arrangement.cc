#include "arrange/arrangement.h"

namespace stillhand::arrange {
namespace {

bool has_root(const Shape& shape) {
  return std::any_of(shape.notes.begin(), shape.notes.end(), [](const hand::ShapeNote& note) {
    return note.degree == music::Degree{1, 0};
  });
}

}  // namespace

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

bool is_only_in(const ShapeChoice& choice, std::size_t section) {
  return std::find(choice.sections.begin(), choice.sections.end(), section) !=
         choice.sections.end();
}

std::optional<std::size_t> shape_for(const std::vector<ShapeChoice>& shapes, const Chord& chord,
                                     std::size_t section) {
  const bool root_in_bass = chord.bass_note().pitch_class() == chord.root.pitch_class();
  std::optional<std::size_t> everywhere;
  for (std::size_t i = 0; i < shapes.size(); ++i) {
    const ShapeChoice& choice = shapes[i];
    if (!(choice.chord == chord.without_bass())) continue;
    if (!choice.is_pinned && !root_in_bass && !has_root(choice.shape)) continue;
    if (is_only_in(choice, section)) return i;
    if (choice.sections.empty() && !everywhere) everywhere = i;
  }
  return everywhere;
}

const Shape* Arrangement::shape_at(std::size_t chord) const {
  const auto& index = shape_of_chord[chord];
  return index ? &right.shapes[*index].shape : nullptr;
}

const ShapeChoice& Arrangement::shape_choice(std::size_t index) const {
  const std::size_t plain = right.shapes.size();
  return index < plain ? right.shapes[index] : options.shapes[index - plain];
}

const Position& Arrangement::position(std::size_t index) const {
  const std::size_t plain = left.positions.size();
  return index < plain ? left.positions[index] : options.positions[index - plain];
}

}  // namespace stillhand::arrange
