#include "write/book.h"

#include <algorithm>
#include <mutex>
#include <utility>

#include "base/parallel.h"
#include "write/book_layout.h"
#include "write/embedded.h"
#include "write/reading_order.h"
#include "write/sheet_draw.h"
#include "write/sheet_fonts.h"
#include "write/sheet_layout.h"

namespace stillhand::write {

void order_by_title(std::vector<teach::Lesson>& songs) {
  std::stable_sort(songs.begin(), songs.end(), [](const teach::Lesson& a, const teach::Lesson& b) {
    return reading_order(a.title) < reading_order(b.title);
  });
}

Result<std::string> book_pdf(const Book& book, const SheetOptions& options,
                             const BookProgress& progress) {
  const SheetStyle style = style_for(options.paper);
  const std::size_t workers = std::min(cores(), std::max<std::size_t>(1, book.songs.size()));
  // Fonts are of one thread each.
  std::vector<SheetFonts> fonts;
  for (std::size_t i = 0; i < workers; ++i) {
    Result<SheetFonts> opened = SheetFonts::open(data::fonts_conf);
    if (!opened) return tl::unexpected<Diagnostics>(std::move(opened.error()));
    fonts.push_back(std::move(*opened));
  }
  std::vector<SheetPages> sheets(book.songs.size());
  std::mutex counting;
  std::size_t done = 0;
  in_parallel(
      workers,
      [&](std::size_t worker) {
        for (std::size_t i = worker; i < sheets.size(); i += workers) {
          sheets[i] = lay_out(book.songs[i], style, fonts[worker], Feet::left_out);
          const std::lock_guard lock(counting);
          if (progress) progress(++done);
        }
      },
      workers);
  const BookPages pages = lay_out_book(book, sheets, style, fonts.front());
  return draw_pdf(pages.pages, {one_line(book.title), {}, pages.bookmarks}, fonts.front());
}

}  // namespace stillhand::write
