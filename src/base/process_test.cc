#include "base/process.h"

#include <gtest/gtest.h>

namespace stillhand {
namespace {

TEST(OutputOf, IsWhatAProgramPrints) {
  const auto out = output_of({"printf", "%s", "$HOME; `id`"});  // no shell reads it
  ASSERT_TRUE(out);
  EXPECT_EQ(*out, "$HOME; `id`");
}

TEST(OutputOf, IsAnErrorWhereThereIsNoSuchProgramOrItFails) {
  const auto missing = output_of({"no-such-program-here"});
  ASSERT_FALSE(missing);
  EXPECT_EQ(render(missing.error().front()),
            "no-such-program-here: error: cannot run it: No such file or directory");
  const auto failed = output_of({"false"});
  ASSERT_FALSE(failed);
  EXPECT_EQ(render(failed.error().front()), "false: error: it ended with an error");
}

TEST(OutputOf, ReadsMoreThanAPipeHolds) {
  const auto out = output_of({"head", "-c", "300000", "/dev/zero"});
  ASSERT_TRUE(out);
  EXPECT_EQ(out->size(), 300000U);
}

}  // namespace
}  // namespace stillhand
