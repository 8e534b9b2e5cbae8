#include "write/sheet.h"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <array>
#include <cstdio>
#include <cstdlib>
#include <fstream>

#include "write/demo_lesson.h"
#include "write/embedded.h"
#include "write/sheet_fonts.h"

namespace stillhand::write {
namespace {

using ::testing::HasSubstr;

// What a command prints; "" where the program is missing.
std::string output(const std::string& command) {
  std::string out;
  FILE* pipe = popen((command + " 2>/dev/null").c_str(), "r");
  if (pipe == nullptr) return out;
  std::array<char, 4096> buffer;
  while (const std::size_t got = fread(buffer.data(), 1, buffer.size(), pipe)) {
    out.append(buffer.data(), got);
  }
  pclose(pipe);
  return out;
}

bool has_poppler() { return std::system("pdftotext -v > /dev/null 2>&1") == 0; }

std::string saved(const std::string& pdf, const std::string& name) {
  const std::string file = std::string(STILLHAND_BINARY_DIR) + "/" + name;
  std::ofstream(file, std::ios::binary) << pdf;
  return file;
}

std::string demo_file(Paper paper) {
  return saved(sheet_pdf(test::demo_lesson(), {paper}).value(),
               paper == Paper::a4 ? "sheet-a4.pdf" : "sheet-letter.pdf");
}

#define NEED_POPPLER() \
  if (!has_poppler()) GTEST_SKIP() << "pdftotext is missing: install poppler-utils"

std::string text_in(music::NoteNames names) {
  teach::Lesson lesson = test::demo_lesson();
  lesson.note_names = names;
  const std::string file = saved(sheet_pdf(lesson, {Paper::a4}).value(),
                                 "sheet-" + std::string(music::name(names)) + ".pdf");
  return output("pdftotext -raw " + file + " -");
}

TEST(SheetPdf, HasTheStudentsNoteNamesAndSaysSo) {
  NEED_POPPLER();
  EXPECT_THAT(text_in(music::NoteNames::english), testing::Not(HasSubstr("notes: ")));
  const std::string german = text_in(music::NoteNames::german);
  for (const char* shown : {"notes: German (H, B)", "D/F♯", "Fis", "Hm"})
    EXPECT_THAT(german, HasSubstr(shown));
  EXPECT_THAT(german, testing::Not(HasSubstr("Bm")));
  const std::string romance = text_in(music::NoteNames::do_re_mi);
  for (const char* shown : {"notes: Do-Re-Mi (Do is C)", "Re major", "Re/Fa♯", "Lasus4", "Fa♯m"})
    EXPECT_THAT(romance, HasSubstr(shown));
}

TEST(SheetPdf, TextIsFoundInReadingOrder) {
  NEED_POPPLER();
  const std::string text = output("pdftotext -raw " + demo_file(Paper::a4) + " -");
  std::size_t at = 0;
  for (const char* next : {"Lamps Along the Quay",
                           "Words and music",
                           "D major",
                           "66 counts a minute",
                           "Road map",
                           "Chorus ×2",
                           "Left hand",
                           "step for F♯2",
                           "Right hand",
                           "Asus4",
                           "F♯m",
                           "right hand",
                           "Verse",
                           "9 bars",
                           "N.C.",
                           "G",
                           "D/F♯",
                           "lamps a-",
                           "or: stepping down",
                           "D/A",
                           "are count-ing",
                           "Chorus",
                           "leave one",
                           "1.",
                           "safe at home.",
                           "Bridge",
                           "Tide goes out",
                           "Ending",
                           "What moves",
                           "Slide up a whole step: G to A, B to C♯",
                           "Finger 3 down a half step, D to C♯; the others stay.",
                           "Pain"}) {
    at = text.find(next, at);
    ASSERT_NE(at, std::string::npos) << next << "\n" << text;
  }
}

// Every text of the layout is found again, in the layout's order.
TEST(SheetPdf, EveryKindIsFoundInReadingOrder) {
  NEED_POPPLER();
  const auto without_spaces = [](std::string_view text) {
    std::string out;
    for (const char c : text) {
      if (c != ' ' && c != '\n' && c != '\f') out += c;
    }
    return out;
  };
  const Result<SheetFonts> fonts = SheetFonts::open(data::fonts_conf);
  for (const SheetKind kind : all_sheet_kinds()) {
    for (const Print print : {Print::normal, Print::large}) {
      if (kind == SheetKind::moves && print == Print::large) continue;
      const SheetOptions options{Paper::letter, kind, print};
      const std::string file =
          saved(sheet_pdf(test::demo_lesson(), options).value(), "sheet-order.pdf");
      const std::string found = without_spaces(output("pdftotext -raw " + file + " -"));
      std::size_t missing = 0;
      std::size_t out_of_order = 0;
      std::size_t all = 0;
      std::size_t at = 0;
      for (const Marks& page : lay_out(test::demo_lesson(), options, *fonts).pages) {
        for (const Mark& mark : page) {
          const auto* text = std::get_if<TextMark>(&mark);
          if (text == nullptr) continue;
          ++all;
          const std::string wanted = without_spaces(text->text);
          const auto here = found.find(wanted, at);
          if (here != std::string::npos && here < at + 200) {
            at = here + wanted.size();
          } else if (found.find(wanted) != std::string::npos) {
            ++out_of_order;
          } else {
            ++missing;
            ADD_FAILURE() << text->text << " is not found";
          }
        }
      }
      EXPECT_EQ(missing, 0U);
      // Note names below a keyboard may come in another order than above it.
      EXPECT_LE(out_of_order, all / 20) << name(kind);
    }
  }
}

TEST(SheetPdf, PageSizeAndNumber) {
  NEED_POPPLER();
  const std::string a4 = output("pdfinfo " + demo_file(Paper::a4));
  EXPECT_THAT(a4, HasSubstr("595.28 x 841.89 pts (A4)"));
  EXPECT_THAT(a4, HasSubstr("Pages:           2"));
  const std::string letter = output("pdfinfo " + demo_file(Paper::letter));
  EXPECT_THAT(letter, HasSubstr("612 x 792 pts (letter)"));
  EXPECT_THAT(letter, HasSubstr("Pages:           2"));
}

TEST(SheetPdf, HasTitleAuthorAndStructure) {
  NEED_POPPLER();
  const std::string info = output("pdfinfo " + demo_file(Paper::a4));
  EXPECT_THAT(info, HasSubstr("Title:           Lamps Along the Quay"));
  EXPECT_THAT(info, HasSubstr("Author:          Words and music: the Stillhand project"));
  const std::string structure = output("pdfinfo -struct " + demo_file(Paper::a4));
  EXPECT_THAT(structure, HasSubstr("H1"));
  EXPECT_THAT(structure, HasSubstr("H2"));
}

TEST(SheetPdf, EveryFontIsEmbeddedAndFromTheList) {
  NEED_POPPLER();
  const std::string fonts = output("pdffonts " + demo_file(Paper::a4) + " | tail -n +3");
  EXPECT_FALSE(fonts.empty());
  std::size_t begin = 0;
  while (begin < fonts.size()) {
    const std::size_t end = fonts.find('\n', begin);
    const std::string line = fonts.substr(begin, end - begin);
    begin = end + 1;
    EXPECT_THAT(line, ::testing::ContainsRegex("NotoSans|NotoSerif|DejaVuSans|FreeSerif"));
    EXPECT_THAT(line, HasSubstr(" yes yes yes ")) << "embedded, subset, with Unicode";
  }
}

TEST(SheetPdf, SameLessonSameBytes) {
  for (const Paper paper : {Paper::a4, Paper::letter}) {
    EXPECT_EQ(sheet_pdf(test::demo_lesson(), {paper}).value(),
              sheet_pdf(test::demo_lesson(), {paper}).value());
  }
  NEED_POPPLER();
  EXPECT_THAT(output("pdfinfo -isodates " + demo_file(Paper::a4)),
              HasSubstr("CreationDate:    2000-01-01T00:00:00Z"));
}

TEST(SheetPdf, AnEmptyLessonIsStillASheet) {
  NEED_POPPLER();
  const std::string file = saved(sheet_pdf(teach::Lesson{}, {}).value(), "sheet-empty.pdf");
  EXPECT_THAT(output("pdftotext -raw " + file + " -"), HasSubstr("Untitled"));
}

TEST(SheetPdf, OtherScriptsComeFromTheirOwnFonts) {
  NEED_POPPLER();
  teach::Lesson lesson = test::demo_lesson();
  lesson.title = "Ēriks Ģirts Ñandú Žluťoučký Φως Свет";
  const std::string file = saved(sheet_pdf(lesson, {}).value(), "sheet-scripts.pdf");
  EXPECT_THAT(output("pdftotext -raw " + file + " -"), HasSubstr(lesson.title));
}

TEST(SheetFontsOpen, AMissingFontNamesItsPackage) {
  const auto fonts = SheetFonts::open("<fontconfig><dir>/nowhere</dir></fontconfig>");
  ASSERT_FALSE(fonts);
  ASSERT_EQ(fonts.error().size(), 4U);
  EXPECT_EQ(fonts.error()[0].fault, Fault::file);
  EXPECT_EQ(fonts.error()[0].message, "the font Noto Sans is not installed; the sheet needs it");
  EXPECT_EQ(fonts.error()[0].suggestion, "install the Debian package fonts-noto-core");
  EXPECT_EQ(fonts.error()[2].suggestion, "install the Debian package fonts-freefont-otf");
  EXPECT_EQ(fonts.error()[3].suggestion, "install the Debian package fonts-dejavu-core");
}

TEST(PaperNamed, KnowsA4AndLetter) {
  EXPECT_EQ(paper_named("A4"), Paper::a4);
  EXPECT_EQ(paper_named("a4"), Paper::a4);
  EXPECT_EQ(paper_named("Letter"), Paper::letter);
  EXPECT_EQ(paper_named("letter"), Paper::letter);
  EXPECT_EQ(paper_named("A5"), std::nullopt);
}

}  // namespace
}  // namespace stillhand::write
