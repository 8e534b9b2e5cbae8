#include "write/moves_sheet_layout.h"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <cstdlib>
#include <fstream>
#include <map>
#include <set>
#include <sstream>

#include "arrange/arrange.h"
#include "teach/words.h"
#include "testing/corpus.h"
#include "write/demo_lesson.h"
#include "write/moves_sheet_picture.h"
#include "write/sheet.h"
#include "write/sheet_checks.h"
#include "write/sheet_hands.h"

namespace stillhand::write {
namespace {

using test::all_text;
using test::collisions;
using test::EvenMeasurer;
using test::fonts;
using test::outside;

// The lesson with moves that say how hard they are; some of them optional.
teach::Lesson with_ranked_moves(teach::Lesson lesson) {
  std::size_t i = 0;
  for (teach::Move& move : lesson.moves) {
    const hand::Shape& from = lesson.shapes.at(move.from).shape;
    const hand::Shape& to = lesson.shapes.at(move.to).shape;
    move.difficulty = arrange::move_difficulty(from, to);
    move.shortest = arrange::Milliseconds(900 + 100 * static_cast<int>(i % 7));
    move.needed = arrange::Throughput(move.difficulty.index.value() * 1000 / move.shortest.value());
    move.is_optional = i >= lesson.moves.size() * 3 / 4;
    ++i;
  }
  return lesson;
}

std::vector<std::string> texts(const SheetPages& pages) {
  std::vector<std::string> out;
  std::istringstream in(all_text(pages));
  for (std::string line; std::getline(in, line);) out.push_back(line);
  return out;
}

// All of the sheet on one line.
std::string said(const teach::Lesson& lesson) {
  std::string out = all_text(lay_out_moves(lesson, for_moves(SheetStyle()), EvenMeasurer()));
  std::replace(out.begin(), out.end(), '\n', ' ');
  return out;
}

void expect_clean(const teach::Lesson& lesson, Paper paper, const std::string& which) {
  const SheetStyle style = for_moves(style_for(paper));
  const SheetPages pages = lay_out_moves(lesson, style, fonts());
  ASSERT_EQ(collisions(pages, style), std::vector<std::string>()) << which;
  ASSERT_EQ(outside(pages, style), std::vector<std::string>()) << which;
}

TEST(MovesLayout, NothingOverlapsOrLeavesTheMargins) {
  for (const Paper paper : {Paper::a4, Paper::letter}) {
    for (const music::NoteNames names : music::all_note_names()) {
      teach::Lesson lesson = with_ranked_moves(test::demo_lesson());
      lesson.note_names = names;
      expect_clean(lesson, paper, std::string(music::name(names)));
    }
  }
}

TEST(MovesLayout, NothingOverlapsWhateverTheLesson) {
  for (unsigned seed = 1; seed <= 40; ++seed) {
    teach::Lesson lesson = with_ranked_moves(test::random_lesson(seed));
    lesson.note_names = music::all_note_names()[seed % 3];
    expect_clean(lesson, seed % 2 == 0 ? Paper::a4 : Paper::letter, fmt::format("seed {}", seed));
  }
}

// Real songs: McGill Billboard 2.0 (Burgoyne, Wild & Fujinaga 2011), OpenEWLD (Simonetta 2018).
TEST(MovesLayout, RealSongsComeOutWhole) {
  if (!testing::data_folder()) GTEST_SKIP() << testing::kNoData;
  constexpr std::size_t kEvery = 20;
  const auto songs = testing::read_whole_corpus();
  for (std::size_t i = 0; i < songs.size(); i += kEvery) {
    const auto arrangement = arrange::arrange(songs[i], {});
    ASSERT_TRUE(arrangement) << songs[i].title;
    expect_clean(teach::teach(*arrangement), Paper::a4, songs[i].title);
  }
}

TEST(MovesLayout, EveryShapeAndEveryMoveStandsOnIt) {
  const teach::Lesson lesson = with_ranked_moves(test::demo_lesson());
  const auto all = texts(lay_out_moves(lesson, for_moves(SheetStyle()), EvenMeasurer()));
  for (const auto& taught : lesson.shapes) {
    EXPECT_THAT(all, ::testing::Contains(shown_chord(taught.chord, lesson.note_names)));
  }
  for (const teach::Move& move : lesson.moves) {
    const auto name = [&](std::size_t i) {
      return shown_chord(lesson.shapes[i].chord, lesson.note_names);
    };
    const std::string there = name(move.from) + " to " + name(move.to);
    const std::string back = name(move.to) + " to " + name(move.from) + ", and back";
    EXPECT_THAT(all, ::testing::Contains(::testing::AnyOf(there, there + ", and back", back)));
  }
}

// Pairs of chords in the order in which they stand.
std::vector<std::string> pairs(const teach::Lesson& lesson) {
  std::vector<std::string> out;
  for (const std::string& text :
       texts(lay_out_moves(lesson, for_moves(SheetStyle()), EvenMeasurer()))) {
    if (text.find(" to ") != std::string::npos && text.find(',') == std::string::npos &&
        text.find('.') == std::string::npos)
      out.push_back(text);
    if (text.rfind(", and back") != std::string::npos) out.push_back(text);
    const bool is_heading = text == "Moves" || text.find(" moves") != std::string::npos;
    if (is_heading && text.size() < 20) out.push_back(text);
  }
  return out;
}

TEST(MovesLayout, TheHardestComeFirstAndTheOptionalOnesLast) {
  teach::Lesson lesson = test::demo_lesson();
  lesson.moves.erase(lesson.moves.begin() + 5, lesson.moves.end());
  for (teach::Move& move : lesson.moves) move.words = "";
  lesson.moves[0].needed = arrange::Throughput(300);  // G to A
  lesson.moves[1].needed = arrange::Throughput(500);  // A to D
  lesson.moves[2].needed = arrange::Throughput(400);  // A to Bm
  lesson.moves[3].needed = arrange::Throughput(900);  // G to Asus4
  lesson.moves[3].is_optional = true;
  lesson.moves[4].needed = arrange::Throughput(600);  // Asus4 to A
  lesson.hardest = {4};
  EXPECT_THAT(pairs(lesson),
              ::testing::ElementsAre("The hardest moves", "Asus4 to A", "The other moves", "A to D",
                                     "A to Bm", "G to A", "Optional moves", "G to Asus4"));
  lesson.hardest = {};
  lesson.moves[3].is_optional = false;
  EXPECT_THAT(pairs(lesson), ::testing::ElementsAre("Moves", "G to Asus4", "Asus4 to A", "A to D",
                                                    "A to Bm", "G to A"));
}

TEST(MovesLayout, AMoveAndItsWayBackAreOnePicture) {
  teach::Lesson lesson = test::demo_lesson();
  teach::Move there = lesson.moves[0];
  teach::Move back = there;
  std::swap(back.from, back.to);
  back.words = "The way back.";
  back.times = 1;
  back.shortest = arrange::Milliseconds(1840);
  back.difficulty.index = arrange::Millibits(2149);
  back.needed = arrange::Throughput(1200);
  lesson.moves = {there, back};
  EXPECT_THAT(pairs(lesson), ::testing::ElementsAre("Moves", "A to G, and back"));
  const std::string all = said(lesson);
  for (const char* expected : {"once, back 7 times; 1.8 s for it", "The way back.",
                               "Back: the same, the other way round."}) {
    EXPECT_THAT(all, ::testing::HasSubstr(expected));
  }
}

TEST(MovesLayout, AChordWithTwoShapesIsToldByItsInversion) {
  teach::Lesson lesson = test::demo_lesson();
  lesson.shapes = {test::shape("D", "A3 D4 F#4", {1, 3, 5}),
                   test::shape("D", "F#3 A3 D4", {1, 2, 5})};
  teach::Move move;
  move.to = 1;
  move.times = 2;
  lesson.moves = {move};
  EXPECT_THAT(said(lesson), ::testing::HasSubstr("D (second inversion) to D (first inversion)"));
}

TEST(MovesLayout, ALessonWithoutShapesIsStillASheet) {
  teach::Lesson lesson{};
  EXPECT_EQ(lay_out_moves(lesson, for_moves(SheetStyle()), EvenMeasurer()).pages.size(), 1U);
}

TEST(MovesLayout, TypeIsAsLargeAsAMusicStandNeeds) {
  const SheetPages pages =
      lay_out_moves(with_ranked_moves(test::demo_lesson()), for_moves(SheetStyle()), fonts());
  for (const Marks& page : pages.pages) {
    for (const Mark& mark : page) {
      const auto* text = std::get_if<TextMark>(&mark);
      if (text == nullptr) continue;
      EXPECT_GE(text->font.size, 7.5) << text->text;
    }
  }
}

// What a picture of a move shows, told from its marks alone.
struct Shown {
  std::multiset<std::string> before,
      after;  // "D#3": white on black is before, black on white after
  int arrows = 0;
  std::vector<DiscMark> discs;  // the largest about each centre
};

Shown shown(const KeyboardPicture& picture, const KeyboardFrame& frame) {
  Shown out;
  int rules = 0;
  std::map<std::pair<long, long>, DiscMark> discs;
  for (const Mark& mark : picture.marks) {
    if (const auto* disc = std::get_if<DiscMark>(&mark)) {
      const auto centre = std::make_pair(std::lround(disc->x * 10), std::lround(disc->y * 10));
      const auto [place, is_new] = discs.emplace(centre, *disc);
      if (!is_new && place->second.radius < disc->radius) place->second = *disc;
    }
    if (const auto* rule = std::get_if<RuleMark>(&mark)) {
      const bool is_arrow = rule->ink == Ink::black && std::abs(rule->thickness - 1.3) < 0.01;
      rules += is_arrow ? 1 : 0;
    }
    const auto* text = std::get_if<TextMark>(&mark);
    if (text == nullptr || text->font.face != Face::sans_bold) continue;
    const double x = text->box.left + text->box.width / 2;
    for (music::PianoKey key = frame.window.first; key < frame.end();
         key = key + music::Semitones(1)) {
      if (std::abs(frame.x(key) - x) > 0.05) continue;
      // Keys of different rows of the keyboard may share an x only where none of them is marked twice.
      (text->ink == Ink::paper ? out.before : out.after)
          .insert(fmt::format("{}:{}", key.number(), text->text));
    }
  }
  out.arrows = rules / 3;
  for (const auto& [centre, disc] : discs) out.discs.push_back(disc);
  return out;
}

TEST(MovePicture, ShowsBothShapesWithEveryFingerAndEveryWay) {
  const std::vector<teach::TaughtShape> shapes{
      test::shape("D", "A3 D4 F#4", {1, 3, 5}),        test::shape("G", "G3 B3 D4", {1, 3, 5}),
      test::shape("Em", "G3 B3 E4", {1, 2, 5}),        test::shape("A", "A3 C#4 E4", {1, 3, 5}),
      test::shape("Asus4", "A3 D4 E4", {1, 3, 5}),     test::shape("C#m", "G#3 C#4 E4", {1, 3, 5}),
      test::shape("Em7", "G3 B3 D4 E4", {1, 2, 4, 5}), test::shape("Gb", "Gb3 Bb3 Db4", {1, 3, 5}),
      test::shape("F#", "F#3 A#3 C#4", {1, 2, 5}),     test::shape("C5", "C4 G4", {1, 5})};
  const SheetStyle style = for_moves(SheetStyle());
  for (const auto& from : shapes) {
    for (const auto& to : shapes) {
      const std::string which = from.chord + " to " + to.chord;
      const KeyWindow window = window_over({music::PianoKey(54), music::PianoKey(67)});
      const KeyboardPicture picture = move_picture(window, from.shape, to.shape,
                                                   music::NoteNames::english, 236, style, fonts());
      const Shown on = shown(picture, {window, 236, kNameBand, style.keyboard_height});
      std::multiset<std::string> before, after;
      int arrows = 0;
      for (const auto& note : from.shape.notes) {
        before.insert(fmt::format("{}:{}", note.key().number(), note.finger.number()));
        const auto same_finger = [&](const auto& other) { return other.finger == note.finger; };
        const auto same_key = [&](const auto& other) { return other.key() == note.key(); };
        const auto& next = to.shape.notes;
        const auto goal = std::find_if(next.begin(), next.end(), same_finger);
        const bool is_held = std::any_of(next.begin(), next.end(), same_key);
        arrows += (goal != next.end() ? goal->key() != note.key() : !is_held) ? 1 : 0;
      }
      for (const auto& note : to.shape.notes) {
        const auto& first = from.shape.notes;
        const auto stays = [&](const auto& other) {
          return other.key() == note.key() && other.finger == note.finger;
        };
        const auto was_there = [&](const auto& other) {
          return other.key() == note.key() || other.finger == note.finger;
        };
        if (std::any_of(first.begin(), first.end(), stays)) continue;
        after.insert(fmt::format("{}:{}", note.key().number(), note.finger.number()));
        arrows += std::none_of(first.begin(), first.end(), was_there) ? 1 : 0;
      }
      EXPECT_EQ(on.before, before) << which;
      EXPECT_EQ(on.after, after) << which;
      EXPECT_EQ(on.arrows, arrows) << which;
      for (std::size_t i = 0; i < on.discs.size(); ++i) {
        for (std::size_t j = i + 1; j < on.discs.size(); ++j) {
          const double apart =
              std::hypot(on.discs[i].x - on.discs[j].x, on.discs[i].y - on.discs[j].y);
          EXPECT_GE(apart, on.discs[i].radius + on.discs[j].radius) << which;
        }
      }
    }
  }
}

TEST(MovePicture, AHeldKeyOfTwoSpellingsHasBothNames) {
  const auto from = test::shape("C#m", "G#3 C#4 E4", {1, 3, 5});
  const auto to = test::shape("Gb", "Gb3 Bb3 Db4", {1, 3, 5});
  const KeyWindow window = window_over({music::PianoKey(54), music::PianoKey(67)});
  const KeyboardPicture picture =
      move_picture(window, from.shape, to.shape, music::NoteNames::english, 236,
                   for_moves(SheetStyle()), EvenMeasurer());
  EXPECT_THAT(texts({300, 300, {picture.marks}}), ::testing::Contains("C♯ = D♭"));
}

// Approved by looking at the pages; STILLHAND_UPDATE_GOLDENS=1 writes it anew.
TEST(MovesLayout, IsTheApprovedOne) {
  teach::Lesson lesson = with_ranked_moves(test::demo_lesson());
  lesson.hardest = {0, 5, 3};
  const std::string file = std::string(STILLHAND_SOURCE_DIR) + "/golden/moves_layout.txt";
  const std::string now = text(lay_out_moves(lesson, for_moves(SheetStyle()), EvenMeasurer()));
  if (std::getenv("STILLHAND_UPDATE_GOLDENS") != nullptr) std::ofstream(file) << now;
  std::ifstream in(file);
  std::stringstream approved;
  approved << in.rdbuf();
  EXPECT_EQ(now, approved.str());
}

}  // namespace
}  // namespace stillhand::write
