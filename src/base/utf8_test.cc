// RFC 3629, with the sequences that its section 10 and Unicode's table 3-7 forbid.
#include "base/utf8.h"

#include <gtest/gtest.h>

namespace stillhand {
namespace {

TEST(Utf8, TheFourLengths) {
  EXPECT_EQ(code_point("A")->value, U'A');
  EXPECT_EQ(code_point("\u00E9")->value, U'\u00E9');
  EXPECT_EQ(code_point("\u266F")->value, U'\u266F');
  EXPECT_EQ(code_point("\U0001D12A")->value, U'\U0001D12A');
  EXPECT_EQ(code_point("\U0001D12Ax")->size, 4U);
}

TEST(Utf8, WhatIsForbidden) {
  for (const char* bad : {"\x80", "\xFF", "\xC3", "\xC0\x80", "\xC1\xBF", "\xE0\x80\x80",
                          "\xE0\x9F\xBF", "\xED\xA0\x80", "\xED\xBF\xBF", "\xF0\x80\x80\x80",
                          "\xF0\x8F\xBF\xBF", "\xF4\x90\x80\x80", "\xF5\x80\x80\x80", "\xE2\x99"}) {
    EXPECT_FALSE(code_point(bad)) << bad;
    EXPECT_FALSE(is_utf8(bad));
    EXPECT_TRUE(is_utf8(repaired(bad)));
  }
}

TEST(Utf8, RepairsAndCounts) {
  EXPECT_EQ(repaired("a\xFFz\u00E9"), "a\uFFFDz\u00E9");
  EXPECT_EQ(characters("n\u00E9\u266F"), 3U);
  EXPECT_EQ(from_latin_1("caf\xE9"), "caf\u00E9");
}

std::string encoded(char32_t c) {
  const auto byte = [](char32_t bits) { return static_cast<char>(bits); };
  const auto more = [&](int shift) { return byte(0x80 | ((c >> shift) & 0x3F)); };
  std::string text;
  if (c < 0x800) {
    text += byte(0xC0 | (c >> 6));
  } else if (c < 0x10000) {
    text += byte(0xE0 | (c >> 12));
    text += more(6);
  } else {
    text += byte(0xF0 | (c >> 18));
    text += more(12);
    text += more(6);
  }
  text += more(0);
  return text;
}

TEST(Utf8, EveryCodePointComesBack) {
  for (char32_t c = 0x80; c <= 0x10FFFF; c += c < 0x3000 ? 1 : 97) {
    if (c >= 0xD800 && c <= 0xDFFF) continue;
    const std::string text = encoded(c);
    const auto found = code_point(text);
    ASSERT_TRUE(found);
    EXPECT_EQ(found->value, c);
    EXPECT_EQ(found->size, text.size());
  }
}

}  // namespace
}  // namespace stillhand
