#include "base/base64.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace stillhand {
namespace {

// RFC 4648, section 10.
TEST(Base64, AgreesWithTheStandard) {
  const std::pair<const char*, const char*> published[] = {{"", ""},
                                                           {"f", "Zg=="},
                                                           {"fo", "Zm8="},
                                                           {"foo", "Zm9v"},
                                                           {"foob", "Zm9vYg=="},
                                                           {"fooba", "Zm9vYmE="},
                                                           {"foobar", "Zm9vYmFy"}};
  for (const auto& [bytes, text] : published) {
    EXPECT_EQ(to_base64(bytes), text);
    EXPECT_EQ(from_base64(text), bytes);
  }
}

RC_GTEST_PROP(Base64, ComesBack, (const std::string& bytes)) {
  RC_ASSERT(from_base64(to_base64(bytes)) == bytes);
}

TEST(Base64, IsStrict) {
  EXPECT_EQ(from_base64(""), "");
  EXPECT_EQ(from_base64("U3RpbGw="), "Still");
  EXPECT_EQ(from_base64("U3RpbGxo"), "Stillh");
  EXPECT_EQ(from_base64("Uw=="), "S");
  for (const char* bad : {"U3RpbGw", "U3RpbGx=", "Ux==", "====", "U=Rp", "U3Rp\n", "U3R-"})
    EXPECT_EQ(from_base64(bad), std::nullopt) << bad;
}

}  // namespace
}  // namespace stillhand
