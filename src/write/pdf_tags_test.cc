#include "write/pdf_tags.h"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <array>
#include <cstdio>
#include <cstdlib>
#include <fstream>

#include "write/book.h"
#include "write/demo_lesson.h"
#include "write/moves_sheet_layout.h"
#include "write/pdf_reading.h"
#include "write/sheet.h"
#include "write/sheet_checks.h"
#include "write/sheet_draw.h"
#include "write/sheet_layout.h"

namespace stillhand::write {
namespace {

const SheetOptions kMoves{Paper::a4, SheetKind::moves};

using test::PdfElement;
using test::read_tags;
using test::TaggedPdf;
using ::testing::ElementsAre;
using ::testing::HasSubstr;

void expect_whole(const TaggedPdf& pdf) {
  EXPECT_THAT(pdf.faults, ElementsAre());
  for (const PdfElement& element : pdf.elements) {
    if (element.kind != "/Figure") continue;
    EXPECT_NE(element.says, "");
    EXPECT_TRUE(element.has_box) << element.says;
  }
}

std::vector<std::string> said(const TaggedPdf& pdf) {
  std::vector<std::string> out;
  for (const PdfElement& element : pdf.elements) {
    if (element.kind == "/Figure") out.push_back(element.says);
  }
  return out;
}

TEST(PdfTags, TheDocumentSaysItsLanguageAndTitle) {
  const TaggedPdf pdf = read_tags(sheet_pdf(test::demo_lesson(), {}).value());
  EXPECT_TRUE(pdf.is_marked);
  EXPECT_EQ(pdf.language, "en");
  EXPECT_TRUE(pdf.shows_title);
  EXPECT_THAT(pdf.metadata, HasSubstr(">Lamps Along the Quay<"));
  EXPECT_THAT(pdf.metadata, HasSubstr("<dc:language><rdf:Bag><rdf:li>en<"));
}

TEST(PdfTags, EverythingDrawnIsContentOrArtifact) {
  for (unsigned seed = 0; seed <= 5; ++seed) {
    const teach::Lesson lesson = seed == 0 ? test::demo_lesson() : test::random_lesson(seed);
    SCOPED_TRACE(fmt::format("seed {}", seed));
    expect_whole(read_tags(sheet_pdf(lesson, {}).value()));
    expect_whole(read_tags(sheet_pdf(lesson, kMoves).value()));
  }
  expect_whole(
      read_tags(book_pdf({"Evenings", {test::demo_lesson(), test::demo_lesson()}}, {}).value()));
}

TEST(PdfTags, PicturesSayTheirShapesAndMoves) {
  const TaggedPdf sheet = read_tags(sheet_pdf(test::demo_lesson(), {}).value());
  for (const char* expected :
       {"D: right hand, A thumb, D 3, F♯ 5", "Em: right hand, G thumb, B 2, E 5",
        "4 counts: D on 1", "4 counts: G on 1, D/F♯ on 3", "4 counts: D on 1, Em on 4",
        "4 counts: D goes on", "left hand, G 5, A 4, B 3, C♯ 2, D thumb"}) {
    EXPECT_THAT(said(sheet), ::testing::Contains(expected));
  }
  const TaggedPdf moves = read_tags(sheet_pdf(test::demo_lesson(), kMoves).value());
  for (const char* expected :
       {"D: right hand, A thumb, D 3, F♯ 5", "filled disc in a ring",
        "Asus4 to A: Finger 3 down a half step, D to C♯; the others stay."}) {
    EXPECT_THAT(said(moves), ::testing::Contains(expected));
  }
  teach::Lesson german = test::demo_lesson();
  german.note_names = music::NoteNames::german;
  const TaggedPdf in_german = read_tags(sheet_pdf(german, {}).value());
  EXPECT_THAT(said(in_german), ::testing::Contains("Hm: right hand, H thumb, D 3, Fis 5"));
}

TEST(PdfTags, EverySheetHasTheSameBytesEachTime) {
  for (const SheetKind kind : all_sheet_kinds()) {
    for (const Print print : {Print::normal, Print::large}) {
      const SheetOptions options{Paper::letter, kind, print};
      const std::string pdf = sheet_pdf(test::demo_lesson(), options).value();
      EXPECT_TRUE(pdf == sheet_pdf(test::demo_lesson(), options).value());
      expect_whole(read_tags(pdf));
    }
  }
}

TEST(PdfTags, LinesOfOneParagraphAreOneElementAndFeetAreNone) {
  const Paragraph paragraph =
      set_paragraph("Lamps along the quay are counting boats today", {Face::serif, 12}, Ink::black,
                    100, 1.2, Role::paragraph, test::fonts());
  ASSERT_GT(paragraph.marks.size(), 2U);
  Marks page{set_text("Lamps", {Face::serif_bold, 20}, Ink::black, 0, 200, test::fonts())};
  std::get<TextMark>(page.front()).role = Role::title;
  page.insert(page.end(), paragraph.marks.begin(), paragraph.marks.end());
  page.push_back(RuleMark{0, 210, 50, 210});
  for (Mark& mark :
       as_picture({DiscMark{50, 250, 5, Ink::black, std::nullopt, 0}, RuleMark{60, 250, 90, 250}},
                  "a disc and a rule")) {
    page.push_back(mark);
  }
  TextMark foot = set_text("1 of 1", {Face::serif, 9}, Ink::black, 0, 290, test::fonts());
  foot.role = Role::foot;
  page.push_back(foot);
  const TaggedPdf pdf = read_tags(
      draw_pdf({300, 300, {page}}, {"<Lamps> & \"more\"", "A & B"}, test::fonts()).value());
  expect_whole(pdf);
  std::vector<std::string> kinds;
  for (const PdfElement& element : pdf.elements) kinds.push_back(element.kind);
  EXPECT_THAT(kinds, ElementsAre("/Document", "/H1", "/P", "/Figure"));
  EXPECT_THAT(said(pdf), ElementsAre("a disc and a rule"));
  EXPECT_THAT(pdf.metadata, HasSubstr(">&lt;Lamps&gt; &amp; &quot;more&quot;<"));
  EXPECT_THAT(pdf.metadata, HasSubstr("<rdf:li>A &amp; B</rdf:li>"));
}

TEST(PdfTags, QpdfFindsNoFault) {
  if (std::system("qpdf --version > /dev/null 2>&1") != 0)
    GTEST_SKIP() << "qpdf is missing: install it";
  const std::string file = std::string(STILLHAND_BINARY_DIR) + "/tags-check.pdf";
  for (const std::string& pdf : {sheet_pdf(test::demo_lesson(), {}).value(),
                                 sheet_pdf(test::demo_lesson(), kMoves).value()}) {
    std::ofstream(file, std::ios::binary) << pdf;
    EXPECT_EQ(std::system(("qpdf --check " + file + " > /dev/null 2>&1").c_str()), 0);
  }
}

// What an independent reader (poppler) finds in the structure, without blanks and line ends.
std::string read_structure(const std::string& pdf) {
  const std::string file = std::string(STILLHAND_BINARY_DIR) + "/tags.pdf";
  std::ofstream(file, std::ios::binary) << pdf;
  std::string out;
  FILE* pipe = popen(("pdfinfo -struct-text " + file + " 2>/dev/null").c_str(), "r");
  if (pipe == nullptr) return out;
  std::array<char, 4096> buffer;
  while (const std::size_t got = fread(buffer.data(), 1, buffer.size(), pipe)) {
    out.append(buffer.data(), got);
  }
  pclose(pipe);
  return out;
}
std::string without_blanks(const std::string& text) {
  std::string out;
  for (const char c : text) {
    if (c != ' ' && c != '\n' && c != '"') out += c;
  }
  return out;
}

TEST(PdfTags, AnotherReaderFindsEveryTextInReadingOrder) {
  if (std::system("pdfinfo -v > /dev/null 2>&1") != 0)
    GTEST_SKIP() << "pdfinfo is missing: install poppler-utils";
  const teach::Lesson lesson = test::demo_lesson();
  const std::vector<std::pair<std::string, SheetPages>> documents{
      {sheet_pdf(lesson, {}).value(), lay_out(lesson, style_for(Paper::a4), test::fonts())},
      {sheet_pdf(lesson, kMoves).value(),
       lay_out_moves(lesson, for_moves(style_for(Paper::a4)), test::fonts())}};
  for (const auto& [bytes, pages] : documents) {
    const std::string structure = without_blanks(read_structure(bytes));
    std::size_t at = 0;
    for (const Marks& page : pages.pages) {
      for (const Mark& mark : page) {
        const auto* text = std::get_if<TextMark>(&mark);
        if (text == nullptr || text->role == Role::foot) continue;
        at = structure.find(without_blanks(text->text), at);
        ASSERT_NE(at, std::string::npos) << text->text;
      }
    }
    EXPECT_EQ(structure.find("1of"), std::string::npos) << "the foot is no content";
  }
  EXPECT_THAT(
      read_structure(documents[1].first),
      HasSubstr("\"Thumb up a whole step, G to A; finger 3 up a minor third, B to D; little "
                "finger up a whole step, D to E.\""));
}

}  // namespace
}  // namespace stillhand::write
