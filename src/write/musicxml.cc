#include "write/musicxml.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstdlib>
#include <limits>
#include <optional>
#include <pugixml.hpp>
#include <vector>

#include "music/chord.h"
#include "write/harmony.h"
#include "write/note_values.h"
#include "write/sheet_text.h"
#include "write/xml_text.h"

namespace stillhand::write {
namespace {

using music::Tick;
using pugi::xml_node;
using teach::Lesson;
using teach::SheetBar;
using teach::SheetChord;

// ---- XML

xml_node add(xml_node parent, const char* name) { return parent.append_child(name); }
xml_node add(xml_node parent, const char* name, const std::string& text) {
  xml_node node = parent.append_child(name);
  node.text().set(text.c_str());
  return node;
}
xml_node add(xml_node parent, const char* name, int number) {
  return add(parent, name, std::to_string(number));
}
void set(xml_node node, const char* attribute, const std::string& value) {
  node.append_attribute(attribute).set_value(value.c_str());
}

// ---- the chart's bars in a row

// One chord as it is struck or held.
struct Stroke {
  const SheetChord* chord = nullptr;
  Tick duration;
  const hand::Shape* shape = nullptr;  // nullptr: the right hand rests
  bool right_goes_on = false;          // tied from the stroke before
  bool left_goes_on = false;
};

struct Measure {
  const SheetBar* bar = nullptr;
  std::string number;
  std::string section;  // its name where it begins, else ""
  bool section_ends = false;
  bool repeat_begins = false;
  bool ending_begins = false;
  bool ending_ends = false;
  std::vector<Stroke> strokes;
};

// Marks where a repeat goes back to, also where the chart leaves it to be understood.
void mark_repeats(std::vector<Measure>& measures, std::size_t from) {
  std::size_t begin = from;
  for (std::size_t i = from; i < measures.size(); ++i) {
    const SheetBar& bar = *measures[i].bar;
    if (bar.repeat_begins) begin = i;
    if (bar.repeat_times <= 1) continue;
    measures[begin].repeat_begins = true;
    // The other endings belong to the same repeat.
    const auto is_other_ending = [&](std::size_t next) {
      return next < measures.size() && !measures[next].bar->endings.empty() &&
             !measures[next].bar->repeat_begins;
    };
    if (!bar.endings.empty()) {
      while (is_other_ending(i + 1)) ++i;
    }
    begin = i + 1;
  }
}

void mark_endings(std::vector<Measure>& measures, std::size_t from) {
  for (std::size_t i = from; i < measures.size(); ++i) {
    const auto& endings = measures[i].bar->endings;
    if (endings.empty()) continue;
    measures[i].ending_begins = i == from || measures[i - 1].bar->endings != endings;
    measures[i].ending_ends = i + 1 == measures.size() || measures[i + 1].bar->endings != endings;
  }
}

bool follows_always(const Measure& before, const Measure& now) {
  return now.section.empty() && !now.repeat_begins && before.bar->repeat_times <= 1 &&
         before.bar->endings == now.bar->endings;
}

bool same_bass(const SheetChord& a, const SheetChord& b) {
  return a.bass && b.bass && a.bass->pitch == b.bass->pitch;
}

class Rows {
 public:
  explicit Rows(const Lesson& lesson) : lesson_(lesson) {}

  std::vector<Measure> measures() {
    for (const teach::SheetSection& section : lesson_.sections) add_section(section);
    for (std::size_t i = 0; i < out_.size(); ++i) strike(i);
    return std::move(out_);
  }

 private:
  void add_section(const teach::SheetSection& section) {
    const std::size_t from = out_.size();
    for (const teach::SheetLine& line : section.lines) {
      for (const SheetBar& bar : line.bars) {
        Measure measure;
        measure.bar = &bar;
        measure.number = number_of(bar);
        if (out_.size() == from) measure.section = section.name;
        out_.push_back(std::move(measure));
      }
    }
    if (out_.size() == from) return;
    out_.back().section_ends = true;
    mark_repeats(out_, from);
    mark_endings(out_, from);
  }

  std::string number_of(const SheetBar& bar) {
    if (!bar.is_pick_up) return std::to_string(++bars_);
    return out_.empty() ? "0" : fmt::format("X{}", ++pick_ups_);
  }

  void strike(std::size_t index) {
    Measure& measure = out_[index];
    const Stroke* before = nullptr;
    if (index > 0 && follows_always(out_[index - 1], measure) && !out_[index - 1].strokes.empty()) {
      before = &out_[index - 1].strokes.back();
    }
    measure.strokes.reserve(measure.bar->chords.size());
    Tick left = measure.bar->cut_to.value_or(Tick(std::numeric_limits<int>::max()));
    for (const SheetChord& chord : measure.bar->chords) {
      const Tick duration = std::min(chord.duration, left);
      if (duration <= Tick(0)) continue;
      left -= duration;
      Stroke stroke;
      stroke.chord = &chord;
      stroke.duration = duration;
      if (chord.shape) stroke.shape = &lesson_.shapes[*chord.shape].shape;
      if (before != nullptr && chord.is_held) {
        stroke.right_goes_on = stroke.shape != nullptr && stroke.shape == before->shape;
        stroke.left_goes_on = same_bass(*before->chord, chord);
      }
      measure.strokes.push_back(stroke);
      before = &measure.strokes.back();
    }
  }

  const Lesson& lesson_;
  std::vector<Measure> out_;
  int bars_ = 0;
  int pick_ups_ = 0;
};

// ---- notes

// A value of a stroke, and where a tuplet begins and ends.
struct Segment {
  NoteValue value;
  std::size_t stroke = 0;
  bool begins_stroke = false;
  bool ends_stroke = false;
  bool tuplet_begins = false;
  bool tuplet_ends = false;
};

std::vector<Segment> segments_of(const Measure& measure) {
  std::vector<Segment> out;
  for (std::size_t i = 0; i < measure.strokes.size(); ++i) {
    const auto values = note_values(measure.strokes[i].duration, measure.bar->meter);
    for (std::size_t v = 0; v < values.size(); ++v) {
      out.push_back({values[v], i, v == 0, v + 1 == values.size(), false, false});
    }
  }
  return out;
}

// A tuplet fills whole counts.
void mark_tuplets(std::vector<Segment>& segments, Tick count) {
  const auto ratio = [&](std::size_t i) {
    return i < segments.size() ? segments[i].value.actual : 1;
  };
  Tick filled;
  for (std::size_t i = 0; i < segments.size(); ++i) {
    if (ratio(i) == 1) continue;
    segments[i].tuplet_begins = filled == Tick(0);
    filled += segments[i].value.length;
    segments[i].tuplet_ends = filled.value() % count.value() == 0 || ratio(i + 1) != ratio(i);
    if (segments[i].tuplet_ends) filled = Tick(0);
  }
}

enum class Tie { none, into_it, out_of_it, through };

Tie tie_of(bool into, bool out) {
  if (into) return out ? Tie::through : Tie::into_it;
  return out ? Tie::out_of_it : Tie::none;
}
bool comes_in(Tie tie) { return tie == Tie::into_it || tie == Tie::through; }
bool goes_out(Tie tie) { return tie == Tie::out_of_it || tie == Tie::through; }

// The staves, counted from above, and their voices.
constexpr int kRightStaff = 1;
constexpr int kLeftStaff = 2;

struct Played {
  music::Pitch pitch;
  hand::Finger finger;
};

class Score {
 public:
  explicit Score(const Lesson& lesson) : lesson_(lesson), measures_(Rows(lesson).measures()) {}

  std::string text() {
    xml_node declaration = document_.prepend_child(pugi::node_declaration);
    set(declaration, "version", "1.0");
    set(declaration, "encoding", "UTF-8");
    root_ = add(document_, "score-partwise");
    set(root_, "version", "4.0");
    head();
    part_ = add(root_, "part");
    set(part_, "id", "P1");
    if (measures_.empty()) empty_measure();
    for (std::size_t i = 0; i < measures_.size(); ++i) measure(i);
    return written();
  }

 private:
  struct Writer : pugi::xml_writer {
    std::string bytes;
    void write(const void* data, std::size_t size) override {
      bytes.append(static_cast<const char*>(data), size);
    }
  };

  std::string written() const {
    Writer writer;
    document_.save(writer, "  ", pugi::format_indent, pugi::encoding_utf8);
    return std::move(writer.bytes);
  }

  void head() {
    const std::string title = xml_text(lesson_.title);
    if (!title.empty()) add(add(root_, "work"), "work-title", title);
    xml_node identification = add(root_, "identification");
    const std::string writers = xml_text(lesson_.writers);
    if (!writers.empty()) add(identification, "creator", writers);
    const std::string rights = xml_text(lesson_.rights);
    if (!rights.empty()) add(identification, "rights", rights);
    add(add(identification, "encoding"), "software", "Stillhand");
    xml_node part = add(add(root_, "part-list"), "score-part");
    set(part, "id", "P1");
    add(part, "part-name", "Piano");
  }

  // A score has at least one.
  void empty_measure() {
    static const SheetBar silent;
    Measure measure;
    measure.bar = &silent;
    measure.number = "1";
    xml_node node = begin(measure);
    attributes(node, silent);
    rest(node, silent.meter.bar_length());
  }

  xml_node begin(const Measure& measure) {
    xml_node node = add(part_, "measure");
    set(node, "number", measure.number);
    if (measure.bar->is_pick_up) set(node, "implicit", "yes");
    return node;
  }

  void measure(std::size_t index) {
    const Measure& now = measures_[index];
    xml_node node = begin(now);
    left_bar_line(node, now);
    attributes(node, *now.bar);
    directions(node, now, index == 0);
    std::vector<Segment> segments = segments_of(now);
    mark_tuplets(segments, now.bar->meter.count_length());
    if (segments.empty()) {
      rest(node, std::max(now.bar->cut_to.value_or(now.bar->length), Tick(1)));
    } else {
      const Measure* next = index + 1 < measures_.size() ? &measures_[index + 1] : nullptr;
      both_hands(node, now, segments, next);
    }
    right_bar_line(node, now, index + 1 == measures_.size());
  }

  // ---- what stands at a bar line

  static std::string ending_numbers(const SheetBar& bar) {
    return fmt::format("{}", fmt::join(bar.endings, ", "));
  }

  static void ending(xml_node bar_line, const SheetBar& bar, const char* type) {
    xml_node node = add(bar_line, "ending");
    set(node, "number", ending_numbers(bar));
    set(node, "type", type);
  }

  static void left_bar_line(xml_node node, const Measure& measure) {
    if (!measure.repeat_begins && !measure.ending_begins) return;
    xml_node line = add(node, "barline");
    set(line, "location", "left");
    if (measure.repeat_begins) add(line, "bar-style", "heavy-light");
    if (measure.ending_begins) ending(line, *measure.bar, "start");
    if (measure.repeat_begins) set(add(line, "repeat"), "direction", "forward");
  }

  static void right_bar_line(xml_node node, const Measure& measure, bool is_last) {
    const SheetBar& bar = *measure.bar;
    const bool repeats = bar.repeat_times > 1;
    if (!repeats && !measure.ending_ends && !measure.section_ends) return;
    xml_node line = add(node, "barline");
    set(line, "location", "right");
    if (repeats || is_last) {
      add(line, "bar-style", "light-heavy");
    } else if (measure.section_ends) {
      add(line, "bar-style", "light-light");
    }
    if (measure.ending_ends) ending(line, bar, repeats ? "stop" : "discontinue");
    if (!repeats) return;
    xml_node repeat = add(line, "repeat");
    set(repeat, "direction", "backward");
    const bool says_times = bar.endings.empty() && bar.repeat_times != 2;
    if (says_times) set(repeat, "times", std::to_string(bar.repeat_times));
  }

  // ---- key, meter, clefs

  void attributes(xml_node node, const SheetBar& bar) {
    const bool is_first = !meter_.has_value();
    const bool new_key = tonality_ != bar.tonality;
    const bool new_meter = meter_ != bar.meter;
    if (!new_key && !new_meter) return;
    xml_node out = add(node, "attributes");
    if (is_first) add(out, "divisions", music::kQuarter.value());
    if (new_key) key(out, bar.tonality);
    if (new_meter) {
      xml_node time = add(out, "time");
      add(time, "beats", bar.meter.upper());
      add(time, "beat-type", bar.meter.lower());
    }
    if (is_first) {
      add(out, "staves", 2);
      clef(out, kRightStaff, "G", 2);
      clef(out, kLeftStaff, "F", 4);
    }
    tonality_ = bar.tonality;
    meter_ = bar.meter;
  }

  static void key(xml_node attributes, music::Tonality tonality) {
    xml_node node = add(attributes, "key");
    add(node, "fifths", tonality.fifths());
    add(node, "mode", tonality.mode == music::Mode::minor ? "minor" : "major");
  }

  static void clef(xml_node attributes, int staff, const char* sign, int line) {
    xml_node node = add(attributes, "clef");
    set(node, "number", std::to_string(staff));
    add(node, "sign", sign);
    add(node, "line", line);
  }

  // ---- words above

  static xml_node direction(xml_node node) {
    xml_node out = add(node, "direction");
    set(out, "placement", "above");
    return out;
  }

  static void say(xml_node node, const char* how, const std::string& text) {
    const std::string clean = xml_text(text);
    if (clean.empty()) return;
    xml_node out = direction(node);
    add(add(out, "direction-type"), how, clean);
    add(out, "staff", kRightStaff);
  }

  void directions(xml_node node, const Measure& measure, bool is_first) {
    say(node, "rehearsal", measure.section);
    if (is_first) say(node, "words", road_map());
    if (count_ != measure.bar->meter.count_length()) tempo(node, measure.bar->meter);
    if (measure.bar->is_vamp) say(node, "words", "repeat until the cue");
  }

  std::string road_map() const {
    std::vector<std::string> steps;
    for (const teach::RoadMapStep& step : lesson_.road_map) {
      steps.push_back(step.times == 1   ? step.section
                      : step.times == 2 ? step.section + " twice"
                                        : fmt::format("{} {} times", step.section, step.times));
    }
    return fmt::format("Road map: {}", fmt::join(steps, ", "));
  }

  // A count keeps its pace; the file wants quarters a minute for the sound.
  void tempo(xml_node node, music::Meter meter) {
    count_ = meter.count_length();
    const NoteValue beat = note_values(count_, meter).front();
    xml_node out = direction(node);
    xml_node metronome = add(add(out, "direction-type"), "metronome");
    add(metronome, "beat-unit", std::string(beat.name));
    if (beat.is_dotted) add(metronome, "beat-unit-dot");
    add(metronome, "per-minute", lesson_.tempo.value());
    add(out, "staff", kRightStaff);
    const double quarters =
        static_cast<double>(lesson_.tempo.value() * count_.value()) / music::kQuarter.value();
    set(add(out, "sound"), "tempo", fmt::format("{}", quarters));
  }

  // ---- chords and notes

  void both_hands(xml_node node, const Measure& now, const std::vector<Segment>& segments,
                  const Measure* next) {
    Tick length;
    for (const Segment& segment : segments) {
      const Stroke& stroke = now.strokes[segment.stroke];
      if (segment.begins_stroke) harmony(node, stroke.chord->chord);
      const Stroke* after = stroke_after(now, segment, next);
      const bool into = !segment.begins_stroke || stroke.right_goes_on;
      const bool out = !segment.ends_stroke || (after != nullptr && after->right_goes_on);
      std::vector<Played> notes;
      if (stroke.shape != nullptr) {
        for (const hand::ShapeNote& note : stroke.shape->notes) {
          notes.push_back({note.pitch, note.finger});
        }
      }
      xml_node first = sound(node, notes, segment, kRightStaff, tie_of(into, out));
      if (length == Tick(0)) lyric(first, now.bar->words);
      length += segment.value.length;
    }
    add(add(node, "backup"), "duration", length.value());
    for (const Segment& segment : segments) {
      const Stroke& stroke = now.strokes[segment.stroke];
      const Stroke* after = stroke_after(now, segment, next);
      const bool into = !segment.begins_stroke || stroke.left_goes_on;
      const bool out = !segment.ends_stroke || (after != nullptr && after->left_goes_on);
      std::vector<Played> notes;
      if (const auto& bass = stroke.chord->bass) notes.push_back({bass->pitch, bass->finger});
      sound(node, notes, segment, kLeftStaff, tie_of(into, out));
    }
  }

  static const Stroke* stroke_after(const Measure& now, const Segment& segment,
                                    const Measure* next) {
    if (segment.stroke + 1 < now.strokes.size()) return &now.strokes[segment.stroke + 1];
    return next == nullptr || next->strokes.empty() ? nullptr : &next->strokes.front();
  }

  static void name(xml_node node, const std::string& what, music::NoteName note) {
    const std::string letter = text_of_letter(note);
    add(node, (what + "-step").c_str(), letter);
    if (note.accidental != 0) add(node, (what + "-alter").c_str(), int{note.accidental});
  }

  static std::string text_of_letter(music::NoteName note) {
    return music::text(music::NoteName{note.letter, 0});
  }

  static void harmony(xml_node node, const std::string& symbol) {
    xml_node out = add(node, "harmony");
    const auto chord = music::parse_chord(symbol);
    if (!chord) {  // N.C.: the root must stand there, but says nothing
      set(add(add(out, "root"), "root-step", "C"), "text", "");
      set(add(out, "kind", "none"), "text", xml_text(symbol));
    } else {
      name(add(out, "root"), "root", chord->root);
      const Harmony harmony = harmony_of(*chord);
      set(add(out, "kind", std::string(harmony.kind)), "text", chord->quality.suffix);
      if (chord->bass) name(add(out, "bass"), "bass", *chord->bass);
      for (const HarmonyDegree& degree : harmony.degrees) add_degree(out, degree);
    }
    add(out, "staff", kRightStaff);
  }

  // Not printed: the kind's text says all.
  static void add_degree(xml_node harmony, const HarmonyDegree& degree) {
    xml_node out = add(harmony, "degree");
    set(out, "print-object", "no");
    add(out, "degree-value", degree.number);
    add(out, "degree-alter", degree.alter);
    add(out, "degree-type",
        degree.change == DegreeChange::add     ? "add"
        : degree.change == DegreeChange::alter ? "alter"
                                               : "subtract");
  }

  // The notes of one value, or a rest; the first of them.
  static xml_node sound(xml_node node, const std::vector<Played>& notes, const Segment& segment,
                        int staff, Tie tie) {
    if (notes.empty()) {
      xml_node note = add(node, "note");
      add(note, "rest");
      value(note, segment.value, staff, Tie::none);
      if (segment.tuplet_begins || segment.tuplet_ends) tuplet(add(note, "notations"), segment);
      return note;
    }
    xml_node first;
    for (const Played& played : notes) {
      xml_node note = add(node, "note");
      if (first) add(note, "chord");
      xml_node pitch = add(note, "pitch");
      add(pitch, "step", text_of_letter(played.pitch.name));
      if (played.pitch.name.accidental != 0) {
        add(pitch, "alter", int{played.pitch.name.accidental});
      }
      add(pitch, "octave", played.pitch.octave);
      value(note, segment.value, staff, tie);
      notations(note, played.finger, first ? nullptr : &segment, tie, staff);
      if (!first) first = note;
    }
    return first;
  }

  static void value(xml_node note, const NoteValue& value, int staff, Tie tie) {
    add(note, "duration", value.length.value());
    if (comes_in(tie)) set(add(note, "tie"), "type", "stop");
    if (goes_out(tie)) set(add(note, "tie"), "type", "start");
    add(note, "voice", staff);
    if (!value.name.empty()) add(note, "type", std::string(value.name));
    if (value.is_dotted) add(note, "dot");
    if (value.actual != 1) {
      xml_node modification = add(note, "time-modification");
      add(modification, "actual-notes", value.actual);
      add(modification, "normal-notes", value.normal);
    }
    add(note, "staff", staff);
  }

  // `tuplets`: nullptr but on the first note of a chord.
  static void notations(xml_node note, hand::Finger finger, const Segment* tuplets, Tie tie,
                        int staff) {
    const bool has_tuplet = tuplets != nullptr && (tuplets->tuplet_begins || tuplets->tuplet_ends);
    xml_node out = add(note, "notations");
    if (comes_in(tie)) set(add(out, "tied"), "type", "stop");
    if (goes_out(tie)) set(add(out, "tied"), "type", "start");
    if (has_tuplet) tuplet(out, *tuplets);
    if (!comes_in(tie)) {
      xml_node fingering = add(add(out, "technical"), "fingering", finger.number());
      set(fingering, "placement", staff == kRightStaff ? "above" : "below");
    }
  }

  static void tuplet(xml_node notations, const Segment& segment) {
    if (segment.tuplet_begins) set(add(notations, "tuplet"), "type", "start");
    if (segment.tuplet_ends) set(add(notations, "tuplet"), "type", "stop");
  }

  static void rest(xml_node node, Tick length) {
    xml_node note = add(node, "note");
    set(add(note, "rest"), "measure", "yes");
    add(note, "duration", length.value());
    add(note, "voice", kRightStaff);
    add(note, "staff", kRightStaff);
  }

  void lyric(xml_node note, const std::string& sung) {
    std::string words = xml_text(sung);
    if (words.empty()) return;
    const bool goes_on = words.size() > 1 && words.back() == '-';
    if (goes_on) words.pop_back();
    xml_node out = add(note, "lyric");
    add(out, "syllabic",
        syllable_open_ ? (goes_on ? "middle" : "end") : (goes_on ? "begin" : "single"));
    add(out, "text", words);
    syllable_open_ = goes_on;
  }

  const Lesson& lesson_;
  std::vector<Measure> measures_;
  pugi::xml_document document_;
  xml_node root_;
  xml_node part_;
  std::optional<music::Meter> meter_;  // written last
  std::optional<music::Tonality> tonality_;
  Tick count_;                  // of the tempo written last
  bool syllable_open_ = false;  // the words before ended in a hyphen
};

}  // namespace

std::string musicxml(const Lesson& lesson) { return Score(lesson).text(); }

}  // namespace stillhand::write
