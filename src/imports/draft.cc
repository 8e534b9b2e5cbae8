#include "imports/draft.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <map>
#include <set>

#include "base/nearest.h"
#include "base/utf8.h"
#include "chart/bar_text.h"
#include "chart/chart.h"

namespace stillhand::imports {
namespace {

constexpr std::size_t kBarsOfALine = 4;     // our judgement: what fits a page's width
constexpr std::size_t kMostSections = 200;  // as a chart
constexpr std::size_t kLongestText = 200;   // characters of a title or a remark (our judgement)

// C1 control characters, U+0080–U+009F, are no text either.
std::string without_controls(std::string text) {
  for (std::size_t at = text.find('\xC2'); at != std::string::npos;
       at = text.find('\xC2', at + 1)) {
    if (static_cast<unsigned char>(text[at + 1]) < 0xA0) text.replace(at, 2, " ");
  }
  return text;
}

// One line of plain text: control characters and line breaks become blanks, runs of blanks one.
std::string harmless(std::string_view text) {
  std::string out;
  for (const char c : without_controls(repaired(text))) {
    const bool is_blank = static_cast<unsigned char>(c) <= ' ' || c == '\x7f';
    if (is_blank && (out.empty() || out.back() == ' ')) continue;
    out += is_blank ? ' ' : c;
  }
  while (!out.empty() && out.back() == ' ') out.pop_back();
  if (out.size() > kLongestText) {
    std::size_t end = kLongestText;
    while (end > 0 && (static_cast<unsigned char>(out[end]) & 0xC0) == 0x80) --end;
    out.resize(end);
  }
  return out;
}

// A semicolon would begin a comment.
std::string header_text(std::string_view text) {
  std::string out = harmless(text);
  std::replace(out.begin(), out.end(), ';', ',');
  return out;
}

std::string words_text(std::string_view text) {
  std::string out = harmless(text);
  std::replace(out.begin(), out.end(), '|', ' ');
  // Behind the bar line a semicolon begins a comment.
  const std::size_t first = out.find_first_not_of(" ;");
  return first == std::string::npos ? "" : out.substr(first);
}

// Section names as a chart takes them: no commas, no "twice" or "3 times" at the end, no two alike.
class SectionNames {
 public:
  std::string make(std::string_view wanted) {
    std::string name = header_text(wanted);
    std::replace_if(
        name.begin(), name.end(), [](char c) { return c == ',' || c == '|' || c == '"'; }, ' ');
    name = harmless(name);
    for (;;) {
      const std::size_t blank = name.rfind(' ');
      const std::string last = lower_case(name.substr(blank == std::string::npos ? 0 : blank + 1));
      if (last != "twice" && last != "times") break;
      name = harmless(name.substr(0, blank == std::string::npos ? 0 : blank));
    }
    if (name.empty() || lower_case(name) == "road map") name = "Section";
    std::string unique = name;
    // "Verse 1" again is "Verse 1 (2)": the number of the name itself stays.
    const bool has_number = name.back() >= '0' && name.back() <= '9';
    for (int& number = last_[lower_case(name)]; !seen_.insert(lower_case(unique)).second;) {
      number = std::max(number + 1, 2);
      unique =
          has_number ? fmt::format("{} ({})", name, number) : fmt::format("{} {}", name, number);
    }
    return unique;
  }

 private:
  std::set<std::string> seen_;
  std::map<std::string, int> last_;  // number given to a name that came again
};

std::string symbol(const std::optional<Chord>& chord) {
  return chord ? music::text(*chord) : "N.C.";
}

class Writer {
 public:
  explicit Writer(const Draft& draft) : draft_(draft) {}

  std::string write() {
    head();
    SectionNames names;
    std::vector<std::string> used;
    for (const DraftSection& section : draft_.sections) {
      used.push_back(names.make(section.name));
      write_section(used.back(), section);
    }
    if (!draft_.road_map.empty()) {
      text_ += "\nroad map ";
      for (std::size_t i = 0; i < draft_.road_map.size(); ++i) {
        const auto& [section, times] = draft_.road_map[i];
        text_ += fmt::format("{}{}{}", i == 0 ? "" : ", ", used[section],
                             times > 1 ? fmt::format(" {} times", times) : "");
      }
      text_ += "\n";
    }
    return std::move(text_);
  }

 private:
  void head() {
    for (const std::string& doubt : draft_.doubts) text_ += fmt::format("; {}\n", harmless(doubt));
    const std::string title = header_text(draft_.title);
    text_ += fmt::format("title {}\n", title.empty() ? "Untitled" : title);
    if (const auto text = header_text(draft_.writers); !text.empty())
      text_ += fmt::format("writers {}\n", text);
    if (const auto text = header_text(draft_.rights); !text.empty())
      text_ += fmt::format("rights {}\n", text);
    if (draft_.tonality) text_ += fmt::format("key {}\n", music::text(*draft_.tonality));
    text_ += fmt::format("meter {}\n", music::text(draft_.meter));
    if (draft_.tempo) text_ += fmt::format("tempo {}\n", draft_.tempo->value());
  }

  void write_section(const std::string& name, const DraftSection& section) {
    text_ += fmt::format("\nsection {}\n", name);
    meter_ = draft_.meter;
    tonality_ = draft_.tonality;
    for (std::size_t first = 0; first < section.bars.size();) {
      std::size_t end = first + 1;
      while (end < section.bars.size() && end - first < kBarsOfALine &&
             !section.bars[end - 1].ends_line &&
             !begins_line(section.bars[end], section.bars[end - 1])) {
        ++end;
      }
      write_line(section.bars, first, end);
      first = end;
    }
  }

  // Bars that cannot share a line with the one before.
  static bool begins_line(const DraftBar& bar, const DraftBar& before) {
    return bar.meter != before.meter || bar.tonality != before.tonality || is_short(before) ||
           is_short(bar);
  }

  static bool is_short(const DraftBar& bar) { return bar.length < bar.meter.bar_length(); }

  void write_line(const std::vector<DraftBar>& bars, std::size_t first, std::size_t end) {
    const DraftBar& head = bars[first];
    if (head.meter != meter_) text_ += fmt::format("meter {}\n", music::text(head.meter));
    if (tonality_ && head.tonality != *tonality_)
      text_ += fmt::format("key {}\n", music::text(head.tonality));
    meter_ = head.meter;
    if (tonality_) tonality_ = head.tonality;

    std::string line = is_short(head) ? "pick-up " : "";
    std::string words;
    bool has_words = false;
    std::vector<std::string> doubts;
    const std::vector<int>* ending = first == 0 ? nullptr : &bars[first - 1].endings;
    for (std::size_t i = first; i < end; ++i) {
      const DraftBar& bar = bars[i];
      std::string sign = "|";
      if (bar.repeat_begins) sign += ":";
      if (!bar.endings.empty() && (ending == nullptr || *ending != bar.endings)) {
        for (const int number : bar.endings) sign += fmt::format("{}.", number);
      }
      ending = &bar.endings;
      // ":|" of the bar before already is a bar line.
      line += line.ends_with('|') ? sign.substr(1) : sign;
      line += " " + bar_text(bar, doubts) + " ";
      if (bar.repeat_times > 1) {
        line += ":|";
        if (bar.repeat_times > 2) line += fmt::format(" {} times ", bar.repeat_times);
      }
      const std::string sung = words_text(bar.words);
      has_words = has_words || !sung.empty();
      words += fmt::format("{} {} ", i == first ? "\"" : "|", sung);
      for (const std::string& doubt : bar.doubts)
        doubts.push_back(end - first > 1 ? fmt::format("bar {}: {}", i - first + 1, doubt) : doubt);
    }
    if (!line.ends_with('|')) line += "|";
    if (!doubts.empty())
      line += fmt::format("  ; {}", harmless(fmt::format("{}", fmt::join(doubts, ", "))));
    text_ += line + "\n";
    if (has_words) text_ += words + "|\n";
  }

  std::string bar_text(const DraftBar& bar, std::vector<std::string>& doubts) {
    std::vector<DraftChord> chords = bar.chords;
    if (chords.empty() || chords.front().start > Tick(0)) {
      chords.insert(chords.begin(), {Tick(0), sounding_});
    }
    const int count = bar.meter.count_length().value();
    for (DraftChord& chord : chords) {
      const int into = chord.start.value() % count;
      if (!fits(into, count)) {
        const int quarter = count / 4;
        chord.start = Tick(chord.start.value() - into + (into + quarter / 2) / quarter * quarter);
        doubts.push_back(
            fmt::format("{} moved to the nearest part of a count", symbol(chord.chord)));
      }
    }
    // Two chords on one place: the later one is what goes on.
    std::map<int, std::optional<Chord>> at;
    for (const DraftChord& chord : chords) {
      if (chord.start < bar.length) at[chord.start.value()] = chord.chord;
    }
    sounding_ = at.rbegin()->second;

    std::vector<chart::Onset> onsets;
    for (const auto& [start, chord] : at) onsets.push_back({Tick(start), symbol(chord)});
    if (auto text = chart::bar_text(onsets, bar.meter, bar.length)) return *text;
    std::vector<std::string> counts;
    for (Tick begin; begin < bar.length; begin += bar.meter.count_length()) {
      counts.push_back(
          some_count_text(onsets, begin, std::min(bar.meter.count_length(), bar.length - begin)));
    }
    return fmt::format("{}", fmt::join(counts, " "));
  }

  // The parts of a count that a parenthesis can say, and our ticks divide.
  static bool fits(int into, int count) {
    constexpr int kParts[] = {1, 2, 3, 4, 6, 8};
    return std::any_of(std::begin(kParts), std::end(kParts), [&](int parts) {
      return count % parts == 0 && into % (count / parts) == 0;
    });
  }

  // Triplets and halves in one count have no parenthesis: the first chord of each half is kept.
  static std::string some_count_text(const std::vector<chart::Onset>& onsets, Tick begin,
                                     Tick length) {
    if (auto text = chart::count_text(onsets, begin, length)) return *text;
    std::string out;
    for (int half = 0; half < 2; ++half) {
      const Tick from = begin + length / 2 * half;
      const auto found = std::find_if(onsets.begin(), onsets.end(), [&](const chart::Onset& onset) {
        return onset.at >= from && onset.at < from + length / 2;
      });
      out += (half == 0 ? "(" : " ") + (found == onsets.end() ? std::string("-") : found->symbol);
    }
    return out + ")";
  }

  const Draft& draft_;
  std::string text_;
  Meter meter_;
  std::optional<Tonality> tonality_;
  std::optional<Chord> sounding_;
};

}  // namespace

std::optional<Meter> meter_of_length(Meter like, Tick length) {
  const int beat = 4 * music::kQuarter.value() / like.lower();
  if (length.value() % beat != 0) return std::nullopt;
  return Meter::make(length.value() / beat, like.lower());
}

Result<std::string> draft_chart(const Draft& draft, const std::string& file) {
  const bool has_chord =
      std::any_of(draft.sections.begin(), draft.sections.end(), [](const DraftSection& section) {
        return std::any_of(section.bars.begin(), section.bars.end(),
                           [](const DraftBar& bar) { return !bar.chords.empty(); });
      });
  if (!has_chord) {
    return failure(Fault::chart, file, "no chords were found in it",
                   "a line of chords stands above its line of words; MusicXML has them as "
                   "<harmony>, a MIDI file as notes");
  }
  Draft kept = draft;
  std::erase_if(kept.sections, [](const DraftSection& section) { return section.bars.empty(); });
  if (kept.sections.size() != draft.sections.size()) kept.road_map.clear();
  if (kept.sections.size() > kMostSections) {
    return failure(Fault::chart, file, fmt::format("it has more than {} sections", kMostSections),
                   "import a shorter piece of it");
  }
  Result<std::string> chart = chart::format(Writer(kept).write(), file);
  if (chart) return chart;
  // Only the limits of a chart are left to break: its places say nothing about the foreign file.
  return failure(Fault::chart, file,
                 fmt::format("it does not fit into a chart: {}", chart.error().front().message),
                 "import a shorter piece of it");
}

}  // namespace stillhand::imports
