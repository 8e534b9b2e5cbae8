// A book of the 178 songs in the public domain of testing/corpus.h (OpenEWLD), chords only: seconds, bytes, peak memory.
// The limits it is measured against: 30 s and 500 MB.
#include <fmt/format.h>
#include <sys/resource.h>

#include <chrono>
#include <vector>

#include "arrange/arrange.h"
#include "teach/lesson.h"
#include "testing/corpus.h"
#include "write/book.h"

int main() {
  using namespace stillhand;
  using Clock = std::chrono::steady_clock;
  if (!testing::data_folder()) {
    fmt::print(stderr, "{}\n", testing::kNoData);
    return 2;
  }
  const auto seconds = [](Clock::time_point from) {
    return std::chrono::duration<double>(Clock::now() - from).count();
  };
  const std::vector<chart::Song> songs = testing::read_corpus(testing::Corpus::openewld);
  const auto begin = Clock::now();
  write::Book book{"The public domain", {}};
  for (const chart::Song& song : songs) {
    const auto arranged = arrange::arrange(song, {});
    if (arranged) book.songs.push_back(teach::teach(*arranged));
  }
  const double arranging = seconds(begin);
  write::order_by_title(book.songs);
  const auto pdf = write::book_pdf(book, {});
  if (!pdf) return 1;
  rusage usage{};
  getrusage(RUSAGE_SELF, &usage);
  fmt::print("{} songs: {:.1f} s (arranging {:.1f} s), {:.1f} MB of PDF, peak memory {} MB\n",
             book.songs.size(), seconds(begin), arranging, static_cast<double>(pdf->size()) / 1e6,
             usage.ru_maxrss / 1024);
}
