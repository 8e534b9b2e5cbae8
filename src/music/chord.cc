#include "music/chord.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <charconv>
#include <cstdlib>
#include <limits>
#include <tuple>

#include "music/embedded.h"

namespace stillhand::music {
namespace {

constexpr int kLargestDegree = 13;
constexpr std::size_t kLongestSuffix = 48;  // bytes; longer text is no chord symbol (our judgement)

// ---- reading degrees

int take_alteration(std::string_view& text) {
  int alteration = 0;
  for (;;) {
    if (text.starts_with("#") || text.starts_with("+")) {
      ++alteration;
      text.remove_prefix(1);
    } else if (text.starts_with("b") || text.starts_with("-")) {
      --alteration;
      text.remove_prefix(1);
    } else if (text.starts_with("♯")) {
      ++alteration;
      text.remove_prefix(3);
    } else if (text.starts_with("♭")) {
      --alteration;
      text.remove_prefix(3);
    } else
      return alteration;
  }
}

std::optional<int> take_number(std::string_view& text) {
  int number = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), number);
  if (error != std::errc{} || number < 1 || number > kLargestDegree) return std::nullopt;
  text.remove_prefix(static_cast<std::size_t>(end - text.data()));
  return number;
}

std::optional<Degree> take_degree(std::string_view& text) {
  std::string_view rest = text;
  const int alteration = take_alteration(rest);
  const auto number = take_number(rest);
  if (!number || std::abs(alteration) > 2) return std::nullopt;
  text = rest;
  return Degree{static_cast<std::int8_t>(*number), static_cast<std::int8_t>(alteration)};
}

// ---- the table

struct Spelling {
  std::string text;
  std::size_t quality;  // index into Table::qualities
};

struct Table {
  std::vector<ChordQuality> qualities;
  std::vector<Spelling> spellings;  // longest first
};

std::vector<std::string_view> split(std::string_view text, char at) {
  std::vector<std::string_view> parts;
  for (;;) {
    const std::size_t end = text.find(at);
    parts.push_back(text.substr(0, end));
    if (end == std::string_view::npos) return parts;
    text.remove_prefix(end + 1);
  }
}

Table read_table() {
  Table table;
  for (std::string_view line : split(data::chords_tsv, '\n')) {
    if (line.empty() || line.front() == '#') continue;
    const auto columns = split(line, '\t');
    assert(columns.size() == 4);
    ChordQuality quality;
    quality.suffix = columns[0] == "_" ? "" : std::string(columns[0]);
    for (std::string_view word : split(columns[2], ' '))
      quality.degrees.push_back(*take_degree(word));
    table.spellings.push_back({quality.suffix, table.qualities.size()});
    if (columns[1] != ".") {
      for (std::string_view word : split(columns[1], ' ')) {
        table.spellings.push_back({std::string(word), table.qualities.size()});
      }
    }
    table.qualities.push_back(std::move(quality));
  }
  std::stable_sort(
      table.spellings.begin(), table.spellings.end(),
      [](const Spelling& a, const Spelling& b) { return a.text.size() > b.text.size(); });
  return table;
}

const Table& table() {
  static const Table the_table = read_table();
  return the_table;
}

// ---- modifiers after a known suffix

constexpr std::array<Degree, 7> kAlterations{
    {{5, -1}, {5, 1}, {9, -1}, {9, 1}, {11, 1}, {13, -1}, {13, 1}}};

bool is_alteration(Degree degree) {
  return std::find(kAlterations.begin(), kAlterations.end(), degree) != kAlterations.end();
}

void insert(std::vector<Degree>& degrees, Degree degree) {
  const auto at = std::lower_bound(degrees.begin(), degrees.end(), degree);
  if (at == degrees.end() || *at != degree) degrees.insert(at, degree);
}

bool contains(const std::vector<Degree>& degrees, Degree degree) {
  return std::find(degrees.begin(), degrees.end(), degree) != degrees.end();
}

void remove_number(std::vector<Degree>& degrees, int number) {
  std::erase_if(degrees, [number](Degree d) { return d.number == number; });
}

bool take_word(std::string_view& text, std::string_view word) {
  if (!text.starts_with(word)) return false;
  text.remove_prefix(word.size());
  return true;
}

// Applies "b9", "add11", "no3" … to `degrees`; false when the rest of the text is something else.
bool apply_modifiers(std::string_view text, std::vector<Degree>& degrees) {
  bool open = false;
  while (!text.empty()) {
    if (take_word(text, "(")) {
      if (open) return false;
      open = true;
    } else if (take_word(text, ")")) {
      if (!open) return false;
      open = false;
    } else if (open && (take_word(text, ",") || take_word(text, " "))) {
      continue;
    } else if (take_word(text, "add")) {
      const auto degree = take_degree(text);
      if (!degree || degree->number == 1) return false;
      insert(degrees, *degree);
    } else if (take_word(text, "no") || take_word(text, "omit")) {
      const auto number = take_number(text);
      if (!number || std::none_of(degrees.begin(), degrees.end(),
                                  [&](Degree d) { return d.number == *number; })) {
        return false;
      }
      remove_number(degrees, *number);
    } else {
      const auto degree = take_degree(text);
      if (!degree || !is_alteration(*degree)) return false;
      std::erase(degrees, Degree{degree->number, 0});
      insert(degrees, *degree);
    }
  }
  return !open && !degrees.empty();
}

// The words that turn `base` into `wanted`, or nullopt if they cannot.
std::optional<std::vector<std::string>> modifiers_between(const std::vector<Degree>& base,
                                                          const std::vector<Degree>& wanted) {
  std::vector<std::string> altered;
  std::vector<std::string> added;
  std::vector<std::string> omitted;
  std::vector<Degree> reached = base;
  for (Degree degree : base) {
    if (contains(wanted, degree)) continue;
    const auto same_number = [&](Degree d) { return d.number == degree.number; };
    const bool replaced = degree.alteration == 0 &&
                          std::any_of(wanted.begin(), wanted.end(),
                                      [&](Degree d) { return same_number(d) && is_alteration(d); });
    if (replaced) continue;  // the alteration below takes its place
    if (std::count_if(reached.begin(), reached.end(), same_number) == 0) continue;
    omitted.push_back("no" + std::to_string(degree.number));
    remove_number(reached, degree.number);
  }
  for (Degree degree : wanted) {
    if (contains(reached, degree)) continue;
    const bool as_alteration = is_alteration(degree) && !contains(wanted, {degree.number, 0});
    (as_alteration ? altered : added).push_back((as_alteration ? "" : "add") + text(degree));
  }
  std::vector<std::string> words;
  // Omissions come before additions: "no3addb3" must not lose what it just added.
  for (auto* part : {&altered, &omitted, &added})
    words.insert(words.end(), part->begin(), part->end());
  return words;
}

std::string join(const std::string& base, const std::vector<std::string>& words) {
  std::string out = base;
  for (const std::string& word : words) {
    const bool glued = word.front() != 'b' && word.front() != '#';
    // A bare accidental after the root would be read as part of the root: Cb5 is a power chord on C
    // flat.
    const bool after_digit =
        !out.empty() && std::isdigit(static_cast<unsigned char>(out.back())) != 0;
    out += glued || after_digit ? word : "(" + word + ")";
  }
  return out;
}

// ---- suggestions

int edit_distance(std::string_view a, std::string_view b) {
  std::vector<int> previous(b.size() + 1);
  std::vector<int> current(b.size() + 1);
  for (std::size_t j = 0; j <= b.size(); ++j) previous[j] = static_cast<int>(j);
  for (std::size_t i = 1; i <= a.size(); ++i) {
    current[0] = static_cast<int>(i);
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const int change = previous[j - 1] + (a[i - 1] == b[j - 1] ? 0 : 1);
      current[j] = std::min({previous[j] + 1, current[j - 1] + 1, change});
    }
    std::swap(previous, current);
  }
  return previous[b.size()];
}

}  // namespace

Interval Degree::interval() const {
  const int steps = number - 1;
  const int natural = NoteName::kNatural[static_cast<std::size_t>(steps % 7)] + 12 * (steps / 7);
  return {steps, Semitones(natural + alteration)};
}

std::string text(Degree degree) {
  std::string out;
  for (int i = 0; i < degree.alteration; ++i) out += '#';
  for (int i = 0; i > degree.alteration; --i) out += 'b';
  return out + std::to_string(degree.number);
}

bool ChordQuality::has(int number) const {
  return std::any_of(degrees.begin(), degrees.end(),
                     [number](Degree d) { return d.number == number; });
}

std::vector<NoteName> Chord::notes() const {
  std::vector<NoteName> names;
  names.reserve(quality.degrees.size());
  for (Degree degree : quality.degrees) names.push_back(note(degree));
  return names;
}

std::string text(const Chord& chord) {
  std::string out = text(chord.root) + chord.quality.suffix;
  if (chord.bass) out += "/" + text(*chord.bass);
  return out;
}

std::optional<ChordQuality> parse_quality(std::string_view suffix) {
  if (suffix.size() > kLongestSuffix) return std::nullopt;
  for (const Spelling& spelling : table().spellings) {
    if (!suffix.starts_with(spelling.text)) continue;
    std::vector<Degree> degrees = table().qualities[spelling.quality].degrees;
    if (apply_modifiers(suffix.substr(spelling.text.size()), degrees))
      return quality_of(std::move(degrees));
  }
  return std::nullopt;
}

std::optional<Chord> parse_chord(std::string_view text) {
  std::string_view rest = text;
  const auto root = take_note(rest);
  if (!root) return std::nullopt;
  Chord chord{*root, {}, std::nullopt};
  // "6/9" also holds a slash: only a note after the last slash is a bass.
  if (const std::size_t slash = rest.rfind('/'); slash != std::string_view::npos) {
    if (const auto bass = parse_note(rest.substr(slash + 1))) {
      chord.bass = *bass;
      rest = rest.substr(0, slash);
    }
  }
  const auto quality = parse_quality(rest);
  if (!quality) return std::nullopt;
  chord.quality = *quality;
  return chord;
}

ChordQuality quality_of(std::vector<Degree> degrees) {
  std::sort(degrees.begin(), degrees.end());
  degrees.erase(std::unique(degrees.begin(), degrees.end()), degrees.end());
  for (const ChordQuality& known : table().qualities) {
    if (known.degrees == degrees) return known;
  }
  std::size_t fewest = std::numeric_limits<std::size_t>::max();
  std::string suffix;
  for (const ChordQuality& known : table().qualities) {
    const auto words = modifiers_between(known.degrees, degrees);
    if (!words || words->size() >= fewest) continue;
    fewest = words->size();
    suffix = join(known.suffix, *words);
  }
  return {std::move(degrees), std::move(suffix)};
}

const std::vector<ChordQuality>& known_qualities() { return table().qualities; }

std::optional<std::string> suggest_chord(std::string_view text) {
  if (text.empty() || text.size() > kLongestSuffix) return std::nullopt;
  std::string upper(text);
  upper[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(upper[0])));
  if (upper[0] == 'H') upper[0] = 'B';
  if (const auto chord = parse_chord(upper)) return stillhand::music::text(*chord);
  std::string_view rest = upper;
  std::string bass;
  const auto root = take_note(rest);
  if (!root) return std::nullopt;
  if (const std::size_t slash = rest.rfind('/'); slash != std::string_view::npos && slash > 0) {
    bass = rest.substr(slash);
    rest = rest.substr(0, slash);
    if (!parse_note(std::string_view(bass).substr(1))) bass.clear();
  }
  std::optional<std::string> found;
  // Of equally near spellings a canonical one is likelier meant, then the earlier in the table.
  const int most = static_cast<int>(std::max<std::size_t>(1, rest.size() / 2));
  using Rank = std::tuple<int, bool, std::size_t>;
  std::optional<Rank> best;
  for (const Spelling& spelling : table().spellings) {
    const std::string& canonical = table().qualities[spelling.quality].suffix;
    const Rank rank{edit_distance(rest, spelling.text), spelling.text != canonical,
                    spelling.quality};
    if (std::get<0>(rank) > most || (best && rank >= *best)) continue;
    best = rank;
    found = stillhand::music::text(*root) + canonical + bass;
  }
  return found;
}

}  // namespace stillhand::music
