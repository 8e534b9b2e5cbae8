#include "write/pdf_tags.h"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <array>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <map>
#include <set>

#define POINTERHOLDER_TRANSITION 4  // as in the library: its shared pointers are the standard ones
#include <qpdf/Buffer.hh>
#include <qpdf/QPDF.hh>
#include <qpdf/QPDFNumberTreeObjectHelper.hh>
#include <qpdf/QPDFObjectHandle.hh>
#include <qpdf/QPDFPageDocumentHelper.hh>

#include "write/book.h"
#include "write/demo_lesson.h"
#include "write/moves_sheet.h"
#include "write/moves_sheet_layout.h"
#include "write/sheet.h"
#include "write/sheet_checks.h"
#include "write/sheet_draw.h"
#include "write/sheet_layout.h"

namespace stillhand::write {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;
using Object = QPDFObjectHandle;

// What the content of a page is tagged with, read as a reader of PDF does.
class Content : public Object::ParserCallbacks {
 public:
  void handleObject(Object object) override {
    if (!object.isOperator()) {
      operands_.push_back(object);
      return;
    }
    step(object.getOperatorValue());
    operands_.clear();
  }
  void handleEOF() override {
    if (!open_.empty()) faults.push_back("a tag stays open");
  }

  std::vector<int> content;  // the identifiers, in the order of drawing
  int artifacts = 0;
  std::vector<std::string> faults;

 private:
  void step(const std::string& op) {
    static const std::set<std::string> shows{"Tj", "TJ", "'",  "\"", "f",  "F",  "f*", "S",
                                             "s",  "B",  "B*", "b",  "b*", "Do", "sh"};
    if (op == "BT") in_text_ = true;
    if (op == "ET") {
      in_text_ = false;
      if (!open_.empty() && open_.back().in_text) faults.push_back("a tag ends after its text");
    }
    if (op == "BDC" || op == "BMC") begin(op);
    if (op == "EMC") {
      if (open_.empty()) return faults.push_back("a tag ends that never began");
      if (open_.back().in_text != in_text_) faults.push_back("a tag and a text are not nested");
      open_.pop_back();
    }
    if (shows.count(op) > 0 && open_.empty()) faults.push_back("untagged: " + op);
  }

  void begin(const std::string& op) {
    const std::string name = operands_.front().getName();
    if (name == "/Artifact") {
      ++artifacts;
    } else if (op == "BDC" && operands_.back().isDictionary() && operands_.back().hasKey("/MCID")) {
      content.push_back(operands_.back().getKey("/MCID").getIntValueAsInt());
    } else if (name != "/Span") {
      faults.push_back("neither content nor artifact: " + name);
    }
    if (name != "/Span" && !open_.empty()) faults.push_back("tags in each other");
    open_.push_back({in_text_});
  }

  struct Open {
    bool in_text;
  };
  std::vector<Object> operands_;
  std::vector<Open> open_;
  bool in_text_ = false;
};

struct Element {
  std::string kind, says;
  bool has_box = false;
  std::vector<int> content;
};

void walk(Object element, const Object& parent, std::vector<Element>& out) {
  EXPECT_EQ(element.getKey("/P").getObjGen(), parent.getObjGen());
  Element found{element.getKey("/S").getName(), "", false, {}};
  if (element.hasKey("/Alt")) found.says = element.getKey("/Alt").getUTF8Value();
  found.has_box = element.hasKey("/A") && element.getKey("/A").getKey("/BBox").isArray();
  Object kids = element.getKey("/K");
  std::vector<Object> below;
  for (int i = 0; i < kids.getArrayNItems(); ++i) {
    Object kid = kids.getArrayItem(i);
    if (kid.isInteger()) found.content.push_back(kid.getIntValueAsInt());
    if (kid.isDictionary() && kid.hasKey("/S")) below.push_back(kid);
  }
  out.push_back(found);
  for (const Object& kid : below) walk(kid, element, out);
}

class TaggedPdf {
 public:
  explicit TaggedPdf(std::string bytes) : bytes_(std::move(bytes)) {
    pdf_.processMemoryFile("test", bytes_.data(), bytes_.size());
  }
  Object root() { return pdf_.getRoot(); }
  std::vector<Element> elements() {
    std::vector<Element> out;
    Object tree = root().getKey("/StructTreeRoot");
    walk(tree.getKey("/K"), tree, out);
    return out;
  }
  std::string metadata() {
    const auto data = root().getKey("/Metadata").getStreamData();
    return {reinterpret_cast<const char*>(data->getBuffer()), data->getSize()};
  }

  void expect_whole() {
    std::size_t content = 0;
    Object tree = root().getKey("/StructTreeRoot");
    QPDFNumberTreeObjectHelper parents(tree.getKey("/ParentTree"), pdf_);
    for (QPDFPageObjectHelper& page : QPDFPageDocumentHelper(pdf_).getAllPages()) {
      Content found;
      page.parseContents(&found);
      EXPECT_THAT(found.faults, ElementsAre());
      if (found.content.empty() && found.artifacts == 0) continue;  // a blank page of a book
      const std::set<int> once(found.content.begin(), found.content.end());
      EXPECT_EQ(once.size(), found.content.size());
      Object elements;
      ASSERT_TRUE(parents.findObject(page.getObjectHandle().getKey("/StructParents").getIntValue(),
                                     elements));
      for (int i = 0; i < elements.getArrayNItems(); ++i) {
        Object element = elements.getArrayItem(i);
        EXPECT_EQ(element.isNull(), once.count(i) == 0) << "content " << i;
        if (element.isNull()) continue;
        EXPECT_EQ(element.getKey("/Pg").getObjGen(), page.getObjectHandle().getObjGen());
      }
      content += found.content.size();
    }
    std::size_t told = 0;
    for (const Element& element : elements()) {
      told += element.content.size();
      if (element.kind != "/Figure") continue;
      EXPECT_NE(element.says, "");
      EXPECT_TRUE(element.has_box) << element.says;
    }
    EXPECT_EQ(told, content);
  }

 private:
  std::string bytes_;
  QPDF pdf_;
};

std::vector<std::string> said(TaggedPdf& pdf) {
  std::vector<std::string> out;
  for (const Element& element : pdf.elements()) {
    if (element.kind == "/Figure") out.push_back(element.says);
  }
  return out;
}

TEST(PdfTags, TheDocumentSaysItsLanguageAndTitle) {
  TaggedPdf pdf(sheet_pdf(test::demo_lesson(), {}).value());
  EXPECT_TRUE(pdf.root().getKey("/MarkInfo").getKey("/Marked").getBoolValue());
  EXPECT_EQ(pdf.root().getKey("/Lang").getUTF8Value(), "en");
  EXPECT_TRUE(pdf.root().getKey("/ViewerPreferences").getKey("/DisplayDocTitle").getBoolValue());
  EXPECT_THAT(pdf.metadata(), HasSubstr(">Lamps Along the Quay<"));
  EXPECT_THAT(pdf.metadata(), HasSubstr("<dc:language><rdf:Bag><rdf:li>en<"));
}

TEST(PdfTags, EverythingDrawnIsContentOrArtifact) {
  for (unsigned seed = 0; seed <= 5; ++seed) {
    const teach::Lesson lesson = seed == 0 ? test::demo_lesson() : test::random_lesson(seed);
    SCOPED_TRACE(fmt::format("seed {}", seed));
    TaggedPdf(sheet_pdf(lesson, {}).value()).expect_whole();
    TaggedPdf(moves_sheet_pdf(lesson, {}).value()).expect_whole();
  }
  TaggedPdf(book_pdf({"Evenings", {test::demo_lesson(), test::demo_lesson()}}, {}).value())
      .expect_whole();
}

TEST(PdfTags, PicturesSayTheirShapesAndMoves) {
  TaggedPdf sheet(sheet_pdf(test::demo_lesson(), {}).value());
  for (const char* expected :
       {"D: right hand, A thumb, D 3, F♯ 5", "Em: right hand, G thumb, B 2, E 5",
        "left hand, G 5, A 4, B 3, C♯ 2, D thumb"}) {
    EXPECT_THAT(said(sheet), ::testing::Contains(expected));
  }
  TaggedPdf moves(moves_sheet_pdf(test::demo_lesson(), {}).value());
  for (const char* expected :
       {"D: right hand, A thumb, D 3, F♯ 5", "filled disc in a ring",
        "Asus4 to A: Finger 3 down a half step, D to C♯; the others stay."}) {
    EXPECT_THAT(said(moves), ::testing::Contains(expected));
  }
  teach::Lesson german = test::demo_lesson();
  german.note_names = music::NoteNames::german;
  TaggedPdf in_german(sheet_pdf(german, {}).value());
  EXPECT_THAT(said(in_german), ::testing::Contains("Hm: right hand, H thumb, D 3, Fis 5"));
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
  TaggedPdf pdf(draw_pdf({300, 300, {page}}, {"<Lamps> & \"more\"", "A & B"}, test::fonts()));
  pdf.expect_whole();
  std::vector<std::string> kinds;
  for (const Element& element : pdf.elements()) kinds.push_back(element.kind);
  EXPECT_THAT(kinds, ElementsAre("/Document", "/H1", "/P", "/Figure"));
  EXPECT_THAT(said(pdf), ElementsAre("a disc and a rule"));
  EXPECT_THAT(pdf.metadata(), HasSubstr(">&lt;Lamps&gt; &amp; \"more\"<"));
  EXPECT_THAT(pdf.metadata(), HasSubstr("<rdf:li>A &amp; B</rdf:li>"));
}

TEST(PdfTags, QpdfFindsNoFault) {
  if (std::system("qpdf --version > /dev/null 2>&1") != 0)
    GTEST_SKIP() << "qpdf is missing: install it";
  const std::string file = std::string(STILLHAND_BINARY_DIR) + "/tags-check.pdf";
  for (const std::string& pdf : {sheet_pdf(test::demo_lesson(), {}).value(),
                                 moves_sheet_pdf(test::demo_lesson(), {}).value()}) {
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
      {moves_sheet_pdf(lesson, {}).value(),
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
