#include "perform/pattern.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <map>
#include <random>
#include <set>

#include "arrange/arrange.h"
#include "chart/chart.h"
#include "perform/performance.h"
#include "testing/random_songs.h"

namespace stillhand::perform {
namespace {

using arrange::Arrangement;
using arrange::Rung;
using hand::Hand;
using music::Meter;

std::vector<Meter> all_meters() {
  std::vector<Meter> out;
  for (const int lower : {2, 4, 8}) {
    for (int upper = 1; upper <= 12; ++upper) {
      if (const auto meter = Meter::make(upper, lower)) out.push_back(*meter);
    }
  }
  return out;
}

Arrangement arranged(const chart::Song& song, std::optional<Rung> rung) {
  arrange::Choices choices;
  choices.hand = hand::HandSize::large();
  choices.rung = rung;
  const auto a = arrange::arrange(song, choices);
  EXPECT_TRUE(a) << (a ? "" : render(a.error().front()));
  return *a;
}

chart::Song song_of(const std::string& text) {
  const auto parsed = chart::parse(text, "song.stillhand");
  EXPECT_TRUE(parsed) << (parsed ? "" : render(parsed.error().front()));
  return parsed->song;
}

PatternPlan everywhere(const Arrangement& a, const Pattern& pattern) {
  PatternPlan plan;
  for (const auto& s : arrange::build_up(a.song, a.bars))
    plan.sections.push_back({s.first_bar, s.section, pattern, ""});
  plan.uses_pedal = true;
  return plan;
}

// Whatever the pattern: durations, silence, hands apart, every chord struck, the pedal's order.
void check_sound(const Arrangement& a, const Performance& p) {
  std::map<std::pair<Hand, int>, Tick> free_from;
  for (const Note& n : p.notes) {
    ASSERT_GT(n.duration, Tick(0));
    Tick& free = free_from[{n.hand, n.key.number()}];
    ASSERT_LE(free, n.start) << "a key is struck while it is down";
    free = n.start + n.duration;
    ASSERT_GE(n.start, p.count_in);
    ASSERT_LE(free, p.end);
  }
  for (const Note& left : p.notes) {
    if (left.hand != Hand::left) continue;
    for (const Note& right : p.notes) {
      if (right.hand != Hand::right || right.start >= left.start + left.duration ||
          left.start >= right.start + right.duration)
        continue;
      ASSERT_LT(left.key, right.key) << "the hands meet";
    }
  }
  for (const chart::PlayedChord& chord : a.chords) {
    const Tick from = p.count_in + chord.start;
    const Tick to = from + chord.duration;
    bool sounds = false;
    for (const Note& n : p.notes) sounds = sounds || (n.start < to && n.start + n.duration > from);
    ASSERT_EQ(sounds, chord.chord.has_value());
  }
  Pedal now = Pedal::up;
  std::optional<Tick> last;
  for (const At<Pedal>& event : p.pedal) {
    ASSERT_NE(event.value, now);
    ASSERT_TRUE(!last || *last < event.start);
    now = event.value;
    last = event.start;
  }
  ASSERT_EQ(now, Pedal::up) << "the pedal stays down at the end";
}

// The moment a chord's first key sounds the pedal is up or goes up, and it is down again before the chord ends.
void check_pedal(const Arrangement& a, const Performance& p) {
  const auto state = [&](Tick at) {
    Pedal now = Pedal::up;
    for (const At<Pedal>& event : p.pedal) {
      if (event.start <= at) now = event.value;
    }
    return now;
  };
  for (const chart::PlayedChord& chord : a.chords) {
    const Tick from = p.count_in + chord.start;
    const Tick to = from + chord.duration;
    if (!chord.chord) {
      EXPECT_EQ(state(from), Pedal::up);
      continue;
    }
    bool was_up = false;
    bool was_down = false;
    for (const At<Pedal>& event : p.pedal) {
      if (event.start < from - music::kQuarter || event.start >= to) continue;
      was_up = was_up || event.value == Pedal::up;
      was_down = was_down || event.value == Pedal::down;
    }
    EXPECT_TRUE(was_down);
    EXPECT_TRUE(was_up || chord.start == Tick(0) || state(from - Tick(1)) == Pedal::up);
  }
}

TEST(Patterns, TheDataFileIsWhole) {
  std::set<std::string> names;
  for (const Pattern& pattern : all_patterns()) {
    SCOPED_TRACE(pattern.name);
    EXPECT_TRUE(names.insert(pattern.name).second);
    EXPECT_FALSE(pattern.says.empty());
    EXPECT_FALSE(pattern.skills.empty());
    EXPECT_FALSE(pattern.paces.empty());
    EXPECT_FALSE(pattern.forms.empty());
    EXPECT_EQ(find_pattern(pattern.name), &pattern);
    if (!pattern.instead.empty()) {
      ASSERT_NE(find_pattern(pattern.instead), nullptr);
      for (const Meter meter : all_meters()) {
        EXPECT_LE(pattern.bars(meter).has_value(),
                  find_pattern(pattern.instead)->bars(meter).has_value());
      }
    }
    for (const PatternForm& form : pattern.forms) {
      for (const Meter meter : form.meters) EXPECT_TRUE(pattern.bars(meter)) << text(meter);
    }
  }
  for (const Meter meter : all_meters()) EXPECT_TRUE(plain_pulse().bars(meter));
  for (const char* meter : {"4/4", "3/4", "6/8", "2/4", "5/4"}) {
    int claimed = 0;
    for (const Pattern& pattern : all_patterns())
      claimed += pattern.bars(*music::parse_meter(meter)) ? 1 : 0;
    EXPECT_GE(claimed, 8) << meter;
  }
}

TEST(Patterns, EveryPatternInEveryMeterItClaims) {
  int played = 0;
  for (const Meter meter : all_meters()) {
    const int counts = meter.counts().value();
    std::string bars = "| C | F | G7 | Am |\n| C5 | N.C. | Dm7b5 | C |\n";
    if (counts == 2) bars += "| C G | F Am | C | C |\n";
    if (counts == 4) bars += "| C - - G | - F - - | C G F C | (C G) - (F G) C | C | C |\n";
    if (counts == 3) bars += "| C - G | - F - | C G F |\n";
    const chart::Song song = song_of("key C\nmeter " + text(meter) + "\ntempo 60\nsection A\n" +
                                     (counts > 1 ? "pick-up | G |\n" : "") + bars);
    for (const auto rung : {std::optional<Rung>(), std::optional(Rung::root_fifth_octave)}) {
      const Arrangement a = arranged(song, rung);
      for (const Pattern& pattern : all_patterns()) {
        if (!pattern.bars(meter)) continue;
        SCOPED_TRACE(pattern.name + " in " + text(meter));
        const Performance p = perform(a, everywhere(a, pattern));
        check_sound(a, p);
        check_pedal(a, p);
        ++played;
      }
    }
  }
  EXPECT_GT(played, 200);
}

TEST(Patterns, RandomSongsInEveryPattern) {
  std::mt19937 random(3);
  for (int round = 0; round < 40; ++round) {
    const chart::Song song = testing::random_song(random);
    arrange::Choices choices;
    choices.hand = hand::HandSize::large();
    choices.rung = static_cast<Rung>(round % 6);
    const auto a = arrange::arrange(song, choices);
    if (!a) continue;
    for (const Pattern& pattern : all_patterns()) {
      SCOPED_TRACE(pattern.name);
      check_sound(*a, perform(*a, everywhere(*a, pattern)));
    }
  }
}

struct Onset {
  int tick;  // from the song's first
  std::vector<int> keys;
  friend bool operator==(const Onset&, const Onset&) = default;
};
std::vector<int> starts(const Performance& p, Hand hand) {
  std::set<int> out;
  for (const Note& n : p.notes) {
    if (n.hand == hand) out.insert((n.start - p.count_in).value());
  }
  return {out.begin(), out.end()};
}
std::vector<int> left_keys(const Performance& p) {
  std::vector<int> out;
  for (const Note& n : p.notes) {
    if (n.hand == Hand::left) out.push_back(n.key.number());
  }
  return out;
}

Performance played(const std::string& text, std::optional<Rung> rung = {}) {
  const Arrangement a = arranged(song_of(text), rung);
  const auto plan = plan_patterns(a, {});
  EXPECT_TRUE(plan) << (plan ? "" : render(plan.error().front()));
  return perform(a, *plan);
}

TEST(Patterns, OomPahPahAndAChordInsideTheBar) {
  const Performance p =
      played("key C\nmeter 3/4\npattern oom-pah-pah\nsection A\n| C | C - G | C |\n");
  EXPECT_THAT(starts(p, Hand::left), ::testing::ElementsAre(0, 2880, 4800, 5760));
  EXPECT_THAT(starts(p, Hand::right), ::testing::ElementsAre(960, 1920, 3840, 4800, 6720, 7680));
}

TEST(Patterns, APushComesAnEighthEarlyAndThePedalWithIt) {
  const Performance p =
      played("key C\npattern pushed whole notes\nsection A\n| C | F | N.C. | C |\n");
  EXPECT_THAT(starts(p, Hand::right), ::testing::ElementsAre(0, 3360, 11520));
  EXPECT_THAT(starts(p, Hand::left), ::testing::ElementsAre(0, 3360, 11520));
  std::vector<std::pair<int, Pedal>> pedal;
  for (const auto& event : p.pedal)
    pedal.emplace_back((event.start - p.count_in).value(), event.value);
  using Event = std::pair<int, Pedal>;
  EXPECT_THAT(pedal, ::testing::ElementsAre(Event(120, Pedal::down), Event(3360, Pedal::up),
                                            Event(3480, Pedal::down), Event(7680, Pedal::up),
                                            Event(11640, Pedal::down), Event(15360, Pedal::up)));
}

TEST(Patterns, RollingFallsBackToWhatIsThere) {
  const std::string text = "key C\nmeter 6/8\ntempo 50\npattern rolling\nsection A\n| C | C |\n";
  const Performance wide = played(text, Rung::root_fifth_octave);
  const auto keys = left_keys(wide);
  ASSERT_EQ(keys.size(), 12U);
  const int c = keys[0];
  EXPECT_THAT(std::vector<int>(keys.begin(), keys.begin() + 6),
              ::testing::ElementsAre(c, c + 7, c + 12, c + 7, c + 12, c + 7));
  // No figure at all: the bass is struck once and held, never hammered.
  EXPECT_LE(left_keys(played(text, Rung::position)).size(), 4U);
}

TEST(Patterns, TheChartsOwnPatternComesFirst) {
  const Performance p = played(
      "key C\npattern boom-chick\nleft | bass - - - |\nright | rest rest rest chord |\n"
      "pattern boom-chick\nsection A\n| C | F |\n");
  EXPECT_THAT(starts(p, Hand::right), ::testing::ElementsAre(2880, 6720));
  EXPECT_THAT(starts(p, Hand::left), ::testing::ElementsAre(0, 3840));
}

std::string refusal(const std::string& text, const PatternChoice& choice = {}) {
  const Arrangement a = arranged(song_of(text), {});
  const auto plan = plan_patterns(a, choice);
  return plan ? "" : render(plan.error().front());
}

TEST(Patterns, RefusalsSayWhyAndWhere) {
  EXPECT_EQ(refusal("key C\npattern bom-chick\nsection A\n| C |\n"),
            "song.stillhand:2:9: error: there is no pattern `bom-chick`\n"
            "  did you mean `boom-chick`?");
  EXPECT_EQ(refusal("key C\nmeter 7/8\nsection A\npattern rolling\n| C |\n"),
            "song.stillhand:4:9: error: the pattern `rolling` has no bar of 7/8\n"
            "  in 7/8 there are `whole notes`, `plain pulse`");
  EXPECT_EQ(
      refusal("key C\ntempo 150\nsection A\npattern eighth pulse\n| C |\n"),
      "song.stillhand:4:9: error: `eighth pulse` at tempo 150 strikes the right hand's chords "
      "5.0 times a second; 4.0 is the most\n"
      "  choose a pattern of fewer strokes, or a slower tempo");
}

constexpr std::string_view kRocking =
    "key C\npattern rocking\nleft | bass - octave - |\nright | chord - - - |\n"
    "section Verse\n| C | F |\nsection Chorus\npattern rocking\n| G | C |\n";

Arrangement arranged_for(const chart::Song& song, const hand::HandSize& hand,
                         const PatternChoice& choice = {}) {
  arrange::Choices choices;
  choices.hand = hand;
  choices.section_rungs = wanted_rungs(song, choice, hand);
  return *arrange::arrange(song, choices);
}

TEST(Patterns, EachSectionHasTheRungOfItsOwnPattern) {
  const chart::Song song = song_of(std::string(kRocking));
  EXPECT_EQ(wanted_rungs(song, {}, hand::HandSize::large()),
            (std::map<std::size_t, Rung>{{1, Rung::octave}}));
  EXPECT_EQ(wanted_rungs(song, {.name = "rolling"}, hand::HandSize::small()),
            (std::map<std::size_t, Rung>{{0, Rung::root_and_fifth}, {1, Rung::root_and_fifth}}));
  EXPECT_TRUE(wanted_rungs(song, {.name = "broken chord"}, hand::HandSize::large()).empty());
  const Arrangement a = arranged_for(song, hand::HandSize::large());
  for (std::size_t i = 0; i < a.chords.size(); ++i)
    EXPECT_EQ(a.left.bass[i]->rung, i < 2 ? Rung::position : Rung::octave) << i;
}

TEST(Patterns, AMissingToneFallsBackWithARemark) {
  const chart::Song song = song_of(std::string(kRocking));
  EXPECT_TRUE(plan_patterns(arranged_for(song, hand::HandSize::large()), {})->remarks.empty());
  const auto plan = plan_patterns(arranged_for(song, hand::HandSize::small()), {});
  ASSERT_TRUE(plan);
  ASSERT_EQ(plan->remarks.size(), 1U);
  EXPECT_EQ(render(plan->remarks.front()),
            "song.stillhand:8:9: warning: `rocking` wants the left hand's octave, which `Chorus` "
            "does not have; what lies below is played instead\n"
            "  let the left hand play more, if it can reach it, or choose another pattern");
  EXPECT_EQ(plan->sections.back().pattern.name, "rocking");
  const Arrangement plain = arranged(song_of("key C\nsection A\n| C |\n"), {});
  EXPECT_EQ(plan_patterns(plain, {.name = "octave pulse"})->remarks.size(), 1U);
  const Arrangement compound = arranged(song_of("key C\nmeter 6/8\nsection A\n| C |\n"), {});
  EXPECT_TRUE(plan_patterns(compound, {.name = "rolling"})->remarks.empty());
}

TEST(Patterns, AThirdIsPlayedWhereTheFigureHasIt) {
  const chart::Song song = song_of(
      "key C\npattern thirds\nleft | bass - third - |\nright | chord - - - |\n"
      // F lies too low for its third.
      "pattern thirds\nsection A\n| C | Dm | F |\n");
  const Arrangement a = arranged_for(song, hand::HandSize::medium());
  const auto plan = plan_patterns(a, {});
  EXPECT_TRUE(plan->remarks.empty());
  EXPECT_THAT(left_keys(perform(a, *plan)), ::testing::ElementsAre(48, 52, 50, 53, 41));
}

TEST(Patterns, SkillsAndFullnessChoose) {
  const chart::Song song = song_of(
      "key C\ntempo 80\nsection Verse\n| C | F |\nsection Chorus\n| G | C |\n"
      "road map Verse, Chorus, Verse, Chorus\n");
  const Arrangement a = arranged(song, {});
  using arrange::Skill;
  const auto names = [&](arrange::Skills skills) {
    std::vector<std::string> out;
    const auto plan = plan_patterns(a, {.name = {}, .skills = skills});
    for (const auto& s : plan->sections) out.push_back(s.pattern.name);
    return out;
  };
  EXPECT_THAT(names({Skill::roots}), ::testing::Each("whole notes"));
  EXPECT_THAT(
      names({Skill::triads, Skill::pulse}),
      ::testing::ElementsAre("whole notes", "quarter pulse", "quarter pulse", "quarter pulse"));
  EXPECT_THAT(
      names({Skill::triads, Skill::pulse, Skill::eighth_pulse}),
      ::testing::ElementsAre("whole notes", "eighth pulse", "quarter pulse", "eighth pulse"));
  EXPECT_FALSE(
      plan_patterns(a, {.name = {}, .skills = arrange::Skills{Skill::triads}})->uses_pedal);
  EXPECT_TRUE(plan_patterns(a, {.name = {}, .skills = arrange::Skills{Skill::triads, Skill::pedal}})
                  ->uses_pedal);
}

TEST(Patterns, PaceAndRung) {
  EXPECT_EQ(pace_of(Tempo(71)), Pace::slow);
  EXPECT_EQ(pace_of(Tempo(72)), Pace::medium);
  EXPECT_EQ(pace_of(Tempo(108)), Pace::medium);
  EXPECT_EQ(pace_of(Tempo(109)), Pace::fast);
  EXPECT_EQ(plain_pulse().rung(), Rung::position);
  EXPECT_EQ(find_pattern("boom-chick")->rung(), Rung::root_and_fifth);
  EXPECT_EQ(find_pattern("rolling")->rung(), Rung::root_fifth_octave);
  EXPECT_EQ(find_pattern("octave pulse")->rung(), Rung::octave);
  EXPECT_EQ(find_pattern("close rolling")->rung(), Rung::root_and_fifth);
}

}  // namespace
}  // namespace stillhand::perform
