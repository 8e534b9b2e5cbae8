// MusicXML (W3C Community Group, version 4.0, 2021): chords from <harmony>, bars, keys, meters, repeats and endings, words
// from the first voice's lyrics, section names from rehearsal marks.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <map>
#include <optional>
#include <pugixml.hpp>
#include <string>
#include <vector>

#include "chart/song.h"
#include "imports/draft.h"
#include "imports/imports.h"
#include "music/kind_values.h"
#include "music/pitch.h"

namespace stillhand::imports {
namespace {

using music::ChordQuality;
using music::Degree;
using music::Letter;
using music::NoteName;

constexpr int kMostDivisions =
    100'000;  // of a quarter; real files have up to some thousands (our judgement)

// The suffix of a kind; `pedal` is a bass alone, and its chord a fifth at most.
std::optional<std::string_view> suffix_of(std::string_view kind) {
  if (kind == "pedal") return "5";
  for (const music::KindValue& known : music::kKindValues) {
    if (kind == known.name) return known.suffix;
  }
  return std::nullopt;
}

std::string text_of(const pugi::xml_node& node, const char* child) {
  return node.child(child).text().as_string();
}

std::optional<NoteName> note_of(const std::string& step, double alter) {
  if (step.size() != 1 || step[0] < 'A' || step[0] > 'G' || !(std::abs(alter) <= 2))
    return std::nullopt;
  const int letter = (step[0] - 'A' + 5) % 7;  // C is the first letter
  return NoteName{static_cast<Letter>(letter), static_cast<std::int8_t>(std::lround(alter))};
}

// <degree>: an addition counts from the dominant chord (a major or perfect interval, the seventh minor); an alteration from
// what the kind already holds.
bool apply_degree(std::vector<Degree>& degrees, const pugi::xml_node& node) {
  const int number = node.child("degree-value").text().as_int();
  const int alter = node.child("degree-alter").text().as_int();
  const std::string type = text_of(node, "degree-type");
  if (number < 1 || number > 13 || std::abs(alter) > 2) return false;
  const auto found =
      std::find_if(degrees.begin(), degrees.end(), [&](Degree d) { return d.number == number; });
  if (type == "subtract") {
    if (found != degrees.end()) degrees.erase(found);
    return true;
  }
  if (type == "alter" && found != degrees.end()) {
    found->alteration = static_cast<std::int8_t>(found->alteration + alter);
    return true;
  }
  if (type != "add" && type != "alter") return false;
  const int flat = number == 7 ? -1 : 0;
  degrees.push_back({static_cast<std::int8_t>(number), static_cast<std::int8_t>(flat + alter)});
  return true;
}

struct Harmony {
  std::optional<Chord> chord;  // nullopt = N.C.
  std::string doubt;
};

Harmony harmony_of(const pugi::xml_node& node) {
  Harmony out;
  const pugi::xml_node kind_node = node.child("kind");
  const std::string kind = kind_node.text().as_string();
  if (kind == "none") return out;
  const pugi::xml_node root_node = node.child("root");
  const auto root =
      note_of(text_of(root_node, "root-step"), root_node.child("root-alter").text().as_double());
  if (!root) {
    out.doubt = "a chord without a root was left out";
    return out;
  }
  const std::optional<std::string_view> suffix = suffix_of(kind);
  const std::string printed = kind_node.attribute("text").as_string();
  std::optional<ChordQuality> quality;
  if (suffix) {
    quality = music::parse_quality(*suffix);
  } else {
    quality = music::parse_quality(printed);
    out.doubt = fmt::format("chord kind {} read as {}", kind.empty() ? "(none)" : kind,
                            quality ? music::text(Chord{*root, *quality, {}}) : "major");
    if (!quality) quality = music::parse_quality("");
  }
  std::vector<Degree> degrees = quality->degrees;
  bool is_clear = true;
  for (const pugi::xml_node& degree : node.children("degree"))
    is_clear = apply_degree(degrees, degree) && is_clear;
  Chord chord{*root, music::quality_of(degrees), std::nullopt};
  const pugi::xml_node bass_node = node.child("bass");
  if (bass_node) {
    chord.bass =
        note_of(text_of(bass_node, "bass-step"), bass_node.child("bass-alter").text().as_double());
    is_clear = is_clear && chord.bass.has_value();
    if (chord.bass == chord.root) chord.bass.reset();
  }
  const auto back = music::parse_chord(music::text(chord));
  if (!back || !(*back == chord)) {
    chord.quality = *quality;
    is_clear = false;
  }
  if (!is_clear && out.doubt.empty())
    out.doubt = fmt::format("{} is only near what was written", music::text(chord));
  out.chord = chord;
  return out;
}

class Reader {
 public:
  Reader(const pugi::xml_document& document, const std::string& file)
      : score_(document.child("score-partwise")), file_(file) {}

  Result<std::string> read() {
    head();
    const pugi::xml_node part = part_with_harmony();
    if (!part) {
      return failure(Fault::chart, file_, "it has no chord symbols (<harmony>)",
                     "export the song with its chord symbols, or import a MIDI file of it");
    }
    draft_.sections.push_back({"Song", {}});
    for (const pugi::xml_node& measure : part.children("measure")) {
      if (++bars_ > chart::kMostPlayedBars)
        return failure(Fault::chart, file_,
                       fmt::format("it has more than {} bars", chart::kMostPlayedBars),
                       "import a shorter piece of it");
      read_measure(measure);
    }
    draft_.tonality = first_tonality_;
    if (first_meter_) draft_.meter = *first_meter_;
    for (DraftSection& section : draft_.sections) settle_lengths(section);
    return draft_chart(draft_, file_);
  }

 private:
  void head() {
    draft_.title = text_of(score_.child("work"), "work-title");
    if (draft_.title.empty()) draft_.title = text_of(score_, "movement-title");
    std::vector<std::string> writers;
    for (const pugi::xml_node& creator : score_.child("identification").children("creator")) {
      const std::string type = creator.attribute("type").as_string();
      const std::string name = creator.text().as_string();
      if (!name.empty()) writers.push_back(type.empty() ? name : fmt::format("{}: {}", type, name));
    }
    draft_.writers = fmt::format("{}", fmt::join(writers, ", "));
    draft_.rights = text_of(score_.child("identification"), "rights");
  }

  pugi::xml_node part_with_harmony() const {
    for (const pugi::xml_node& part : score_.children("part")) {
      for (const pugi::xml_node& measure : part.children("measure")) {
        if (measure.child("harmony")) return part;
      }
    }
    return {};
  }

  void read_measure(const pugi::xml_node& measure) {
    DraftBar bar;
    long cursor = 0;  // divisions
    long longest = 0;
    std::vector<std::pair<long, Harmony>> harmonies;
    std::string words;
    for (const pugi::xml_node& node : measure.children()) {
      const std::string_view name = node.name();
      if (name == "attributes") {
        attributes(node);
      } else if (name == "harmony") {
        harmonies.emplace_back(cursor + offset_of(node), harmony_of(node));
      } else if (name == "direction") {
        direction(node);
      } else if (name == "sound") {
        sound(node);
      } else if (name == "note") {
        if (!node.child("chord") && !node.child("grace")) cursor += duration_of(node);
        sing(node, words);
      } else if (name == "backup") {
        cursor = std::max(0L, cursor - duration_of(node));
      } else if (name == "forward") {
        cursor += duration_of(node);
      } else if (name == "barline") {
        bar_line(node, bar);
      }
      longest = std::max(longest, cursor);
    }
    bar.meter = meter_;
    bar.tonality = tonality_;
    bar.length = longest > 0 ? tick_of(longest) : meter_.bar_length();
    for (auto& [at, harmony] : harmonies) {
      if (!harmony.doubt.empty()) bar.doubts.push_back(harmony.doubt);
      if (harmony.chord || harmony.doubt.empty())
        bar.chords.push_back({std::max(Tick(0), tick_of(at)), harmony.chord});
    }
    std::stable_sort(bar.chords.begin(), bar.chords.end(),
                     [](const DraftChord& a, const DraftChord& b) { return a.start < b.start; });
    bar.words = words;
    bar.doubts.insert(bar.doubts.end(), pending_doubts_.begin(), pending_doubts_.end());
    pending_doubts_.clear();
    bar.endings = endings_;
    if (ending_stops_) endings_.clear();
    ending_stops_ = false;
    draft_.sections.back().bars.push_back(std::move(bar));
  }

  // Bars that are not as long as their meter: at the front a pick-up; one that completes the short bar before it a pick-up
  // too; any other has a meter of its own, or is filled up.
  void settle_lengths(DraftSection& section) const {
    const bool is_first = &section == &draft_.sections.front();
    std::vector<Tick> written;
    for (const DraftBar& bar : section.bars) written.push_back(bar.length);
    for (std::size_t i = 0; i < section.bars.size(); ++i) {
      DraftBar& bar = section.bars[i];
      const Tick whole = bar.meter.bar_length();
      if (bar.length == whole) continue;
      const bool opens = is_first && i == 0 && section.bars.size() > 1;
      const int count = bar.meter.count_length().value();
      const bool in_counts = bar.length.value() % count == 0 || bar.length.value() < count;
      if (opens && bar.length < whole && in_counts) continue;
      if (i > 0 && bar.length < whole && in_counts && written[i - 1] + bar.length == whole) {
        continue;
      }
      const auto own = meter_of_length(bar.meter, bar.length);
      if (own) bar.meter = *own;
      if (!own) bar.doubts.push_back("the bar is not as long as its meter");
      bar.length = bar.meter.bar_length();
    }
  }

  // ---- time

  long duration_of(const pugi::xml_node& node) const {
    const double duration = node.child("duration").text().as_double();
    return duration >= 0 && duration < 1e7 ? std::lround(duration) : 0;
  }

  static long offset_of(const pugi::xml_node& node) {
    const double offset = node.child("offset").text().as_double();
    return std::abs(offset) < 1e7 ? std::lround(offset) : 0;
  }

  Tick tick_of(long divisions) const {
    const double quarters = static_cast<double>(divisions) / divisions_;
    return Tick(
        static_cast<int>(std::lround(std::clamp(quarters, -64.0, 64.0) * music::kQuarter.value())));
  }

  // ---- attributes and signs

  void attributes(const pugi::xml_node& node) {
    if (const int divisions = node.child("divisions").text().as_int();
        divisions >= 1 && divisions <= kMostDivisions) {
      divisions_ = divisions;
    }
    if (const pugi::xml_node key = node.child("key").child("fifths")) {
      const int fifths = key.text().as_int();
      const bool is_minor = text_of(node.child("key"), "mode") == "minor";
      if (fifths >= -7 && fifths <= 7) {
        tonality_ = {NoteName::at_fifths(fifths + (is_minor ? 3 : 0)),
                     is_minor ? music::Mode::minor : music::Mode::major};
        if (!first_tonality_) first_tonality_ = tonality_;
      }
    }
    if (const pugi::xml_node time = node.child("time"); time.child("beats")) {
      const auto meter =
          music::parse_meter(text_of(time, "beats") + "/" + text_of(time, "beat-type"));
      if (meter) {
        meter_ = *meter;
      } else {
        pending_doubts_.push_back(fmt::format("meter {}/{} is not one a chart can have",
                                              text_of(time, "beats"), text_of(time, "beat-type")));
      }
      if (!first_meter_) first_meter_ = meter_;
    }
  }

  void direction(const pugi::xml_node& node) {
    for (const pugi::xml_node& type : node.children("direction-type")) {
      if (const pugi::xml_node mark = type.child("rehearsal"))
        begin_section(mark.text().as_string());
      if (const pugi::xml_node metronome = type.child("metronome")) read_metronome(metronome);
    }
    if (const pugi::xml_node heard = node.child("sound")) sound(heard);
  }

  void begin_section(const std::string& name) {
    if (draft_.sections.back().bars.empty()) {
      draft_.sections.back().name = name;
    } else {
      draft_.sections.push_back({name, {}});
    }
  }

  // Quarters a minute, whatever the meter.
  void sound(const pugi::xml_node& node) {
    const pugi::xml_attribute tempo = node.attribute("tempo");
    if (tempo) set_tempo(tempo.as_double());
    for (const char* jump : {"dacapo", "dalsegno", "tocoda", "coda", "segno"}) {
      if (node.attribute(jump))
        pending_doubts_.push_back(fmt::format("{}: mend the road map", jump));
    }
  }

  void read_metronome(const pugi::xml_node& node) {
    static const std::map<std::string, double> kQuarters{
        {"whole", 4}, {"half", 2}, {"quarter", 1}, {"eighth", 0.5}, {"16th", 0.25}};
    const auto unit = kQuarters.find(text_of(node, "beat-unit"));
    const double per_minute = node.child("per-minute").text().as_double();
    if (unit == kQuarters.end() || !(per_minute > 0)) return;
    set_tempo(per_minute * unit->second * (node.child("beat-unit-dot") ? 1.5 : 1));
  }

  void set_tempo(double quarters) {
    if (draft_.tempo || !(quarters > 0 && quarters < 10'000)) return;
    const Tempo tempo(static_cast<int>(
        std::lround(quarters * music::kQuarter.value() / meter_.count_length().value())));
    if (tempo >= music::kSlowestTempo && tempo <= music::kFastestTempo) draft_.tempo = tempo;
  }

  void bar_line(const pugi::xml_node& node, DraftBar& bar) {
    if (const pugi::xml_node repeat = node.child("repeat")) {
      const std::string direction = repeat.attribute("direction").as_string();
      if (direction == "forward") bar.repeat_begins = true;
      if (direction == "backward")
        bar.repeat_times = std::clamp(repeat.attribute("times").as_int(2), 2, 99);
    }
    if (const pugi::xml_node ending = node.child("ending")) {
      const std::string type = ending.attribute("type").as_string();
      if (type == "start") {
        endings_ = numbers_of(ending.attribute("number").as_string());
      } else {
        ending_stops_ = true;
      }
    }
  }

  // "1, 2" and "1,2": the standard separates them by commas.
  static std::vector<int> numbers_of(std::string_view text) {
    std::vector<int> out;
    while (!text.empty()) {
      const std::size_t first = text.find_first_of("0123456789");
      if (first == std::string_view::npos) break;
      text.remove_prefix(first);
      int number = 0;
      const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), number);
      if (error == std::errc() && number >= 1 && number <= 99) out.push_back(number);
      text.remove_prefix(static_cast<std::size_t>(end - text.data()));
    }
    return out;
  }

  // The first verse's syllables, joined as a chart has them: "qui-et".
  static void sing(const pugi::xml_node& note, std::string& words) {
    for (const pugi::xml_node& lyric : note.children("lyric")) {
      const std::string number = lyric.attribute("number").as_string("1");
      if (number != "1" && !number.empty()) continue;
      const std::string syllable = text_of(lyric, "text");
      const std::string syllabic = text_of(lyric, "syllabic");
      if (syllable.empty()) continue;
      const bool goes_on = !words.empty() && words.back() == '-';
      if (!words.empty() && !goes_on) words += ' ';
      words += syllable;
      if (syllabic == "begin" || syllabic == "middle") words += '-';
      return;
    }
  }

  pugi::xml_node score_;
  const std::string& file_;
  Draft draft_;
  std::size_t bars_ = 0;
  int divisions_ = 1;
  Meter meter_;
  std::optional<Meter> first_meter_;
  Tonality tonality_;
  std::optional<Tonality> first_tonality_;
  std::vector<int> endings_;
  bool ending_stops_ = false;
  std::vector<std::string> pending_doubts_;
};

}  // namespace

Result<std::string> import_musicxml(std::string_view xml, const std::string& file) {
  pugi::xml_document document;
  const pugi::xml_parse_result parsed = document.load_buffer(
      xml.data(), xml.size(), pugi::parse_default | pugi::parse_ws_pcdata_single);
  if (!parsed) {
    return failure(
        Fault::chart, file,
        fmt::format("it is no well-formed XML: {} at byte {}", parsed.description(), parsed.offset),
        "export it again");
  }
  if (document.child("score-timewise")) {
    return failure(Fault::chart, file, "it is a score by time (score-timewise)",
                   "export it as score-partwise, the usual kind");
  }
  if (!document.child("score-partwise")) {
    return failure(Fault::chart, file, "it is XML, but no MusicXML score",
                   "export the song as MusicXML");
  }
  return Reader(document, file).read();
}

}  // namespace stillhand::imports
