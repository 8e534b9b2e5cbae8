// Many songs as one book: title page, contents, the song sheets, an index by first words and one by the chords that are
// needed; page numbers, links and bookmarks throughout.
//
//   Result<std::string> pdf = book_pdf({"Evenings at the Quay", lessons}, {.paper = Paper::a4});
//
// The songs keep the order in which they are given; order_by_title() sorts them as a reader looks for them. A song of two
// pages stands on two facing pages, so a page may be left empty before it. Page 1 is the title page, a right-hand page.
//
// The same lessons give the same bytes with the same versions of cairo, pango and the fonts. The sheets are laid out on all
// cores. Errors (Fault::file): a font is missing.
//
// Of the options only the paper counts: a book has song sheets in normal print.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "base/result.h"
#include "teach/lesson.h"
#include "write/sheet.h"

namespace stillhand::write {

struct Book {
  std::string title;
  std::vector<teach::Lesson> songs;
};

// By title, without regard to case and accents; songs of the same title keep their order.
void order_by_title(std::vector<teach::Lesson>& songs);

// How many of the songs are laid out. Called by the threads that lay them out, one at a time.
using BookProgress = std::function<void(std::size_t done)>;

Result<std::string> book_pdf(const Book& book, const SheetOptions& options,
                             const BookProgress& progress = {});

}  // namespace stillhand::write
