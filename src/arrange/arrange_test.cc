#include "arrange/arrange.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <set>

#include "arrange/right_hand_check.h"
#include "chart/chart.h"
#include "testing/build.h"

namespace stillhand::arrange {
namespace {

using music::parse_chord;

chart::Song song(std::string_view body) {
  const std::string text = "title T\nkey C\nmeter 4/4\ntempo 80\n" + std::string(body);
  const auto parsed = chart::parse(text, "song");
  EXPECT_TRUE(parsed) << (parsed ? "" : render(parsed.error().front()));
  return parsed->song;
}

std::string first_error(const Result<Arrangement>& result) {
  EXPECT_FALSE(result);
  return result ? "" : render(result.error().front());
}

std::string keys(const Shape& shape) {
  std::string out;
  for (const hand::ShapeNote& n : shape.notes) out += (out.empty() ? "" : " ") + text(n.pitch);
  return out;
}

const ShapeChoice* find(const Arrangement& a, std::string_view symbol,
                        const std::vector<std::size_t>& sections = {}) {
  for (const ShapeChoice& s : a.right.shapes) {
    if (s.chord == *parse_chord(symbol) && s.sections == sections) return &s;
  }
  return nullptr;
}

TEST(Arrange, AChordAndItsSlashChordShareOneShape) {
  const auto a = arrange(song("section A\n| C | G/B | Am | G | C/E | F | G | C |\n"), {});
  ASSERT_TRUE(a);
  EXPECT_EQ(a->right.shapes.size(), 4U);
  EXPECT_EQ(a->shape_at(1), a->shape_at(3));
  EXPECT_EQ(a->left.bass[1]->pitch.name, *music::parse_note("B"));
  EXPECT_EQ(a->right.status, Status::optimal);
  EXPECT_EQ(a->right.lower_bound, a->right.cost);
}

TEST(Arrange, TheRootIsLeftOutOnlyWhereTheLeftHandAlwaysHasIt) {
  const auto has_root = [](const Arrangement& a, const char* symbol) {
    const ShapeChoice* s = find(a, symbol);
    return s != nullptr &&
           std::any_of(s->shape.notes.begin(), s->shape.notes.end(), [](const hand::ShapeNote& n) {
             return n.degree == music::Degree{1, 0};
           });
  };
  Choices rootless;
  rootless.manner.right = RightHandWeights{};
  rootless.manner.right.missing_fifth = 10;
  rootless.manner.right.extra_note = 10;
  const auto plain = arrange(song("section A\n| C | G7 | C |\n"), rootless);
  const auto slash = arrange(song("section A\n| C | G7/D | C | G7 |\n"), rootless);
  ASSERT_TRUE(plain);
  ASSERT_TRUE(slash);
  EXPECT_FALSE(has_root(*plain, "G7"));
  EXPECT_TRUE(has_root(*slash, "G7"));
}

TEST(Arrange, PinsAreKeptAndNeverLowerTheCost) {
  const char* body = "section A\n| C | G | Am | F |\n";
  const auto free = arrange(song(body), {});
  const auto pinned = arrange(song(std::string(body) + "shape F  C4 F4 A4\n"), {});
  const auto fingered = arrange(song(std::string(body) + "shape F  C4 F4 A4  1 2 4\n"), {});
  ASSERT_TRUE(free && pinned && fingered);
  EXPECT_EQ(keys(find(*pinned, "F")->shape), "C4 F4 A4");
  EXPECT_EQ(find(*pinned, "F")->shape.notes[1].finger,
            Finger(3));  // customary where no fingers are given
  EXPECT_TRUE(find(*pinned, "F")->is_pinned);
  EXPECT_EQ(find(*fingered, "F")->shape.notes[2].finger, Finger(4));
  EXPECT_GE(pinned->right.cost, free->right.cost);
}

TEST(Arrange, APinInOneSectionMakesAShapeOfItsOwnThere) {
  const auto a = arrange(
      song("section A\n| C | F | G | C |\nsection B\n| F | G | C | C |\nshape F  C4 F4 A4  in B\n"),
      {});
  ASSERT_TRUE(a);
  ASSERT_NE(find(*a, "F", {1}), nullptr);
  ASSERT_NE(find(*a, "F"), nullptr);
  EXPECT_EQ(keys(find(*a, "F", {1})->shape), "C4 F4 A4");
}

TEST(Arrange, UnplayablePinsAreRefusedWithPlaceAndRemedy) {
  const char* body = "section A\n| C | F |\n";
  EXPECT_EQ(first_error(arrange(song(std::string(body) + "shape C  E3 G3 C5\n"), {})),
            "song:7:7: error: the pinned shape of C cannot be played: its keys are too far apart "
            "for a medium hand\n"
            "  choose keys that lie closer together");
  EXPECT_EQ(
      first_error(arrange(song(std::string(body) + "shape C  C3 E3 G3\n"), {})),
      "song:7:7: error: the pinned shape of C cannot be played: it leaves the right hand's range\n"
      "  keep it between E3 and D5");
  EXPECT_EQ(first_error(arrange(song(std::string(body) + "shape C  C4 E4 C5  1 2 3\n"), {})),
            "song:7:7: error: the pinned shape of C cannot be played: these fingers do not reach "
            "in a medium hand\n"
            "  leave the fingers out to have them found, or choose other keys");
}

TEST(Arrange, HandsNeverMeetWhateverThePin) {
  const auto a =
      arrange(song("section A\n| C | F | G7 | Am |\nshape C  E3 G3 C4\nshape F  F3 A3 C4\n"), {});
  ASSERT_TRUE(a);
  for (std::size_t i = 0; i < a->chords.size(); ++i) {
    EXPECT_LT(a->left.bass[i]->pitch.key(), a->shape_at(i)->lowest());
  }
}

TEST(Arrange, PricesOfTheOtherShapes) {
  const chart::Song s = song("section A\n| C | G | Am | F |\n");
  const auto a = arrange(s, {});
  const auto list = prices(s, {}, *parse_chord("G/B"));
  ASSERT_TRUE(a && list);
  EXPECT_EQ(list->front().more, Cost(0));
  EXPECT_EQ(list->front().shape, find(*a, "G")->shape);
  EXPECT_EQ(list->size(), find(*a, "G") != nullptr
                              ? hand::shapes(*parse_chord("G"), hand::HandSize::medium(),
                                             hand::kRightHandRegister, hand::RootIn::left_hand)
                                    .size()
                              : 0U);
  for (const Price& p : *list) {
    EXPECT_GE(p.more, Cost(0));
    EXPECT_EQ(p.cost, a->right.cost + p.more);
    chart::Song pinned = s;
    chart::Pin pin{*parse_chord("G"), {}, {}, {}, {}};
    for (const hand::ShapeNote& n : p.shape.notes) {
      pin.pitches.push_back(n.pitch);
      pin.fingers.push_back(n.finger.number());
    }
    pinned.pins.push_back(pin);
    EXPECT_EQ(arrange(pinned, {})->right.cost, p.cost);
  }
  EXPECT_FALSE(prices(s, {}, *parse_chord("Ebm")));
}

// The checker must be able to complain: spoil a good answer in every way it knows.
TEST(Arrange, TheCheckerSeesWhatIsWrong) {
  const auto good = arrange(song("section A\n| C | G | Am | F | C/E | F | G7 | C |\n"), {});
  ASSERT_TRUE(good);
  ASSERT_TRUE(check_right_hand(*good, {}).empty());
  const auto complains = [&](auto spoil) {
    Arrangement bad = *good;
    spoil(bad);
    return !check_right_hand(bad, {}).empty();
  };
  EXPECT_TRUE(complains([](Arrangement& a) { a.right.cost += Cost(1); }));
  EXPECT_TRUE(complains([](Arrangement& a) { a.right.lower_bound -= Cost(1); }));
  EXPECT_TRUE(complains(
      [](Arrangement& a) { std::swap(a.right.shapes[0].shape, a.right.shapes[1].shape); }));
  EXPECT_TRUE(
      complains([](Arrangement& a) { a.right.shapes[0].shape.notes[1].finger = Finger(4); }));
  EXPECT_TRUE(
      complains([](Arrangement& a) { a.right.shapes[0].shape.notes[2].pitch.octave += 1; }));
  EXPECT_TRUE(complains([](Arrangement& a) {
    std::swap(a.right.shapes[0].shape.notes[0], a.right.shapes[0].shape.notes[1]);
  }));
}

TEST(Manner, BuiltInMannersAreReadFromTheirFiles) {
  EXPECT_EQ(Manner::home().name, "home");
  EXPECT_EQ(Manner::closest().name, "closest");
  EXPECT_FALSE(Manner::named("other"));
}

TEST(Manner, BadFilesAreRefusedWithEveryFault) {
  const auto message = [](std::string_view text) {
    const auto m = Manner::read(text, "m.json");
    EXPECT_FALSE(m);
    return m ? std::string() : m.error().front().message;
  };
  EXPECT_EQ(message("no"), "this is not a manner file: it is not JSON");
  EXPECT_EQ(message("{\"format\":\"stillhand-manner-9\",\"name\":\"x\",\"right_hand\":{}}"),
            "the manner's format is not `stillhand-manner-1`");
  EXPECT_EQ(message("{\"format\":\"stillhand-manner-1\",\"name\":\"x\",\"right_hand\":{}}"),
            "the weight `stretch` is missing");
  EXPECT_EQ(
      message(
          "{\"format\":\"stillhand-manner-1\",\"name\":\"x\",\"name\":\"y\",\"right_hand\":{}}"),
      "`name` is written twice");
}

}  // namespace
}  // namespace stillhand::arrange
