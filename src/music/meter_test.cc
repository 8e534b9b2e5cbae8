#include "music/meter.h"

#include <gtest/gtest.h>

namespace stillhand::music {
namespace {

struct Case {
  const char* meter;
  int counts;
  int ticks;  // of one count
};

TEST(Meter, CountsOfEveryKind) {
  for (const Case& c : std::initializer_list<Case>{{"4/4", 4, 960},
                                                   {"3/4", 3, 960},
                                                   {"2/4", 2, 960},
                                                   {"1/4", 1, 960},
                                                   {"12/4", 12, 960},
                                                   {"2/2", 2, 1920},
                                                   {"3/2", 3, 1920},
                                                   {"3/8", 1, 1440},
                                                   {"6/8", 2, 1440},
                                                   {"9/8", 3, 1440},
                                                   {"12/8", 4, 1440},
                                                   {"5/8", 5, 480},
                                                   {"7/8", 7, 480}}) {
    const auto meter = parse_meter(c.meter);
    ASSERT_TRUE(meter) << c.meter;
    EXPECT_EQ(meter->counts(), Count(c.counts)) << c.meter;
    EXPECT_EQ(meter->count_length(), Tick(c.ticks)) << c.meter;
    EXPECT_EQ(meter->bar_length(), Tick(c.counts * c.ticks)) << c.meter;
    EXPECT_EQ(text(*meter), c.meter);
  }
}

TEST(Meter, RefusesWhatNobodyCounts) {
  for (const char* wrong : {"", "4", "4/", "/4", "0/4", "13/4", "7/2", "4/8", "4/16", "4/4 ",
                            "-4/4", "4/0", "99999999999/4", "C"}) {
    EXPECT_FALSE(parse_meter(wrong)) << wrong;
  }
}

TEST(Meter, ACountDividesByTwoToSix) {
  for (const char* name : {"4/4", "6/8", "2/2", "7/8"}) {
    const int ticks = parse_meter(name)->count_length().value();
    for (const int parts : {2, 3, 4, 5, 6, 8}) EXPECT_EQ(ticks % parts, 0) << name << parts;
  }
}

}  // namespace
}  // namespace stillhand::music
