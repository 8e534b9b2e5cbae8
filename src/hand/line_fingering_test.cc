// The model against its own paper: R. Parncutt, J. A. Sloboda, E. F. Clarke, M. Raekallio & P. Desain, Music Perception
// 14(4), 1997: seven right-hand fragments of Czerny Op. 821 with their ten best fingerings and the score of each rule.
#include "hand/line_fingering.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <fstream>
#include <functional>
#include <nlohmann/json.hpp>
#include <random>

#include "testing/corpus.h"

namespace stillhand::hand {
namespace {

using Keys = std::vector<PianoKey>;
using Fingers = std::vector<Finger>;

Keys keys(const std::vector<int>& numbers) { return {numbers.begin(), numbers.end()}; }

Fingers fingers(const std::string& digits) {
  Fingers out;
  for (const char c : digits) out.emplace_back(c - '0');
  return out;
}

std::string text(const Fingers& fingers) {
  std::string out;
  for (const Finger finger : fingers) out += static_cast<char>('0' + finger.number());
  return out;
}

PianoKey mirrored(PianoKey key) { return PianoKey(124 - key.number()); }
Keys mirrored(Keys line) {
  for (PianoKey& key : line) key = mirrored(key);
  return line;
}

const LineSpans kMedium = LineSpans::of(HandSize::medium());

// Every sequence of fingers, nearer to the thumb first.
void for_all_fingers(std::size_t notes, const std::function<void(const Fingers&)>& visit) {
  Fingers line(notes, kThumb);
  while (true) {
    visit(line);
    std::size_t i = notes;
    while (i > 0 && line[i - 1] == kLittleFinger) line[--i] = kThumb;
    if (i == 0) return;
    line[i - 1] = Finger(line[i - 1].number() + 1);
  }
}

struct Plain {
  int legal = 0;
  std::optional<LineFingering> best;
  std::vector<std::pair<int, std::string>> all;  // points and fingers, sorted
};

// Tries everything.
Plain plain_search(const Keys& line, Hand hand, const LineSpans& spans, LineEnd end,
                   std::optional<Finger> last) {
  Plain plain;
  for_all_fingers(line.size(), [&](const Fingers& tried) {
    if (last && tried.back() != *last) return;
    if (!is_legal_line(line, tried, hand, spans, end)) return;
    ++plain.legal;
    const int points = score_line(line, tried, hand, spans, end).total();
    plain.all.emplace_back(points, text(tried));
    if (!plain.best || points < plain.best->points) plain.best = LineFingering{tried, points};
  });
  std::sort(plain.all.begin(), plain.all.end());
  return plain;
}

struct Fragment {
  std::string name;
  Keys keys;
  LineEnd end = LineEnd::open;
  std::optional<Finger> last;
  int legal = 0;
  struct Published {
    Fingers fingers;
    LineScore score;
    int total = 0;
  };
  std::vector<Published> ten_best;
};

std::vector<Fragment> published() {
  std::ifstream in(*testing::data_folder() / "parncutt1997_examples.json");
  const auto json = nlohmann::json::parse(in);
  std::vector<Fragment> out;
  for (const auto& [name, value] : json.at("fragments").items()) {
    Fragment f;
    f.name = name;
    f.keys = keys(value.at("midi").get<std::vector<int>>());
    if (value.at("cyclic").get<bool>()) f.end = LineEnd::repeating;
    if (!value.at("last_finger").is_null()) f.last = Finger(value.at("last_finger").get<int>());
    f.legal = value.at("legal_fingerings").get<int>();
    for (const auto& best : value.at("ten_best")) {
      Fragment::Published row{fingers(best.at("fingers").get<std::string>()), {}, 0};
      row.score.points = best.at("scores").get<std::array<int, kLineRules>>();
      row.total = best.at("total").get<int>();
      f.ten_best.push_back(row);
    }
    out.push_back(std::move(f));
  }
  return out;
}

class PublishedFragments : public ::testing::Test {
 protected:
  void SetUp() override {
    if (!testing::data_folder()) GTEST_SKIP() << testing::kNoData;
    fragments = published();
    ASSERT_EQ(fragments.size(), 7U);
  }
  std::vector<Fragment> fragments;
};

TEST_F(PublishedFragments, AllSeventyTotalsAndEveryRulesScore) {
  int totals = 0;
  for (const Fragment& f : fragments) {
    for (const auto& row : f.ten_best) {
      const LineScore ours = score_line(f.keys, row.fingers, Hand::right, kMedium, f.end);
      EXPECT_EQ(ours.points, row.score.points) << f.name << " " << text(row.fingers);
      EXPECT_EQ(ours.total(), row.total) << f.name << " " << text(row.fingers);
      EXPECT_TRUE(is_legal_line(f.keys, row.fingers, Hand::right, kMedium, f.end));
      ++totals;
    }
  }
  EXPECT_EQ(totals, 70);
}

TEST_F(PublishedFragments, NothingCheaperIsMissingFromTheLists) {
  for (const Fragment& f : fragments) {
    const Plain plain = plain_search(f.keys, Hand::right, kMedium, f.end, f.last);
    EXPECT_EQ(plain.legal, f.legal) << f.name;
    const int tenth = f.ten_best.back().total;
    for (const auto& [points, found] : plain.all) {
      if (points >= tenth) break;
      EXPECT_TRUE(std::any_of(
          f.ten_best.begin(), f.ten_best.end(),
          [&, &wanted = found](const auto& row) { return text(row.fingers) == wanted; }))
          << f.name << " " << found << " " << points;
    }
    EXPECT_EQ(plain.best->points, f.ten_best.front().total) << f.name;
  }
}

TEST_F(PublishedFragments, TheSearchFindsTheBestAndItsMirrorImage) {
  for (const Fragment& f : fragments) {
    if (f.end == LineEnd::repeating) continue;
    const auto right = easiest_line(f.keys, Hand::right, kMedium, f.last);
    ASSERT_TRUE(right) << f.name;
    EXPECT_EQ(right->points, f.ten_best.front().total) << f.name;
    const auto left = easiest_line(mirrored(f.keys), Hand::left, kMedium, f.last);
    ASSERT_TRUE(left) << f.name;
    EXPECT_EQ(left->fingers, right->fingers) << f.name;
    EXPECT_EQ(left->points, right->points) << f.name;
  }
}

std::vector<HandSize> hands() {
  return {HandSize::small(), HandSize::medium(), HandSize::large(),
          *HandSize::from_span(Millimetre(1300)), *HandSize::from_span(Millimetre(2010))};
}

TEST(LineFingering, AgreesWithTryingEverything) {
  std::mt19937 random(1);
  const auto upto = [&](unsigned most) { return static_cast<int>(random() % (most + 1)); };
  int impossible = 0;
  for (int i = 0; i < 300; ++i) {
    Keys line{PianoKey(36 + upto(23))};
    const std::size_t length = 1 + static_cast<std::size_t>(upto(4));
    while (line.size() < length) {
      const int leap = upto(5) == 0 ? upto(30) - 15 : upto(10) - 5;
      line.push_back(PianoKey(line.back().number() + leap));
    }
    const Hand hand = upto(1) == 0 ? Hand::left : Hand::right;
    const LineSpans spans = LineSpans::of(hands()[static_cast<std::size_t>(upto(4))]);
    std::optional<Finger> last;
    if (upto(2) == 0) last = Finger(1 + upto(4));
    const Plain plain = plain_search(line, hand, spans, LineEnd::open, last);
    const auto found = easiest_line(line, hand, spans, last);
    ASSERT_EQ(found.has_value(), plain.best.has_value()) << i;
    if (!found) {
      ++impossible;
      continue;
    }
    EXPECT_EQ(found->points, plain.best->points) << i;
    EXPECT_EQ(text(found->fingers), text(plain.best->fingers)) << i;
  }
  EXPECT_GT(impossible, 0);
}

// MaxComf = MaxPrac - 2; MinComf = MinPrac + 2 with the thumb, else MinPrac; without the thumb MaxRel is twice the
// distance of the fingers and MinRel one less (the rules by which the published table is made).
TEST(LineFingering, ThePublishedTableKeepsItsOwnRules) {
  for (int a = 1; a <= 5; ++a) {
    for (int b = a + 1; b <= 5; ++b) {
      const LineSpan& s = kMedium.span(Finger(a), Finger(b));
      EXPECT_EQ(s.max_comfortable, s.max_practical - Semitones(2));
      EXPECT_EQ(s.min_comfortable, s.min_practical + Semitones(a == 1 ? 2 : 0));
      if (a == 1) continue;
      EXPECT_EQ(s.max_relaxed, Semitones(2 * (b - a)));
      EXPECT_EQ(s.min_relaxed, s.max_relaxed - Semitones(1));
    }
  }
}

TEST(LineFingering, EverySpanIsInOrderAndALargerHandIsNeverNarrower) {
  const std::vector<HandSize> sizes{HandSize::small(), HandSize::medium(), HandSize::large()};
  for (const HandSize& size : hands()) {
    const LineSpans spans = LineSpans::of(size);
    for (int a = 1; a <= 5; ++a) {
      for (int b = a + 1; b <= 5; ++b) {
        const LineSpan& s = spans.span(Finger(a), Finger(b));
        EXPECT_LE(s.min_practical, s.min_comfortable);
        EXPECT_LE(s.min_comfortable, s.max_relaxed);
        EXPECT_LE(s.min_relaxed, s.max_relaxed);
        EXPECT_LE(s.max_relaxed, s.max_comfortable);
        EXPECT_LE(s.max_comfortable, s.max_practical);
      }
    }
  }
  for (std::size_t i = 1; i < sizes.size(); ++i) {
    const LineSpans smaller = LineSpans::of(sizes[i - 1]);
    const LineSpans larger = LineSpans::of(sizes[i]);
    for (int a = 1; a <= 5; ++a) {
      for (int b = a + 1; b <= 5; ++b) {
        const LineSpan& less = smaller.span(Finger(a), Finger(b));
        const LineSpan& more = larger.span(Finger(a), Finger(b));
        EXPECT_LE(more.min_practical, less.min_practical);
        EXPECT_GE(more.max_practical, less.max_practical);
      }
    }
  }
}

// Common practice, no source: a five-finger position needs no other fingers.
TEST(LineFingering, FiveNeighbouringKeysUnderFiveFingers) {
  EXPECT_EQ(text(easiest_line(keys({48, 50, 52, 53, 55}), Hand::right, kMedium)->fingers), "12345");
  EXPECT_EQ(text(easiest_line(keys({48, 50, 52, 53, 55}), Hand::left, kMedium)->fingers), "54321");
}

// Rule 12, which the published examples hardly touch: 1 on one level, 3 for the thumb on a black key passing a finger on
// a white one, nothing the other way round.
TEST(LineFingering, TheThumbPasses) {
  const auto passing = [](const std::vector<int>& line) {
    const LineScore score = score_line(keys(line), fingers("31"), Hand::right, kMedium);
    return score.points[static_cast<std::size_t>(LineRule::thumb_passing)];
  };
  EXPECT_EQ(passing({64, 65}), 1);
  EXPECT_EQ(passing({66, 68}), 1);
  EXPECT_EQ(passing({64, 66}), 3);
  EXPECT_EQ(passing({66, 67}), 0);
  EXPECT_EQ(passing({65, 64}), 0);
}

TEST(LineFingering, ShortLinesAndLinesOutOfReach) {
  EXPECT_TRUE(easiest_line({}, Hand::left, kMedium)->fingers.empty());
  EXPECT_EQ(text(easiest_line(keys({48}), Hand::left, kMedium)->fingers), "1");
  EXPECT_EQ(text(easiest_line(keys({48}), Hand::left, kMedium, Finger(4))->fingers), "4");
  EXPECT_EQ(text(easiest_line(keys({48, 48, 48}), Hand::left, kMedium)->fingers), "111");
  EXPECT_FALSE(easiest_line(keys({36, 52}), Hand::left, kMedium));
  EXPECT_FALSE(easiest_line(keys({36, 51, 53}), Hand::right, kMedium));
}

TEST(LineFingering, ALongLine) {
  Keys line;
  for (int i = 0; i < 5000; ++i) line.push_back(PianoKey(40 + (i * 7) % 12));
  const auto found = easiest_line(line, Hand::left, kMedium);
  ASSERT_TRUE(found);
  EXPECT_TRUE(is_legal_line(line, found->fingers, Hand::left, kMedium));
  EXPECT_EQ(score_line(line, found->fingers, Hand::left, kMedium).total(), found->points);
}

}  // namespace
}  // namespace stillhand::hand
