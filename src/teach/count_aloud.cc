#include "teach/count_aloud.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <string_view>

namespace stillhand::teach {
namespace {

using music::Meter;
using music::NoteNames;
using music::Tick;

constexpr std::string_view kTogether = "–";

// What one word of counting lasts.
Tick counted_length(Meter meter) {
  return meter.is_compound() ? meter.count_length() / 3 : meter.count_length();
}

std::string joined(const std::vector<std::string>& words) {
  return fmt::format("{}", fmt::join(words, ", "));
}

class BarCounter {
 public:
  enum class Beginning { says_its_chord, goes_on };

  BarCounter(const SheetBar& bar, NoteNames names, Beginning beginning)
      : bar_(bar), names_(names), beginning_(beginning) {}

  std::string words() const {
    const Tick each = counted_length(bar_.meter);
    const Tick length = bar_.cut_to.value_or(bar_.length);
    // A pick-up is the end of its bar.
    const Tick into =
        bar_.is_pick_up ? std::max(bar_.meter.bar_length() - length, Tick(0)) : Tick(0);
    std::vector<std::string> out;
    for (int count = into.value() / each.value(); each * count < into + length; ++count) {
      const Tick begin = std::max(each * count, into) - into;
      const Tick end = std::min(each * (count + 1) - into, length);
      out.push_back(count_of(count, begin, end, each * count >= into));
    }
    return joined(out);
  }

 private:
  bool is_named(const SheetChord& chord) const {
    const bool is_first = chord.start == Tick(0);
    if (chord.chord == "N.C." && bar_.is_pick_up) return false;
    return !chord.is_held || (is_first && beginning_ == Beginning::says_its_chord);
  }

  std::string said(const SheetChord& chord) const {
    return chord.chord == "N.C." ? "rest" : music::display_symbol(chord.chord, names_);
  }

  // The chords that come in [begin, end) of the bar; the number, if none comes with the count itself.
  std::string count_of(int count, Tick begin, Tick end, bool is_whole) const {
    std::vector<std::string> parts;
    for (const SheetChord& chord : bar_.chords) {
      if (chord.start < begin || chord.start >= end || !is_named(chord)) continue;
      if (parts.empty() && chord.start > begin) parts.push_back(number(count, is_whole));
      parts.push_back(said(chord));
    }
    if (parts.empty()) return number(count, is_whole);
    return fmt::format("{}", fmt::join(parts, kTogether));
  }

  static std::string number(int count, bool is_whole) {
    return is_whole ? number_in_words(count + 1) : "and";
  }

  const SheetBar& bar_;
  NoteNames names_;
  Beginning beginning_;
};

// All bars of a section in a row, with the repeat signs read.
class SectionCounter {
 public:
  SectionCounter(const SheetSection& section, NoteNames names) : names_(names) {
    for (const SheetLine& line : section.lines) {
      for (const SheetBar& bar : line.bars) {
        begins_line_.push_back(&bar == &line.bars.front());
        bars_.push_back(&bar);
      }
    }
  }

  std::vector<CountedBar> bars() const {
    std::vector<CountedBar> out;
    for (std::size_t i = 0; i < bars_.size(); ++i) {
      const bool says = begins_line_[i] || bars_[i - 1]->is_pick_up;
      const BarCounter counter(
          *bars_[i], names_,
          says ? BarCounter::Beginning::says_its_chord : BarCounter::Beginning::goes_on);
      out.push_back({before(i), counter.words(), after(i)});
    }
    return out;
  }

 private:
  bool begins_ending(std::size_t i) const {
    return !bars_[i]->endings.empty() && (i == 0 || bars_[i - 1]->endings != bars_[i]->endings);
  }

  bool ends_ending(std::size_t i) const {
    return !bars_[i]->endings.empty() &&
           (i + 1 == bars_.size() || bars_[i + 1]->endings != bars_[i]->endings);
  }

  std::string before(std::size_t i) const {
    std::vector<std::string> parts;
    const bool is_at_beginning = i == 0 || (i == 1 && bars_[0]->is_pick_up);
    if (bars_[i]->repeat_begins && !is_at_beginning) parts.emplace_back("from here");
    if (begins_ending(i)) {
      std::string times;
      for (const int number : bars_[i]->endings)
        times += (times.empty() ? "" : ", ") + ordinal_in_words(number);
      parts.push_back(times + " time");
    }
    if (i > 0 && bars_[i]->meter != bars_[i - 1]->meter)
      parts.push_back("now " + music::text(bars_[i]->meter));
    return parts.empty() ? "" : joined(parts) + ":";
  }

  std::string after(std::size_t i) const {
    const SheetBar& bar = *bars_[i];
    if (bar.is_vamp) return "again and again, until the cue";
    const bool is_followed_by_ending = i + 1 < bars_.size() && begins_ending(i + 1);
    if (ends_ending(i) && is_followed_by_ending) return "again";
    if (bar.repeat_times > 2 && bar.endings.empty())
      return fmt::format("again, {} times in all", number_in_words(bar.repeat_times));
    return bar.repeat_times == 2 && bar.endings.empty() ? "again" : "";
  }

  NoteNames names_;
  std::vector<const SheetBar*> bars_;
  std::vector<bool> begins_line_;
};

}  // namespace

std::string number_in_words(int number) {
  constexpr std::array<std::string_view, 13> kWords{"no",   "one",    "two",   "three", "four",
                                                    "five", "six",    "seven", "eight", "nine",
                                                    "ten",  "eleven", "twelve"};
  return number >= 0 && number <= 12 ? std::string(kWords[static_cast<std::size_t>(number)])
                                     : std::to_string(number);
}

std::string ordinal_in_words(int number) {
  constexpr std::array<std::string_view, 13> kWords{
      "",        "first",  "second", "third", "fourth",   "fifth",  "sixth",
      "seventh", "eighth", "ninth",  "tenth", "eleventh", "twelfth"};
  if (number > 0 && number <= 12) return std::string(kWords[static_cast<std::size_t>(number)]);
  const bool is_teen = number / 10 % 10 == 1;
  const int last = number % 10;
  return fmt::format("{}{}", number,
                     is_teen || last == 0 || last > 3 ? "th"
                     : last == 1                      ? "st"
                     : last == 2                      ? "nd"
                                                      : "rd");
}

std::string at_its_time(const std::string& section, int time) {
  return time <= 1 ? section : fmt::format("{} ({} time)", section, ordinal_in_words(time));
}

std::string counts_in_words(Meter meter) {
  std::vector<std::string> words;
  const int counts = meter.bar_length().value() / counted_length(meter).value();
  for (int count = 1; count <= counts; ++count) words.push_back(number_in_words(count));
  return joined(words);
}

CountAloud count_aloud(const SheetSection& section, NoteNames names) {
  CountAloud out;
  const std::vector<CountedBar> all = SectionCounter(section, names).bars();
  auto next = all.begin();
  for (const SheetLine& line : section.lines) {
    const auto end = next + static_cast<std::ptrdiff_t>(line.bars.size());
    if (next != end) out.lines.push_back({{next, end}});
    next = end;
  }
  return out;
}

bool is_counted_alike(const CountAloud& a, const CountAloud& b) {
  if (a == b) return true;
  if (a.lines.empty() || b.lines.empty()) return false;
  CountAloud one = a;
  CountAloud other = b;
  std::string* end = &one.lines.back().bars.back().words;
  std::string* other_end = &other.lines.back().bars.back().words;
  if (end->size() < other_end->size()) std::swap(end, other_end);
  if (!end->starts_with(*other_end)) return false;
  // Cut between two counts, not within a word: A is no shorter A7.
  if (end->size() > other_end->size() && (*end)[other_end->size()] != ',') return false;
  *end = *other_end;
  return one == other;
}

std::string counted_as(const std::string& section, const CountAloud& before,
                       const CountAloud& now) {
  if (before == now || now.lines.empty() || now.lines.back().bars.empty()) return "as " + section;
  return fmt::format("as {}, but its last bar: {}", section, now.lines.back().bars.back().words);
}

CountedLine count_aloud(const SheetOption& option, NoteNames names) {
  SheetSection alone;
  alone.lines.push_back({option.bars, {}});
  const CountAloud counted = count_aloud(alone, names);
  return counted.lines.empty() ? CountedLine{} : counted.lines.front();
}

std::string in_words(const CountedLine& line) {
  std::string out;
  for (const CountedBar& bar : line.bars) {
    if (!out.empty()) out += " | ";
    if (!bar.before.empty()) out += bar.before + " ";
    out += bar.words;
    if (!bar.after.empty()) out += " | " + bar.after;
  }
  return out;
}

}  // namespace stillhand::teach
