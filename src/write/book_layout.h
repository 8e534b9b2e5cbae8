// The layout of a book around the sheets of its songs: a pure function, like that of a sheet.
//
//   BookPages pages = lay_out_book(book, sheets, style, measurer);   // sheets[i]: of book.songs[i], without feet
#pragma once

#include <string>
#include <vector>

#include "teach/lesson.h"
#include "write/book.h"
#include "write/sheet_draw.h"
#include "write/sheet_style.h"
#include "write/sheet_text.h"

namespace stillhand::write {

struct BookPages {
  SheetPages pages;
  std::vector<Bookmark> bookmarks;
};

BookPages lay_out_book(const Book& book, const std::vector<SheetPages>& sheets,
                       const SheetStyle& style, const TextMeasurer& measurer);

// The first words that are sung, about a line of them; "" where there are none.
std::string first_words(const teach::Lesson& lesson);

// The chords that the right hand needs, `or` lines left out, each once, in order of first appearance.
std::vector<std::string> needed_chords(const teach::Lesson& lesson);

}  // namespace stillhand::write
