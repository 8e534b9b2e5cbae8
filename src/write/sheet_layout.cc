#include "write/sheet_layout.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <optional>
#include <string>
#include <tuple>
#include <vector>

#include "write/sheet_bars.h"
#include "write/sheet_blocks.h"
#include "write/sheet_hands.h"

namespace stillhand::write {
namespace {

std::string counted(int number, std::string_view one, std::string_view many) {
  return fmt::format("{} {}", number, number == 1 ? one : many);
}

// Whether sections that differ in their words alone have their bars printed once.
enum class Verses { apart, together };

// Whether the moves of the `or` lines have a heading of their own or stand behind the others.
enum class OrMoves { apart, behind };

// A section as printed, with those that share its bars.
struct PrintedSection {
  const teach::SheetSection* section;
  std::vector<const teach::SheetSection*> others;
};

bool same_chords(const teach::SheetBar& a, const teach::SheetBar& b) {
  const auto same = [](const teach::SheetChord& x, const teach::SheetChord& y) {
    const auto bass = [](const teach::SheetChord& c) {
      return c.bass ? std::optional(
                          std::tuple(c.bass->pitch, c.bass->finger, c.bass->figure, c.bass->walk))
                    : std::nullopt;
    };
    return x.chord == y.chord && x.start == y.start && x.duration == y.duration &&
           x.is_held == y.is_held && x.shape == y.shape && bass(x) == bass(y);
  };
  return a.meter == b.meter && a.tonality == b.tonality && a.length == b.length &&
         a.is_pick_up == b.is_pick_up && a.repeat_begins == b.repeat_begins &&
         a.repeat_times == b.repeat_times && a.is_vamp == b.is_vamp && a.endings == b.endings &&
         a.change == b.change &&
         std::equal(a.chords.begin(), a.chords.end(), b.chords.begin(), b.chords.end(), same);
}

bool same_bars(const std::vector<teach::SheetBar>& a, const std::vector<teach::SheetBar>& b) {
  return std::equal(a.begin(), a.end(), b.begin(), b.end(), same_chords);
}

bool same_line(const teach::SheetLine& a, const teach::SheetLine& b) {
  const auto same = [](const teach::SheetOption& x, const teach::SheetOption& y) {
    return x.label == y.label && x.remarks == y.remarks && same_bars(x.bars, y.bars);
  };
  return same_bars(a.bars, b.bars) &&
         std::equal(a.options.begin(), a.options.end(), b.options.begin(), b.options.end(), same);
}

bool same_section(const teach::SheetSection& a, const teach::SheetSection& b) {
  return a.bars == b.bars &&
         std::equal(a.lines.begin(), a.lines.end(), b.lines.begin(), b.lines.end(), same_line);
}

bool has_words(const teach::SheetSection& section) {
  return std::any_of(section.lines.begin(), section.lines.end(), [](const auto& line) {
    return std::any_of(line.bars.begin(), line.bars.end(),
                       [](const auto& bar) { return !bar.words.empty(); });
  });
}

// One letter of the bass for two keys under the hand: the notes in the bars then say their octave.
BassOctaves octaves_of(const teach::Lesson& lesson) {
  std::map<music::NoteName, int> octave_of;
  for (const auto& section : lesson.sections) {
    if (!has_bass_in_bars(section)) continue;
    for (const LineBass& line : bass_in_bars(section)) {
      for (const BarBass& bar : line.bars) {
        for (const BassStroke& stroke : bar.strokes) {
          if (stroke.is_step) continue;
          const music::Pitch& lowest = stroke.tones.front().pitch;
          const auto [known, is_new] = octave_of.emplace(lowest.name, lowest.octave);
          if (!is_new && known->second != lowest.octave) return BassOctaves::write;
        }
      }
    }
  }
  return BassOctaves::leave_out;
}

class SheetSetter {
 public:
  SheetSetter(const teach::Lesson& lesson, const SheetStyle& style, const TextMeasurer& measurer,
              ChordWriting chords, Verses verses, OrMoves or_moves = OrMoves::apart)
      : lesson_(lesson),
        style_(style),
        measurer_(measurer),
        naming_{{lesson.note_names, chords}, octaves_of(lesson), OptionRemarks::write},
        verses_(verses),
        or_moves_(or_moves) {}

  SheetPages song() const {
    std::vector<Group> groups{Group{head_of_sheet()}};
    if (naming_.chords.writing == ChordWriting::numbers) groups.back().push_back(degrees());
    for (Group& group : set_hands(lesson_, naming_.chords, style_, measurer_))
      groups.push_back(std::move(group));
    groups.push_back({set_legend(lesson_, naming_.chords, style_, measurer_)});
    for (const PrintedSection& section : printed_sections())
      groups.push_back(section_group(section, BassIn::bars));
    auto plain = moves_to_print(false);
    auto optional = moves_to_print(true);
    std::string after = "right hand, most frequent first";
    if (or_moves_ == OrMoves::behind && !plain.empty() && !optional.empty()) {
      plain.insert(plain.end(), optional.begin(), optional.end());
      optional.clear();
      after += "; those of the or lines last";
    }
    const auto add_moves = [&](Group all) {
      if (style_.print == Print::normal) return groups.push_back(std::move(all));
      // A page of large print has few of them: they begin where there is room.
      for (Group& part : block_by_block(std::move(all))) groups.push_back(std::move(part));
    };
    if (!plain.empty()) add_moves(moves(heading("What moves", after), plain));
    if (!optional.empty())
      add_moves(moves(heading("What moves in the or lines", "right hand, optional"), optional));
    if (lesson_.student) groups.push_back({for_student()});
    if (!lesson_.cautions.empty()) groups.push_back({cautions()});
    return filled(groups);
  }

  SheetPages numbers() {
    naming_.remarks = OptionRemarks::leave_out;
    std::vector<Group> groups{Group{head_of_sheet(), degrees()}};
    groups.push_back(set_road_map(lesson_, style_, measurer_));
    groups.push_back({set_number_legend(lesson_, style_, measurer_)});
    for (const PrintedSection& section : printed_sections())
      groups.push_back(section_group(section, BassIn::nothing));
    return filled(groups);
  }

 private:
  enum class BassIn { bars, nothing };

  SheetPages filled(const std::vector<Group>& groups) const {
    SheetPages out{style_.page_width, style_.page_height, fill_pages(groups, style_)};
    return out;
  }

  Paragraph paragraph(std::string_view text, const Font& font, Ink ink, double width,
                      Role role = Role::paragraph) const {
    return set_paragraph(text, font, ink, width, style_.leading, role, measurer_);
  }

  Block head_of_sheet() const {
    Stack stack;
    const std::string title = one_line(lesson_.title);
    stack.add(set_paragraph(title.empty() ? "Untitled" : title, style_.title, Ink::black,
                            style_.width(), 1.16, Role::title, measurer_));
    stack.space(3 * style_.unit);
    const std::string writers = one_line(lesson_.writers);
    if (!writers.empty()) stack.add(paragraph(writers, style_.body, Ink::black, style_.width()));
    const std::string rights = one_line(lesson_.rights);
    if (!rights.empty()) stack.add(paragraph(rights, style_.note, Ink::dark, style_.width()));
    stack.space(10 * style_.unit);
    const Block row = facts();
    stack.add(row.marks, row.height);
    return std::move(stack).done();
  }

  // Key, meter, tempo and range side by side on the columns of the page.
  Block facts() const {
    const bool compound = lesson_.meter.is_compound();
    std::vector<std::pair<std::string, std::string>> all{
        {"Key", pretty_notes(music::long_text(lesson_.tonality, lesson_.note_names)) +
                    (lesson_.tonality_was_proposed ? " (proposed)" : "")},
        {"Meter", music::text(lesson_.meter) + ", " +
                      counted(lesson_.meter.counts().value(), "count", "counts") +
                      (compound ? " of three" : " a bar")},
        {"Tempo", counted(lesson_.tempo.value(), "count", "counts") + " a minute"}};
    if (lesson_.range) {
      all.emplace_back(
          "Melody", pretty_notes(music::text(lesson_.range->lowest, lesson_.note_names) + " to " +
                                 music::text(lesson_.range->highest, lesson_.note_names)));
    }
    Block out;
    const auto columns = static_cast<std::size_t>(style_.fact_columns);
    const double column =
        (style_.width() - (style_.fact_columns - 1) * style_.column_gap) / style_.fact_columns;
    out.marks.push_back(RuleMark{0, 0, style_.width(), 0, 0.6, Ink::black});
    double top = 0;
    for (std::size_t i = 0; i < all.size(); ++i) {
      if (i > 0 && i % columns == 0) top = out.height;
      Stack cell;
      cell.space(6 * style_.unit);
      cell.add(paragraph(all[i].first, style_.note, Ink::grey, column));
      cell.space(style_.unit);
      cell.add(paragraph(all[i].second, style_.fact, Ink::black, column));
      const Block block = std::move(cell).done();
      const double x = static_cast<double>(i % columns) * (column + style_.column_gap);
      append(out.marks, block.marks, x, top);
      out.height = std::max(out.height, top + block.height);
    }
    return out;
  }

  // The degrees of the key over their notes.
  Block degrees() const {
    Stack stack;
    stack.add(paragraph("Degrees of the key", style_.note, Ink::grey, style_.width()));
    stack.space(2 * style_.unit);
    const double column = style_.width() / 7;
    Marks row;
    double height = 0;
    for (int number = 1; number <= 7; ++number) {
      const std::string note = music::display(lesson_.tonality.degree(number), lesson_.note_names);
      const double x = (number - 1) * column;
      const TextMark figure = set_text(std::to_string(number), style_.chord, Ink::black, x,
                                       style_.chord.size * 0.85, measurer_);
      const double after = figure.box.right() + 5 * style_.unit;
      row.push_back(figure);
      row.push_back(
          set_text(note, style_.fact, Ink::dark, after, style_.chord.size * 0.85, measurer_));
      height = style_.chord.size * 1.1;
    }
    stack.add(row, height);
    Block out = std::move(stack).done();
    out.space_before = 8 * style_.unit;
    return out;
  }

  Block heading(std::string_view text, std::string_view after) const {
    return set_heading(text, after, style_, measurer_);
  }

  std::vector<PrintedSection> printed_sections() const {
    std::vector<PrintedSection> out;
    for (const auto& section : lesson_.sections) {
      const auto shares = [&](const PrintedSection& printed) {
        return verses_ == Verses::together && has_words(section) && has_words(*printed.section) &&
               same_section(*printed.section, section);
      };
      const auto with = std::find_if(out.begin(), out.end(), shares);
      if (with == out.end()) {
        out.push_back({&section, {}});
      } else {
        with->others.push_back(&section);
      }
    }
    return out;
  }

  // The patterns of a section, each once for all its meters.
  std::vector<std::string> patterns_of(const std::string& section) const {
    std::vector<std::string> out;
    for (const teach::TaughtPattern& pattern : lesson_.patterns) {
      const bool is_here = std::find(pattern.sections.begin(), pattern.sections.end(), section) !=
                           pattern.sections.end();
      if (is_here && std::find(out.begin(), out.end(), pattern.name) == out.end())
        out.push_back(pattern.name);
    }
    return out;
  }

  Group section_group(const PrintedSection& printed, BassIn bass_in) const {
    const teach::SheetSection& section = *printed.section;
    std::string name = one_line(section.name);
    std::vector<std::string> after{counted(section.bars, "bar", "bars")};
    for (std::string& pattern : patterns_of(section.name)) after.push_back(std::move(pattern));
    for (const teach::SheetSection* other : printed.others) {
      name += ", " + one_line(other->name);
      for (std::string& pattern : patterns_of(other->name)) {
        if (std::find(after.begin(), after.end(), pattern) == after.end())
          after.push_back(std::move(pattern));
      }
    }
    Group out{heading(name, fmt::format("{}", fmt::join(after, ", ")))};
    const bool writes_bass = bass_in == BassIn::bars && has_bass_in_bars(section);
    const std::vector<LineBass> bass =
        writes_bass ? bass_in_bars(section) : std::vector<LineBass>();
    bool first = true;
    for (std::size_t l = 0; l < section.lines.size(); ++l) {
      LineToSet line{&section.lines[l], writes_bass ? &bass[l] : nullptr, {}};
      for (const teach::SheetSection* other : printed.others)
        line.other_verses.push_back(&other->lines[l]);
      const auto rows = set_line(line, naming_, style_.width(), style_, measurer_);
      for (std::size_t i = 0; i < rows.size(); ++i) {
        Block block{rows[i].marks, rows[i].height, first ? 0 : style_.row_gap, false};
        block.keep_with_next = i + 1 < rows.size();
        first = false;
        out.push_back(std::move(block));
      }
    }
    return out;
  }

  struct PrintedMove {
    const teach::Move* move;
    const teach::Move* way_back;  // nullptr where the song never goes back
    int times;                    // both ways together
  };

  // A move and its way back are the same fingers on the same keys, so they stand together, told in the direction that
  // comes more often.
  std::vector<PrintedMove> moves_to_print(bool optional) const {
    std::vector<PrintedMove> out;
    for (const teach::Move& move : lesson_.moves) {
      if (move.is_optional != optional) continue;
      const teach::Move* way_back = teach::way_back(lesson_, move);
      if (way_back != nullptr && way_back < &move) continue;
      out.push_back({&move, way_back, move.times + (way_back != nullptr ? way_back->times : 0)});
    }
    std::stable_sort(out.begin(), out.end(),
                     [](const PrintedMove& a, const PrintedMove& b) { return a.times > b.times; });
    return out;
  }

  Block move_above_words(const PrintedMove& one, double width) const {
    const double times_width = 28 * style_.unit;
    const Paragraph chords =
        paragraph(pair(one), style_.body_strong, Ink::black, width - times_width);
    const Paragraph words =
        paragraph(pretty_notes(one_line(one.move->words)), style_.body, Ink::black, width);
    Block block;
    append(block.marks, chords.marks, 0, 0);
    const auto& first = std::get<TextMark>(chords.marks.front());
    block.marks.push_back(set_text(fmt::format("×{}", one.times), style_.note, Ink::grey,
                                   first.box.right() + 6 * style_.unit, first.baseline, measurer_));
    append(block.marks, words.marks, 0, chords.height);
    block.height = chords.height + words.height;
    return block;
  }

  // Pair and number of times, the words beside them; in large print below them.
  Group moves(Block title, const std::vector<PrintedMove>& printed) const {
    Group out{std::move(title)};
    const bool is_beside = style_.print == Print::normal;
    double widest = 0;
    for (const PrintedMove& one : printed)
      widest = std::max(widest, measurer_.measure(pair(one), style_.body_strong).width);
    const double times_width = 28 * style_.unit;
    const double column = std::min(widest + times_width, (style_.width() - style_.column_gap) / 3);
    for (const PrintedMove& one : printed) {
      Block block = is_beside ? move_beside_words(one, column, times_width)
                              : move_above_words(one, style_.width());
      block.space_before = is_beside ? 2.5 : style_.row_gap / 2;
      out.push_back(std::move(block));
    }
    return out;
  }

  Block move_beside_words(const PrintedMove& one, double column, double times_width) const {
    const double words_x = column + style_.column_gap;
    const Paragraph chords =
        paragraph(pair(one), style_.body_strong, Ink::black, column - times_width);
    const Paragraph words = paragraph(pretty_notes(one_line(one.move->words)), style_.body,
                                      Ink::black, style_.width() - words_x);
    Block block;
    append(block.marks, chords.marks, 0, 0);
    const auto& first = std::get<TextMark>(chords.marks.front());
    const TextMark times = set_text(fmt::format("×{}", one.times), style_.note, Ink::grey, 0,
                                    first.baseline, measurer_);
    block.marks.push_back(shifted(times, column - times.box.width, 0));
    append(block.marks, words.marks, words_x, 0);
    block.height = std::max(chords.height, words.height);
    return block;
  }

  std::string pair(const PrintedMove& one) const {
    const bool is_behind = or_moves_ == OrMoves::behind && one.move->is_optional;
    return (is_behind ? "or: " : "") +
           shown_chord(lesson_.shapes.at(one.move->from).chord, lesson_.note_names) + " to " +
           shown_chord(lesson_.shapes.at(one.move->to).chord, lesson_.note_names) +
           (one.way_back != nullptr ? " and back" : "");
  }

  Block for_student() const {
    Stack stack;
    std::string all = lesson_.student->news;
    for (const std::string& reduction : lesson_.student->reductions) all += " " + reduction + ".";
    stack.add(paragraph(pretty_notes(one_line(all)), style_.note, Ink::dark, style_.width()));
    Block out = std::move(stack).done();
    out.space_before = style_.section_gap;
    return out;
  }

  Block cautions() const {
    Stack stack;
    stack.add({RuleMark{0, 0, style_.width(), 0, 0.6, Ink::black}}, 7 * style_.unit);
    const std::string all = fmt::format("{}", fmt::join(lesson_.cautions, " "));
    stack.add(paragraph(pretty_notes(one_line(all)), style_.note, Ink::dark, style_.width()));
    Block out = std::move(stack).done();
    out.space_before = style_.section_gap;
    return out;
  }

  const teach::Lesson& lesson_;
  const SheetStyle& style_;
  const TextMeasurer& measurer_;
  BarNaming naming_;
  Verses verses_;
  OrMoves or_moves_;
};

// First with all its white space, then closer, then with verses that share their bars, at last with sections broken between
// lines. Where nothing helps, the fewest pages. What nearly fits on one page is brought there by the same means: one sheet
// of paper on the music stand is worth more than white space.
template <class LaidOut>
SheetPages on_pages(std::size_t most_pages, SheetStyle style, const LaidOut& laid_out) {
  // Large print is for eyes that lose their place: its sections stay whole and its verses apart.
  if (style.print == Print::large) style.longest_moved_whole = 1;
  const SheetStyle close = tighter(style);
  SheetStyle broken = close;
  broken.longest_moved_whole = 0.1;
  broken.section_gap *= 0.8;
  struct Attempt {
    const SheetStyle& style;
    Verses verses;
    OrMoves or_moves = OrMoves::apart;
  };
  std::vector<Attempt> attempts{{style, Verses::apart}, {close, Verses::apart}};
  if (style.print == Print::normal) {
    for (const Attempt& attempt :
         {Attempt{style, Verses::together}, Attempt{close, Verses::together},
          Attempt{close, Verses::together, OrMoves::behind},
          Attempt{broken, Verses::together, OrMoves::behind}})
      attempts.push_back(attempt);
  }
  SheetPages best;
  bool nearly_fits_on_one = false;
  for (const Attempt& attempt : attempts) {
    SheetPages pages = laid_out(attempt.style, attempt.verses, attempt.or_moves);
    const std::size_t needed = pages.pages.size();
    if (needed == 1) return pages;
    if (best.pages.empty()) nearly_fits_on_one = needed == 2;
    const bool is_fewer = best.pages.empty() || needed < best.pages.size();
    if (is_fewer && (best.pages.empty() || best.pages.size() > most_pages)) best = std::move(pages);
    if (best.pages.size() <= most_pages && !nearly_fits_on_one) break;
  }
  return best;
}

}  // namespace

SheetPages lay_out(const teach::Lesson& lesson, const SheetStyle& style,
                   const TextMeasurer& measurer, Feet feet, ChordWriting chords) {
  constexpr std::size_t kFacingPages = 2;
  SheetPages out = on_pages(
      kFacingPages, style, [&](const SheetStyle& attempt, Verses verses, OrMoves or_moves) {
        return SheetSetter(lesson, attempt, measurer, chords, verses, or_moves).song();
      });
  if (feet == Feet::numbered) add_feet(out, one_line(lesson.title), style, measurer);
  return out;
}

SheetPages lay_out_numbers(const teach::Lesson& lesson, const SheetStyle& style,
                           const TextMeasurer& measurer) {
  SheetPages out =
      on_pages(1, style, [&](const SheetStyle& attempt, Verses verses, OrMoves /*none*/) {
        return SheetSetter(lesson, attempt, measurer, ChordWriting::numbers, verses).numbers();
      });
  add_feet(out, one_line(lesson.title), style, measurer);
  return out;
}

}  // namespace stillhand::write
