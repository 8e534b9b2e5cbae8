#include "write/book.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdlib>
#include <fstream>
#include <map>

#include "arrange/arrange.h"
#include "chart/chart.h"
#include "testing/corpus.h"
#include "write/book_layout.h"
#include "write/embedded.h"
#include "write/reading_order.h"
#include "write/sheet_fonts.h"
#include "write/sheet_layout.h"

namespace stillhand::write {
namespace {

const SheetFonts& fonts() {
  static const SheetFonts opened = SheetFonts::open(data::fonts_conf).value();
  return opened;
}

teach::Lesson lesson_of(const chart::Song& song) {
  return teach::teach(arrange::arrange(song, {}).value());
}

teach::Lesson song(const std::string& title, const std::string& chords,
                   const std::string& words = {}) {
  std::string text = "title " + title + "\nkey C\ntempo 80\nsection Verse\n" + chords + "\n";
  if (!words.empty()) text += "\" " + words + "\n";
  return lesson_of(chart::parse(text, "song").value().song);
}

BookPages laid_out(const Book& book) {
  const SheetStyle style = style_for(Paper::a4);
  std::vector<SheetPages> sheets;
  for (const teach::Lesson& lesson : book.songs)
    sheets.push_back(lay_out(lesson, style, fonts(), Feet::left_out));
  return lay_out_book(book, sheets, style, fonts());
}

std::vector<std::string> texts(const Marks& page) {
  std::vector<std::string> out;
  for (const Mark& mark : page) {
    if (const auto* text = std::get_if<TextMark>(&mark)) out.push_back(text->text);
  }
  return out;
}

bool has(const Marks& page, const std::string& wanted) {
  const auto all = texts(page);
  return std::find(all.begin(), all.end(), wanted) != all.end();
}

TEST(Book, TitleContentsSongsAndIndexes) {
  const Book book{"Evenings", {song("Reeds", "| C | F |"), song("Boats", "| C | F | G | C |")}};
  const BookPages out = laid_out(book);
  ASSERT_EQ(out.pages.pages.size(), 5U);
  EXPECT_TRUE(has(out.pages.pages[0], "Evenings"));
  EXPECT_TRUE(has(out.pages.pages[0], "2 songs for two hands, from chords"));
  EXPECT_TRUE(has(out.pages.pages[1], "Contents"));
  EXPECT_TRUE(has(out.pages.pages[1], "Reeds"));
  EXPECT_TRUE(has(out.pages.pages[1], "4"));
  EXPECT_TRUE(has(out.pages.pages[2], "Reeds"));
  EXPECT_TRUE(has(out.pages.pages[4], "Songs by the chords they need"));
  EXPECT_TRUE(has(out.pages.pages[4], "2 chords"));
  EXPECT_TRUE(has(out.pages.pages[4], "C, F, G"));
  ASSERT_EQ(out.bookmarks.size(), 5U);  // no first words: nobody sings
  EXPECT_EQ(out.bookmarks[2].text, "Reeds");
}

TEST(Book, ChordsWithoutOptionalOnesAndWordsWithoutHyphens) {
  EXPECT_EQ(needed_chords(song("A", "| C | G/B | Am | C |")),
            (std::vector<std::string>{"C", "G", "Am"}));
  EXPECT_EQ(first_words(song("A", "| C | G |", "A- | maz-ing grace! |")), "Amazing grace!");
  EXPECT_EQ(first_words(song("A", "| C | G |")), "");
}

TEST(Book, ReadersLookTitlesUpWithoutCaseAccentsAndMarks) {
  EXPECT_EQ(reading_order("'Twas Évening"), "twas evening");
  EXPECT_EQ(reading_order("STRASSE"), reading_order("straße"));
  EXPECT_EQ(reading_order("a\xFF"), "a");
  std::vector<teach::Lesson> songs{song("zebra", "| C |"), song("Árbol", "| C |"),
                                   song("'Bees", "| C |")};
  order_by_title(songs);
  EXPECT_EQ(songs[0].title, "Árbol");
  EXPECT_EQ(songs[1].title, "'Bees");
  EXPECT_EQ(songs[2].title, "zebra");
}

// Every link leads to a place that is there once, on the page whose number stands beside it.
void check_links(const BookPages& out) {
  std::map<std::string, std::size_t> page_of;
  for (std::size_t i = 0; i < out.pages.pages.size(); ++i) {
    for (const Mark& mark : out.pages.pages[i]) {
      const auto* text = std::get_if<TextMark>(&mark);
      if (text == nullptr || text->place.empty()) continue;
      EXPECT_TRUE(page_of.emplace(text->place, i + 1).second) << text->place;
    }
  }
  int links = 0;
  for (const Marks& page : out.pages.pages) {
    for (const Mark& mark : page) {
      const auto* text = std::get_if<TextMark>(&mark);
      if (text == nullptr || text->leads_to.empty()) continue;
      ++links;
      ASSERT_TRUE(page_of.contains(text->leads_to)) << text->leads_to;
      const bool is_number = text->x > out.pages.width / 2 &&
                             text->text.find_first_not_of("0123456789") == std::string::npos;
      if (!is_number) continue;
      EXPECT_EQ(text->text, fmt::format("{}", page_of[text->leads_to]));
    }
  }
  EXPECT_GT(links, 0);
  for (const Bookmark& bookmark : out.bookmarks) EXPECT_TRUE(page_of.contains(bookmark.place));
}

TEST(Book, RealSongsOnFacingPagesWithLinksThatLeadWhereTheySay) {
  if (!testing::data_folder()) GTEST_SKIP() << testing::kNoData;
  Book book{"Real songs", {}};
  const std::vector<chart::Song> songs = testing::read_whole_corpus();
  for (std::size_t i = 0; i < songs.size(); i += 60) book.songs.push_back(lesson_of(songs[i]));
  ASSERT_GT(book.songs.size(), 10U);
  const BookPages out = laid_out(book);
  check_links(out);
  const SheetStyle style = style_for(Paper::a4);
  for (std::size_t i = 0; i < book.songs.size(); ++i) {
    const std::string place = fmt::format("song-{}", i + 1);
    const std::size_t pages = lay_out(book.songs[i], style, fonts(), Feet::left_out).pages.size();
    for (std::size_t p = 0; p < out.pages.pages.size(); ++p) {
      for (const Mark& mark : out.pages.pages[p]) {
        const auto* text = std::get_if<TextMark>(&mark);
        if (text == nullptr || text->place != place || pages != 2) continue;
        EXPECT_EQ((p + 1) % 2, 0U) << "a song of two pages begins on the left";
      }
    }
  }
}

TEST(Book, SameBytesAndAReaderFindsTheWords) {
  const Book book{"Evenings", {song("Reeds", "| C | F |"), song("Boats", "| C | G |")}};
  const auto pdf = book_pdf(book, {});
  ASSERT_TRUE(pdf);
  EXPECT_EQ(*pdf, *book_pdf(book, {}));
  const std::string path = ::testing::TempDir() + "/book.pdf";
  std::ofstream(path, std::ios::binary) << *pdf;
  if (std::system("command -v pdftotext >/dev/null 2>&1") != 0) GTEST_SKIP() << "no pdftotext";
  const std::string text_path = ::testing::TempDir() + "/book.txt";
  ASSERT_EQ(std::system(fmt::format("pdftotext '{}' '{}'", path, text_path).c_str()), 0);
  std::ifstream in(text_path);
  const std::string text((std::istreambuf_iterator<char>(in)), {});
  std::size_t from = 0;
  for (const char* words : {"Evenings", "Contents", "Reeds", "Boats", "Songs by the chords"}) {
    from = text.find(words, from);
    ASSERT_NE(from, std::string::npos) << words;
  }
}

}  // namespace
}  // namespace stillhand::write
