// A manner: a teacher's set of preferences in arranging, as weights. Data files:
// data/manners/*.json.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "base/result.h"

namespace stillhand::arrange {

struct Weights;

class Manner {
 public:
  static Manner
  home();  // neighbouring chords in root position slid by step, the others inverted between them
  static Manner closest();  // stay nearest to the tonic chord
  static std::optional<Manner> named(std::string_view name);
  const std::string& name() const { return name_; }
  int weight(std::string_view name) const;
  static Result<Manner> read(std::string_view json, const std::string& file);

 private:
  std::string name_;
};

}  // namespace stillhand::arrange
