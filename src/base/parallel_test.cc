#include "base/parallel.h"

#include <gtest/gtest.h>

#include <numeric>
#include <stdexcept>
#include <vector>

namespace stillhand {
namespace {

TEST(Parallel, EachIndexOnceWhateverTheThreads) {
  for (const std::size_t threads : {0U, 1U, 2U, 7U, 100U}) {
    for (const std::size_t count : {0U, 1U, 3U, 1000U}) {
      std::vector<int> times(count);
      in_parallel(
          count, [&](std::size_t i) { ++times[i]; }, threads);
      EXPECT_EQ(std::accumulate(times.begin(), times.end(), 0), static_cast<int>(count));
      for (const int t : times) EXPECT_EQ(t, 1);
    }
  }
}

TEST(Parallel, AnExceptionReachesTheCaller) {
  const auto piece = [](std::size_t i) {
    if (i == 3) throw std::runtime_error("three");
  };
  EXPECT_THROW(in_parallel(1000, piece, 3), std::runtime_error);
  EXPECT_THROW(in_parallel(1000, piece, 1), std::runtime_error);
}

}  // namespace
}  // namespace stillhand
