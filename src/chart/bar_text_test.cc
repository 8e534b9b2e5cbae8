#include "chart/bar_text.h"

#include <gtest/gtest.h>

namespace stillhand::chart {
namespace {

using music::Meter;
using music::Tick;

std::optional<std::string> in_four_four(const std::vector<Onset>& onsets) {
  return bar_text(onsets, Meter(), Meter().bar_length());
}

TEST(BarText, SharesCountsAndParentheses) {
  EXPECT_EQ(in_four_four({{Tick(0), "D"}}), "D");
  EXPECT_EQ(in_four_four({{Tick(0), "D"}, {Tick(1920), "A"}}), "D A");
  EXPECT_EQ(in_four_four({{Tick(0), "D"}, {Tick(2880), "A"}}), "D - - A");
  EXPECT_EQ(in_four_four({{Tick(0), "D"}, {Tick(480), "A"}}), "(D A) - - -");
  EXPECT_EQ(in_four_four({{Tick(0), "D"}, {Tick(320), "A"}, {Tick(960), "G"}}), "(D A -) G - -");
  const Meter six_eight = *Meter::make(6, 8);
  EXPECT_EQ(bar_text({{Tick(0), "D"}, {Tick(960), "A"}}, six_eight, six_eight.bar_length()),
            "(D - A) -");
}

TEST(BarText, APickUpIsWrittenInCounts) {
  EXPECT_EQ(bar_text({{Tick(0), "D"}}, Meter(), Tick(1920)), "D -");
}

TEST(BarText, WhatNoParenthesisCanSayIsNullopt) {
  EXPECT_EQ(in_four_four({{Tick(0), "D"}, {Tick(7), "A"}}), std::nullopt);
  EXPECT_EQ(bar_text({{Tick(0), "D"}}, Meter(), Tick(1000)), std::nullopt);
}

}  // namespace
}  // namespace stillhand::chart
