#include "write/caption_text.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace stillhand::write {
namespace {

using ::testing::ElementsAre;
using ::testing::IsEmpty;

TEST(CaptionText, WidthCountsCodePointsAndWideOnesTwice) {
  EXPECT_EQ(caption_width(""), 0);
  EXPECT_EQ(caption_width("D/F♯ – Em"), 9);
  EXPECT_EQ(caption_width("e\u0301"), 2);
  EXPECT_EQ(caption_width("港の灯り"), 8);
  EXPECT_EQ(caption_width("שלום"), 4);
}

TEST(CaptionText, WhatDoesNotFitEndsInAnEllipsis) {
  EXPECT_EQ(fitted_caption("Verse 1", 7), "Verse 1");
  EXPECT_EQ(fitted_caption("Verse 1 (slowly)", 9), "Verse 1…");  // no space before it
  EXPECT_EQ(fitted_caption("港の灯り", 6), "港の…");
  EXPECT_EQ(fitted_caption("ae\u0301e\u0301", 4), "ae\u0301…");  // a letter keeps its mark
}

TEST(CaptionText, PiecesBreakAtSpacesAndLoseNothing) {
  EXPECT_THAT(caption_pieces("", 10), IsEmpty());
  EXPECT_THAT(caption_pieces("one two", 10), ElementsAre("one two"));
  EXPECT_THAT(caption_pieces("one two three four", 9), ElementsAre("one two", "three", "four"));
  EXPECT_THAT(caption_pieces("one two three", 7), ElementsAre("one two", "three"));
  EXPECT_THAT(caption_pieces("incomprehensible", 6), ElementsAre("incomp", "rehens", "ible"));
  EXPECT_THAT(caption_pieces("港の灯り", 5), ElementsAre("港の", "灯り"));
}

}  // namespace
}  // namespace stillhand::write
