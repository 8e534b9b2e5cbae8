#include "arrange/skill.h"

#include <gtest/gtest.h>

#include <set>

namespace stillhand::arrange {
namespace {

TEST(Skill, EveryNameLeadsBackToItsSkill) {
  std::set<std::string_view> names;
  for (const Skill skill : all_skills()) {
    EXPECT_EQ(skill_named(name(skill)), skill);
    EXPECT_TRUE(names.insert(name(skill)).second) << name(skill);
  }
  EXPECT_EQ(names.size(), static_cast<std::size_t>(Skill::singing) + 1);
  EXPECT_EQ(skill_named("juggling"), std::nullopt);
}

}  // namespace
}  // namespace stillhand::arrange
