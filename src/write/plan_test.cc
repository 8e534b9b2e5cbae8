#include "write/plan.h"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <iterator>

#include "arrange/arrange.h"
#include "chart/chart.h"
#include "perform/pattern.h"
#include "teach/plan.h"
#include "testing/golden.h"
#include "write/demo_lesson.h"
#include "write/plan_document.h"
#include "write/sheet_checks.h"
#include "write/sheet_fonts.h"

namespace stillhand::write {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

teach::Lesson lesson_of(const std::string& example,
                        music::NoteNames names = music::NoteNames::english) {
  std::ifstream in(std::string(STILLHAND_SOURCE_DIR) + "/examples/" + example + ".stillhand");
  const std::string text((std::istreambuf_iterator<char>(in)), {});
  const auto parsed = chart::parse(text, example);
  const auto arrangement = arrange::arrange(parsed->song, {});
  return teach::teach(*arrangement, music::Tempo(40), std::nullopt, {}, names);
}

const std::vector<teach::PracticeTrack>& two_tracks() {
  static const std::vector<teach::PracticeTrack> all{
      {.file = "play-along.flac", .tempo = teach::TempoPercent(100)},
      {.file = "play-along-slow.flac", .tempo = teach::TempoPercent(60)}};
  return all;
}

using test::fonts;

TEST(PlanMarkdown, TheTeachersIsTheApprovedOne) {
  testing::expect_golden(STILLHAND_SOURCE_DIR, "plan.md",
                         plan_markdown(lesson_of("lamps-along-the-quay"), {}));
}

TEST(PlanMarkdown, TheStudentsIsTheApprovedOne) {
  testing::expect_golden(STILLHAND_SOURCE_DIR, "practice.md",
                         plan_markdown(lesson_of("lamps-along-the-quay"),
                                       {PlanReader::student, Paper::a4, two_tracks()}));
}

TEST(PlanMarkdown, WhatTheChartSaysIsEscaped) {
  teach::Lesson lesson = test::demo_lesson();
  lesson.title = "*Lamps* <b>_along_</b> [the](quay) #1 `x`";
  EXPECT_THAT(plan_markdown(lesson, {}),
              HasSubstr("# \\*Lamps\\* \\<b\\>\\_along\\_\\</b\\> \\[the\\](quay) \\#1 \\`x\\`: "
                        "teaching plan\n"));
}

TEST(PlanMarkdown, NothingTheChartSaysBeginsAListOrARule) {
  const struct {
    const char* writers;
    const char* written;
  } cases[] = {{"- nobody", "\n\\- nobody\n"},
               {"---", "\n\\---\n"},
               {"+ two friends", "\n\\+ two friends\n"},
               {"1999. A year", "\n1999\\. A year\n"},
               {"1999", "\n1999\n"}};
  for (const auto& one : cases) {
    teach::Lesson lesson = test::demo_lesson();
    lesson.writers = one.writers;
    EXPECT_THAT(plan_markdown(lesson, {}), HasSubstr(one.written));
  }
}

TEST(PlanMarkdown, TheStudentIsNamedAndReadsWhatIsNew) {
  teach::Lesson lesson = test::demo_lesson();
  lesson.student = {
      "Mara", "New for Mara: 2 shapes (Em; Bm).", {"C7 is played as C (not learned yet)"}};
  for (const PlanReader reader : {PlanReader::teacher, PlanReader::student}) {
    const std::string text = plan_markdown(lesson, {reader});
    EXPECT_THAT(text, HasSubstr("plan for Mara\n"));
    EXPECT_THAT(text, HasSubstr("New for Mara: 2 shapes (Em; Bm)."));
    EXPECT_THAT(text, HasSubstr("- C7 is played as C (not learned yet).\n"));
  }
}

TEST(PlanMarkdown, HasTheStudentsNoteNames) {
  const teach::Lesson german = lesson_of("silent-night", music::NoteNames::german);
  const std::string text = plan_markdown(german, {});
  EXPECT_THAT(text, HasSubstr("notes: German (H, B)"));
  EXPECT_THAT(text, HasSubstr("B, two, three, four, five, six"));
  EXPECT_THAT(text, Not(HasSubstr("B♭")));
  EXPECT_THAT(text, Not(HasSubstr("Bb")));
  EXPECT_THAT(plan_markdown(lesson_of("silent-night", music::NoteNames::do_re_mi), {}),
              HasSubstr("the Si♭ below middle Do"));
}

// Every claim carries its number, and every number its source.
TEST(PlanDocument, NumbersAndSourcesFit) {
  for (const PlanReader reader : {PlanReader::teacher, PlanReader::student}) {
    const std::string text =
        plan_markdown(lesson_of("amazing-grace"), {reader, Paper::a4, two_tracks()});
    for (int number = 1; number <= 9; ++number) {
      static const std::array<const char*, 10> kRaised{"⁰", "¹", "²", "³", "⁴",
                                                       "⁵", "⁶", "⁷", "⁸", "⁹"};
      const bool is_used =
          text.find(kRaised[static_cast<std::size_t>(number)]) != std::string::npos;
      const bool is_told = text.find(fmt::format("\n- **{}** ", number)) != std::string::npos;
      EXPECT_EQ(is_used, is_told) << number;
    }
  }
}

std::string output(const std::string& command) {
  std::string out;
  FILE* pipe = popen((command + " 2>/dev/null").c_str(), "r");
  if (pipe == nullptr) return out;
  std::array<char, 4096> buffer;
  while (const std::size_t got = fread(buffer.data(), 1, buffer.size(), pipe))
    out.append(buffer.data(), got);
  pclose(pipe);
  return out;
}

std::string words_of(std::string text, const std::string& foot) {
  // Feet stand between the lines of a paragraph that goes on overleaf.
  for (std::size_t at = text.find(foot); at != std::string::npos; at = text.find(foot)) {
    std::size_t end = text.find('\n', at);
    end = text.find('\n', end + 1);
    text.erase(at, std::min(end, text.size()) - at);
  }
  std::string out;
  for (const char c : text) {
    const bool is_space = c == ' ' || c == '\n' || c == '\f';
    if (!is_space) out += c;
  }
  return out;
}

struct TextsInOrder {
  std::vector<std::string> all;
  void operator()(const PlanHeading& part) { all.insert(all.end(), {part.text, part.after}); }
  void operator()(const PlanStep& part) { all.insert(all.end(), {part.text, part.after}); }
  void operator()(const PlanParagraph& part) { all.push_back(part.text); }
  void operator()(const PlanSpeech& part) {
    all.insert(all.end(), part.sentences.begin(), part.sentences.end());
  }
  void operator()(const PlanCounts& part) {
    for (const auto& line : part.lines) all.insert(all.end(), line.begin(), line.end());
  }
  void operator()(const PlanPoints& part) {
    all.insert(all.end(), part.points.begin(), part.points.end());
  }
  void operator()(const PlanRows& part) {
    for (const PlanRow& row : part.rows) all.insert(all.end(), {row.label, row.text});
  }
  void operator()(const PlanShapes&) {}
};

TEST(PlanPdf, SaysEverythingInReadingOrder) {
  if (std::system("pdftotext -v > /dev/null 2>&1") != 0)
    GTEST_SKIP() << "pdftotext is missing: install poppler-utils";
  const teach::Lesson lesson = lesson_of("lamps-along-the-quay");
  for (const PlanReader reader : {PlanReader::teacher, PlanReader::student}) {
    const PlanDocument document = reader == PlanReader::teacher
                                      ? teacher_document(lesson)
                                      : student_document(lesson, two_tracks());
    const std::string file = std::string(STILLHAND_BINARY_DIR) + "/plan-order.pdf";
    std::ofstream(file, std::ios::binary)
        << plan_pdf(lesson, {reader, Paper::letter, two_tracks()}).value();
    const std::string foot = document.title + ": " + document.kind + "\n";
    const std::string text = words_of(output("pdftotext -raw " + file + " -"), foot);
    TextsInOrder texts{{document.title, document.kind, document.writers, document.facts}};
    for (const PlanPart& part : document.parts) std::visit(texts, part);
    std::size_t at = 0;
    for (const std::string& expected : texts.all) {
      const std::string wanted = words_of(expected, foot);
      const std::size_t found = text.find(wanted, at);
      ASSERT_NE(found, std::string::npos) << expected << "\nafter\n" << text.substr(at, 300);
      at = found + wanted.size();
    }
    EXPECT_THAT(output("pdfinfo " + file), HasSubstr("612 x 792 pts (letter)"));
  }
}

TEST(PlanPdf, NothingOverlapsOrLeavesTheMargins) {
  for (const char* song :
       {"lamps-along-the-quay", "silent-night", "amazing-grace", "god-rest-ye-merry"}) {
    const teach::Lesson lesson = lesson_of(song);
    for (const PlanReader reader : {PlanReader::teacher, PlanReader::student}) {
      for (const Paper paper : {Paper::a4, Paper::letter}) {
        const SheetStyle style = style_for(paper);
        const SheetPages pages = lay_out_plan(lesson, {reader, paper, two_tracks()}, fonts());
        EXPECT_EQ(test::collisions(pages, style), std::vector<std::string>()) << song;
        EXPECT_EQ(test::outside(pages, style), std::vector<std::string>()) << song;
      }
    }
  }
}

TEST(PlanPdf, NothingOverlapsWhateverTheLesson) {
  for (unsigned seed = 1; seed <= 12; ++seed) {
    const teach::Lesson lesson = test::random_lesson(seed);
    for (const PlanReader reader : {PlanReader::teacher, PlanReader::student}) {
      const SheetPages pages = lay_out_plan(lesson, {reader}, fonts());
      const SheetStyle style = style_for(Paper::a4);
      ASSERT_EQ(test::collisions(pages, style), std::vector<std::string>()) << "seed " << seed;
      ASSERT_EQ(test::outside(pages, style), std::vector<std::string>()) << "seed " << seed;
    }
  }
}

// Lessons that no arrangement makes: sections of one name, moves from a shape to itself, places of no section.
TEST(PlanDocument, EverythingIsIntroducedOnceWhateverTheLesson) {
  for (unsigned seed = 1; seed <= 100; ++seed) {
    const teach::Lesson lesson = test::random_lesson(seed);
    const teach::Plan plan = teach::teaching_plan(lesson);
    std::vector<std::size_t> shapes, moves, positions, sections;
    const auto collect = [&](const teach::Step& step) {
      shapes.insert(shapes.end(), step.shapes.begin(), step.shapes.end());
      moves.insert(moves.end(), step.moves.begin(), step.moves.end());
      positions.insert(positions.end(), step.positions.begin(), step.positions.end());
      sections.insert(sections.end(), step.sections.begin(), step.sections.end());
    };
    for (const teach::Sitting& sitting : plan.sittings) {
      for (const teach::Step& step : sitting.steps) collect(step);
    }
    for (const teach::Step& step : plan.options) collect(step);
    const auto is_each_once = [](std::vector<std::size_t> seen, std::size_t number) {
      std::sort(seen.begin(), seen.end());
      return seen.size() == number && std::adjacent_find(seen.begin(), seen.end()) == seen.end();
    };
    EXPECT_TRUE(is_each_once(shapes, lesson.shapes.size())) << seed;
    EXPECT_TRUE(is_each_once(moves, lesson.moves.size())) << seed;
    EXPECT_TRUE(is_each_once(positions, lesson.positions.size())) << seed;
    EXPECT_TRUE(is_each_once(sections, lesson.sections.size())) << seed;
  }
}

TEST(PlanPdf, SameLessonSameBytes) {
  const teach::Lesson lesson = lesson_of("silent-night");
  EXPECT_EQ(plan_pdf(lesson, {}).value(), plan_pdf(lesson, {}).value());
}

TEST(PlanPdf, OfNothingIsStillAPlan) {
  for (const PlanReader reader : {PlanReader::teacher, PlanReader::student}) {
    EXPECT_TRUE(plan_pdf(teach::Lesson{}, {reader}));
    EXPECT_THAT(plan_markdown(teach::Lesson{}, {reader}), HasSubstr("# Untitled: "));
  }
}

}  // namespace
}  // namespace stillhand::write
