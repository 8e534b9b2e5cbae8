#include "write/book_layout.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <optional>

#include "write/reading_order.h"
#include "write/sheet_blocks.h"
#include "write/sung_words.h"

namespace stillhand::write {
namespace {

constexpr std::size_t kFirstWords = 48;  // bytes, about a line of the index in Latin letters

constexpr double kLeaderStep = 5;  // between the dots that lead to a page number
constexpr double kLeaderDot = 0.45;

std::string place_of(std::size_t song) { return fmt::format("song-{}", song + 1); }

// One line of contents or index: something on the left, dots, a page.
struct Entry {
  std::string text;
  std::string after;  // lighter, after the text
  std::size_t song = 0;
};

class BookSetter {
 public:
  BookSetter(const Book& book, const std::vector<SheetPages>& sheets, const SheetStyle& style,
             const TextMeasurer& measurer)
      : book_(book), sheets_(sheets), style_(style), measurer_(measurer) {}

  BookPages set() {
    // The number of pages before the songs does not depend on the numbers that stand there.
    page_of_song_.assign(book_.songs.size(), 0);
    find_pages(contents().size());
    pages_.push_back(title_page());
    for (Marks& page : contents()) add(std::move(page), "Contents");
    for (std::size_t i = 0; i < sheets_.size(); ++i) add_song(i);
    add_indexes();
    BookPages out{{style_.page_width, style_.page_height, std::move(pages_)}, bookmarks()};
    return out;
  }

 private:
  std::string title() const {
    const std::string title = one_line(book_.title);
    return title.empty() ? "Songs" : title;
  }

  std::string title_of(std::size_t song) const {
    const std::string title = one_line(book_.songs[song].title);
    return title.empty() ? "Untitled" : title;
  }

  Marks title_page() const {
    Stack stack;
    stack.space(style_.height() * 0.28);
    Font large = style_.title;
    large.size *= 1.4;
    Paragraph title_marks =
        set_paragraph(title(), large, Ink::black, style_.width(), 1.16, Role::title, measurer_);
    std::get<TextMark>(title_marks.marks.front()).place = "title";
    stack.add(title_marks);
    stack.space(14);
    stack.add({RuleMark{0, 0, style_.width(), 0, 0.8, Ink::black}}, 14);
    const std::size_t n = book_.songs.size();
    stack.add(paragraph(fmt::format("{} song{} for two hands, from chords", n, n == 1 ? "" : "s"),
                        style_.road, Ink::black));
    const Block front = std::move(stack).done();
    Stack foot;
    foot.add(
        paragraph("The rights in words and music stay with those whom each song names. Copy "
                  "and hand on only what a licence, or the law where you live, allows.",
                  style_.note, Ink::dark));
    const Block rights = std::move(foot).done();
    Marks page;
    append(page, front.marks, style_.margin_side, style_.margin_top);
    append(page, rights.marks, style_.margin_side,
           style_.page_height - style_.margin_bottom - rights.height);
    return page;
  }

  Paragraph paragraph(std::string_view text, const Font& font, Ink ink) const {
    return set_paragraph(text, font, ink, style_.width(), style_.leading, Role::paragraph,
                         measurer_);
  }

  std::vector<Marks> contents() const {
    Group group{heading("Contents", "contents")};
    for (std::size_t i = 0; i < book_.songs.size(); ++i)
      group.push_back(line({title_of(i), one_line(book_.songs[i].writers), i}));
    return fill(std::move(group));
  }

  Block heading(std::string_view text, std::string place) const {
    Block block = set_heading(text, "", style_, measurer_);
    for (Mark& mark : block.marks) {
      auto* words = std::get_if<TextMark>(&mark);
      if (words == nullptr) continue;
      words->place = std::move(place);
      break;
    }
    return block;
  }

  std::vector<Marks> fill(Group group) const {
    SheetStyle style = style_;
    style.longest_moved_whole = 1;
    return fill_pages({std::move(group)}, style);
  }

  Block line(const Entry& entry) const {
    const Font& font = style_.body;
    const double baseline = font.size;
    Block block;
    block.height = font.size * 1.55;
    TextMark number = set_text(fmt::format("{}", page_of_song_[entry.song]), font, Ink::black, 0,
                               baseline, measurer_);
    number.leads_to = place_of(entry.song);
    const double number_x = style_.width() - number.box.width;
    const double room = style_.width() - 60;
    TextMark text = set_text(fitted(entry.text, font, room, measurer_), font, Ink::black, 0,
                             baseline, measurer_);
    text.leads_to = place_of(entry.song);
    double end = text.box.right();
    const double left = room - end - 10;
    std::optional<TextMark> after;
    if (!entry.after.empty() && left > 40) {
      after = set_text(fitted(entry.after, style_.note, left, measurer_), style_.note, Ink::grey,
                       end + 10, baseline, measurer_);
      end = after->box.right();
    }
    block.marks.push_back(std::move(text));
    if (after) block.marks.push_back(std::move(*after));
    // From the right, so that the dots of all lines stand below one another.
    for (double x = style_.width() - 30; x > end + 6; x -= kLeaderStep)
      block.marks.push_back(DiscMark{x, baseline - 1, kLeaderDot, Ink::grey, std::nullopt, 0});
    block.marks.push_back(shifted(std::move(number), number_x, 0));
    return block;
  }

  // ---- songs

  void find_pages(std::size_t contents) {
    std::size_t next = 2 + contents;
    for (std::size_t i = 0; i < sheets_.size(); ++i) {
      if (wants_left_page(i) && next % 2 == 1) ++next;
      page_of_song_[i] = next;
      next += sheets_[i].pages.size();
    }
  }

  bool wants_left_page(std::size_t song) const { return sheets_[song].pages.size() == 2; }

  void add_song(std::size_t song) {
    while (pages_.size() + 1 < page_of_song_[song]) pages_.emplace_back();
    bool is_first = true;
    for (Marks page : sheets_[song].pages) {
      for (Mark& mark : page) {
        auto* text = std::get_if<TextMark>(&mark);
        if (!is_first || text == nullptr || text->text.empty()) continue;
        text->place = place_of(song);
        is_first = false;
      }
      add(std::move(page), title_of(song));
    }
  }

  // The page number stands at the outer edge.
  void add(Marks page, std::string_view running) {
    const std::size_t number = pages_.size() + 1;
    const bool is_left = number % 2 == 0;
    const double baseline = style_.page_height - 26;
    const double end = style_.page_width - style_.margin_side;
    TextMark folio =
        set_text(fmt::format("{}", number), style_.fact, Ink::black, 0, baseline, measurer_);
    TextMark words =
        set_text(fitted(running, style_.note, style_.width() - folio.box.width - 24, measurer_),
                 style_.note, Ink::grey, 0, baseline, measurer_);
    for (TextMark* mark : {&folio, &words}) mark->role = Role::foot;
    const double words_x = is_left ? end - words.box.width : style_.margin_side;
    const double folio_x = is_left ? style_.margin_side : end - folio.box.width;
    page.push_back(shifted(words, words_x, 0));
    page.push_back(shifted(folio, folio_x, 0));
    pages_.push_back(std::move(page));
  }

  // ---- indexes

  void add_indexes() {
    SheetStyle style = style_;
    style.longest_moved_whole = 0.3;
    std::vector<Group> groups;
    const auto add_group = [&](Group group, const char* name, const char* place) {
      if (group.empty()) return;
      group.insert(group.begin(), heading(name, place));
      index_bookmarks_.push_back({name, place});
      groups.push_back(std::move(group));
    };
    add_group(by_first_words(), "First words", "first-words");
    add_group(by_chords(), "Songs by the chords they need", "by-chords");
    if (groups.empty()) return;
    for (Marks& page : fill_pages(groups, style)) add(std::move(page), "Index");
  }

  Group by_first_words() const {
    std::vector<Entry> entries;
    for (std::size_t i = 0; i < book_.songs.size(); ++i) {
      std::string words = first_words(book_.songs[i]);
      if (!words.empty()) entries.push_back({std::move(words), title_of(i), i});
    }
    std::stable_sort(entries.begin(), entries.end(), [](const Entry& a, const Entry& b) {
      return reading_order(a.text) < reading_order(b.text);
    });
    Group out;
    for (const Entry& entry : entries) out.push_back(line(entry));
    return out;
  }

  // Few chords first; songs that need the same chords stand together.
  Group by_chords() const {
    std::map<std::size_t, std::map<std::string, std::vector<std::size_t>>> songs;
    for (std::size_t i = 0; i < book_.songs.size(); ++i) {
      std::vector<std::string> chords = needed_chords(book_.songs[i]);
      const std::size_t many = chords.size();
      if (many == 0) continue;
      std::sort(chords.begin(), chords.end());
      for (std::string& chord : chords) chord = shown_chord(chord, book_.songs[i].note_names);
      songs[many][fmt::format("{}", fmt::join(chords, ", "))].push_back(i);
    }
    Group out;
    for (const auto& [many, sets] : songs) {
      bool is_first = true;
      for (const auto& [chords, of_them] : sets) {
        Stack stack;
        if (is_first) {
          stack.space(10);
          stack.add(paragraph(fmt::format("{} chord{}", many, many == 1 ? "" : "s"),
                              style_.body_strong, Ink::black));
        }
        stack.space(6);
        stack.add(paragraph(chords, style_.fact, Ink::dark));
        Block block = std::move(stack).done();
        block.keep_with_next = true;
        out.push_back(std::move(block));
        is_first = false;
        for (const std::size_t song : of_them) {
          out.push_back(line({title_of(song), {}, song}));
        }
      }
    }
    return out;
  }

  std::vector<Bookmark> bookmarks() const {
    std::vector<Bookmark> out{{title(), "title"}, {"Contents", "contents"}};
    for (std::size_t i = 0; i < book_.songs.size(); ++i) out.push_back({title_of(i), place_of(i)});
    out.insert(out.end(), index_bookmarks_.begin(), index_bookmarks_.end());
    return out;
  }

  const Book& book_;
  const std::vector<SheetPages>& sheets_;
  const SheetStyle& style_;
  const TextMeasurer& measurer_;
  std::vector<Marks> pages_;
  std::vector<std::size_t> page_of_song_;
  std::vector<Bookmark> index_bookmarks_;
};

const teach::SheetSection* section_named(const teach::Lesson& lesson, std::string_view name) {
  for (const teach::SheetSection& section : lesson.sections) {
    if (section.name == name) return &section;
  }
  return nullptr;
}

}  // namespace

BookPages lay_out_book(const Book& book, const std::vector<SheetPages>& sheets,
                       const SheetStyle& style, const TextMeasurer& measurer) {
  return BookSetter(book, sheets, style, measurer).set();
}

std::string first_words(const teach::Lesson& lesson) {
  std::string out;
  for (const teach::RoadMapStep& step : lesson.road_map) {
    const teach::SheetSection* section = section_named(lesson, step.section);
    if (section == nullptr) continue;
    for (const teach::SheetLine& line : section->lines) {
      for (const teach::SheetBar& bar : line.bars) {
        const std::string words = one_line(bar.words);
        if (words.empty()) continue;
        if (!out.empty()) out += ' ';
        out += words;
        if (out.size() >= kFirstWords) return joined_syllables(out);
      }
    }
    if (!out.empty()) break;
  }
  return joined_syllables(out);
}

std::vector<std::string> needed_chords(const teach::Lesson& lesson) {
  std::vector<std::string> out;
  for (const teach::TaughtShape& shape : lesson.shapes) {
    if (shape.is_optional) continue;
    if (std::find(out.begin(), out.end(), shape.chord) == out.end()) out.push_back(shape.chord);
  }
  return out;
}

}  // namespace stillhand::write
