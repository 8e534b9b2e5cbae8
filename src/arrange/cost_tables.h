// The right hand's cost of one song, taken apart by weight: how much of each there is in every
// shape and every change. A cost under any weights is then a sum of products, and no shape needs to
// be looked at again.
//
//   Result<CostTables> t = CostTables::of(song, choices);
//   Solution s = solve(t->network(prices_of(manner.right)), limit);
//   t->amounts(s.values)[i]            // of the cost term i; times its price, summed: the cost
//
// The terms are the weights of right_hand_weight_names() in their order, and after them the same
// weights as far as haste makes them dearer. `haste` has no amounts of its own.
#pragma once

#include <vector>

#include "arrange/right_hand.h"

namespace stillhand::arrange {

// One number for each cost term.
using Amounts = std::vector<double>;

// What one unit of each cost term costs under these weights.
Amounts prices_of(const RightHandWeights& weights);

class CostTables {
 public:
  // Of every shape, the pinned ones among them (Pins::examples). Of `choices.manner` nothing is
  // used. Fails like right_hand_task().
  static Result<CostTables> of(const Song& song, const Choices& choices);

  const std::vector<Variable>& variables() const { return variables_; }

  // The variables that follow or precede this one somewhere in the song; rising.
  std::vector<std::size_t> neighbours(std::size_t variable) const;

  // Another example from the same song: these shapes pinned, one for each variable.
  void pin_all(const std::vector<std::size_t>& values);

  // The network of right_hand_task() but for a common factor and for the rounding down that is done
  // there at every change.
  Network network(const Amounts& prices) const;

  // Of a whole arrangement: one value for each variable.
  Amounts amounts(const std::vector<std::size_t>& values) const;

  // amounts(values with `variable` at `value`) - amounts(values).
  Amounts difference(const std::vector<std::size_t>& values, std::size_t variable,
                     std::size_t value) const;

 private:
  // The amounts of one term, in the form of a network; a part that is zero throughout is empty.
  struct Layer {
    std::size_t term = 0;
    std::vector<std::vector<float>> unary;  // by variable, by value
    std::vector<std::vector<float>> edges;  // by edge, row-major
  };
  std::size_t edge_index(std::size_t edge, std::size_t of_u, std::size_t of_v) const {
    return of_u * variables_[edges_[edge].v].shapes.size() + of_v;
  }
  void add(std::size_t term, const Network& network, const Network* less, double unit);

  std::vector<Variable> variables_;
  std::vector<Edge> edges_;  // without their costs
  std::vector<Layer> layers_;
};

}  // namespace stillhand::arrange
