#include "teach/calls.h"

#include <algorithm>
#include <array>
#include <optional>
#include <utility>

#include "music/chord.h"

namespace stillhand::teach {
namespace {

using music::Tick;
using perform::Performance;

constexpr std::array<std::string_view, 13> kNumbers{"one",    "two",    "three",   "four", "five",
                                                    "six",    "seven",  "eight",   "nine", "ten",
                                                    "eleven", "twelve", "thirteen"};

// What stands in suffixes, the longer before what they begin with. Common practice, no source.
constexpr std::array<std::pair<std::string_view, std::string_view>, 10> kParts{{
    {"maj", "major"},
    {"m", "minor"},
    {"dim", "diminished"},
    {"aug", "augmented"},
    {"sus", "sus"},
    {"add", "add"},
    {"no", "no"},
    {"bb", "double flat"},
    {"b", "flat"},
    {"#", "sharp"},
}};

bool is_figure(char c) { return c >= '0' && c <= '9'; }

std::string spoken_note(music::NoteName note, music::NoteNames names) {
  std::string out = music::display(note, names);
  for (const auto& [sign, word] : {std::pair<std::string_view, std::string_view>{"♯", " sharp"},
                                   std::pair<std::string_view, std::string_view>{"♭", " flat"}}) {
    for (std::size_t at = out.find(sign); at != std::string::npos; at = out.find(sign))
      out.replace(at, sign.size(), word);
  }
  return out;
}

std::string spoken_suffix(std::string_view suffix) {
  std::string out;
  while (!suffix.empty()) {
    if (is_figure(suffix.front())) {
      const std::size_t end = std::min(suffix.find_first_not_of("0123456789"), suffix.size());
      out += " " + spoken_number(std::stoi(std::string(suffix.substr(0, end))));
      suffix.remove_prefix(end);
      continue;
    }
    const auto* const part = std::find_if(kParts.begin(), kParts.end(), [suffix](const auto& each) {
      return suffix.starts_with(each.first);
    });
    if (part != kParts.end()) out.append(" ").append(part->second);
    suffix.remove_prefix(part == kParts.end() ? 1 : part->first.size());  // ( ) and / are not said
  }
  return out;
}

music::Meter meter_before(const Performance& p, Tick at) {
  music::Meter out = p.meters.empty() ? music::Meter() : p.meters.front().value;
  for (const auto& [start, meter] : p.meters) {
    if (start < at) out = meter;
  }
  return out;
}

void add_counts(const Performance& p, std::vector<Call>& out) {
  for (const perform::Span& span : perform::count_ins(p)) {
    int count = 0;
    for (const perform::Click& click : p.clicks) {
      if (click.start < span.start || click.start >= span.end) continue;
      count = click.is_first_of_bar ? 1 : count + 1;
      out.push_back({click.start, click.start, spoken_number(count), CallKind::count});
    }
  }
}

void add_chords(const Performance& p, music::NoteNames names, std::vector<Call>& out) {
  const std::vector<perform::Span> breaks = perform::count_ins(p);
  std::optional<perform::At<std::string>> before;
  for (const auto& chord : p.chords) {
    const bool is_again =
        before && before->value == chord.value &&
        std::none_of(breaks.begin(), breaks.end(), [&](const perform::Span& count_in) {
          return count_in.start >= before->start && count_in.end <= chord.start;
        });
    before = chord;
    const std::string says = spoken_chord(chord.value, names);
    if (is_again || says.empty()) continue;
    const Tick ahead = chord.start - meter_before(p, chord.start).count_length();
    out.push_back({std::max(Tick(0), ahead), chord.start, says, CallKind::chord});
  }
}

}  // namespace

std::string spoken_number(int number) {
  const bool is_known = number >= 1 && number <= static_cast<int>(kNumbers.size());
  return is_known ? std::string(kNumbers[static_cast<std::size_t>(number - 1)])
                  : std::to_string(number);
}

std::string spoken_chord(std::string_view symbol, music::NoteNames names) {
  if (symbol == "N.C.") return "no chord";
  const auto chord = music::parse_chord(symbol);
  if (!chord) return {};
  std::string out = spoken_note(chord->root, names) + spoken_suffix(chord->quality.suffix);
  if (chord->bass) out += " over " + spoken_note(*chord->bass, names);
  return out;
}

std::vector<Call> calls(const Performance& performance, music::NoteNames names) {
  std::vector<Call> out;
  add_counts(performance, out);
  add_chords(performance, names, out);
  std::stable_sort(out.begin(), out.end(),
                   [](const Call& a, const Call& b) { return a.at < b.at; });
  return out;
}

}  // namespace stillhand::teach
