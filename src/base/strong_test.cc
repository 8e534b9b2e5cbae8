#include "base/strong.h"

#include <gtest/gtest.h>

#include <type_traits>

namespace stillhand {
namespace {

struct AppleTag;
struct PearTag;
using Apples = Amount<AppleTag, int>;
using Pears = Amount<PearTag, int>;

template <class A, class B>
concept Adds = requires(A a, B b) {
  a + b;
};
static_assert(Adds<Apples, Apples>);
static_assert(!Adds<Apples, Pears>);
static_assert(!Adds<Apples, int>);
static_assert(!std::is_convertible_v<int, Apples>);
static_assert(!std::is_convertible_v<Apples, int>);

TEST(Amount, AddsScalesAndCompares) {
  constexpr Apples two{2};
  constexpr Apples three{3};
  EXPECT_EQ(two + three, Apples(5));
  EXPECT_EQ(two - three, Apples(-1));
  EXPECT_EQ(two * 4, Apples(8));
  EXPECT_EQ(4 * two, two * 4);
  EXPECT_EQ(Apples(9) / 2, Apples(4));
  EXPECT_LT(two, three);
  EXPECT_EQ(-two, Apples(-2));
  EXPECT_EQ(abs(two - three), Apples(1));
  EXPECT_EQ(Apples().value(), 0);
}

}  // namespace
}  // namespace stillhand
