#include "teach/lesson.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "music/chord.h"
#include "teach/words.h"

namespace stillhand::teach {
namespace {

using arrange::Arrangement;
using arrange::BassNote;
using music::display;
using music::Tick;

// Common practice; pain and breaks as in performing-arts medicine, the listening level from WHO–ITU
// H.870 (2019).
const std::vector<std::string>& standing_cautions() {
  static const std::vector<std::string> cautions{
      "Pain, numbness or tingling means stop; if it stays, see a professional. Rest before 20 "
      "minutes are over.",
      "Never force a stretch. No octave is needed here.",
      "Listen at a safe level: 80 dB(A) for at most 40 hours a week, 75 for children (WHO–ITU "
      "H.870).",
      "Words and tune may be protected: clear copies, prints and public videos with the rights "
      "holder.",
  };
  return cautions;
}

std::string symbol(const chart::ChordEvent& event) {
  return event.chord ? text(*event.chord) : "N.C.";
}

class Teacher {
 public:
  explicit Teacher(const Arrangement& a) : a_(a) {}

  Lesson teach() {
    head();
    shapes();
    moves();
    left_hand();
    sections();
    lesson_.performance = perform::perform(a_);
    lesson_.cautions = standing_cautions();
    return std::move(lesson_);
  }

 private:
  void head() {
    const chart::Song& song = a_.song;
    lesson_.title = song.title;
    lesson_.writers = song.writers;
    lesson_.rights = song.rights;
    lesson_.tonality = song.tonality;
    lesson_.tonality_was_proposed = song.tonality_was_proposed;
    lesson_.meter = song.meter;
    lesson_.tempo = song.tempo;
    lesson_.range = song.range;
    lesson_.manner = a_.manner;
    lesson_.hand_size = a_.hand_size;
    lesson_.right_status = a_.right.status;
    lesson_.left_status = a_.left.status;
    lesson_.cost = a_.right.cost;
    lesson_.lower_bound = a_.right.lower_bound;
    for (const chart::RoadMapEntry& e : song.road_map)
      lesson_.road_map.push_back({song.sections[e.section].name, e.times});
  }

  void shapes() {
    for (const arrange::ShapeChoice& s : a_.right.shapes) {
      lesson_.shapes.push_back({text(s.chord), s.shape,
                                s.section ? a_.song.sections[*s.section].name : "", s.is_pinned});
    }
  }

  void moves() {
    std::map<std::pair<std::size_t, std::size_t>, std::size_t> known;
    std::optional<std::size_t> before;
    for (const auto& now : a_.shape_of_chord) {
      if (!now) continue;
      if (before && *before != *now) {
        const auto [at, is_new] = known.try_emplace({*before, *now}, lesson_.moves.size());
        if (is_new) {
          Move move = describe_move(lesson_.shapes[*before].shape, lesson_.shapes[*now].shape);
          move.from = *before;
          move.to = *now;
          lesson_.moves.push_back(std::move(move));
        }
        ++lesson_.moves[at->second].times;
      }
      before = now;
    }
    std::stable_sort(lesson_.moves.begin(), lesson_.moves.end(),
                     [](const Move& a, const Move& b) { return a.times > b.times; });
  }

  // ---- left hand
  // -----------------------------------------------------------------------------------------------

  // One time through a section: its position and what is said about it.
  SectionPosition pass(std::size_t first, std::size_t last) const {
    SectionPosition out;
    bool has_position = false;
    for (std::size_t i = first; i < last; ++i) {
      const auto& bass = a_.left.bass[i];
      if (!bass) continue;
      const arrange::Position& position = a_.left.positions[bass->position];
      if (!has_position) out.position = position;
      if (bass->shifts && has_position) {
        say(out,
            fmt::format("bar {}: shift, little finger to {}, thumb to {}", bar_number(first, i),
                        display(position.little_finger().name), display(position.thumb().name)));
      }
      has_position = true;
      if (bass->reach != arrange::Reach::none) say(out, reach_in_words(*bass, position));
    }
    return out;
  }

  static void say(SectionPosition& out, std::string remark) {
    if (std::find(out.remarks.begin(), out.remarks.end(), remark) == out.remarks.end()) {
      out.remarks.push_back(std::move(remark));
    }
  }

  static std::string reach_in_words(const BassNote& bass, const arrange::Position& position) {
    const Pitch home = position.keys[static_cast<std::size_t>(5 - bass.finger.number())];
    return fmt::format("{} {} {} {} to {}", hand::name(bass.finger),
                       bass.reach == arrange::Reach::slide ? "slides" : "reaches",
                       bass.pitch.key() > home.key() ? "up" : "down",
                       distance_in_words(home, bass.pitch), display(bass.pitch.name));
  }

  // Bars count from 1 at each beginning of the section.
  std::size_t bar_number(std::size_t first_chord, std::size_t chord) const {
    std::size_t begin = a_.chords[first_chord].played_bar;
    while (begin > 0 && !a_.bars[begin].section_begins) --begin;
    return a_.chords[chord].played_bar - begin + 1;
  }

  void left_hand() {
    lesson_.one_position = a_.left.positions.size() == 1;
    std::vector<std::vector<SectionPosition>> by_section(a_.song.sections.size());
    for (std::size_t first = 0; first < a_.chords.size();) {
      const std::size_t section = a_.chords[first].section;
      const int time = a_.bars[a_.chords[first].played_bar].section_pass;
      std::size_t last = first;
      while (last < a_.chords.size() && a_.chords[last].section == section &&
             a_.bars[a_.chords[last].played_bar].section_pass == time) {
        ++last;
      }
      SectionPosition now = pass(first, last);
      auto& known = by_section[section];
      const bool is_new = !now.position.keys.empty() &&
                          std::none_of(known.begin(), known.end(), [&](const SectionPosition& p) {
                            return p.position == now.position && p.remarks == now.remarks;
                          });
      if (is_new) {
        const std::string& name = a_.song.sections[section].name;
        now.section = known.empty() ? name : fmt::format("{}, time {}", name, time);
        known.push_back(std::move(now));
      }
      first = last;
    }
    for (auto& entries : by_section) {
      for (auto& entry : entries) lesson_.positions.push_back(std::move(entry));
    }
  }

  // ---- sections
  // ------------------------------------------------------------------------------------------------

  std::optional<std::size_t> shape_index(const chart::ChordEvent& event,
                                         std::size_t section) const {
    if (!event.chord) return std::nullopt;
    std::optional<std::size_t> found;
    for (std::size_t i = 0; i < a_.right.shapes.size(); ++i) {
      const arrange::ShapeChoice& s = a_.right.shapes[i];
      if (!(s.chord == event.chord->without_bass())) continue;
      if (s.section == section) return i;
      if (!s.section) found = i;
    }
    return found;
  }

  // The bass under this moment of a bar, at the first time the bar is played.
  std::optional<BassNote> bass_at(std::size_t section, std::size_t line, std::size_t bar,
                                  Tick offset) const {
    for (const chart::PlayedBar& played : a_.bars) {
      if (played.section != section || played.line != line || played.bar != bar) continue;
      const Tick moment = played.start + offset;
      for (std::size_t i = 0; i < a_.chords.size(); ++i) {
        if (a_.chords[i].start <= moment && moment < a_.chords[i].start + a_.chords[i].duration)
          return a_.left.bass[i];
      }
    }
    return std::nullopt;
  }

  SheetBar sheet_bar(const chart::Bar& bar, std::size_t section) {
    SheetBar out;
    out.meter = bar.meter;
    out.length = bar.length;
    out.is_pick_up = bar.is_pick_up;
    out.words = bar.words;
    out.repeat_begins = bar.repeat_begins;
    out.repeat_times = bar.repeat_times;
    out.is_vamp = bar.is_vamp;
    out.endings = bar.endings;
    std::vector<std::string> changes;
    if (bar.meter != meter_) changes.push_back(music::text(bar.meter));
    if (bar.tonality != tonality_) changes.push_back("key of " + music::text(bar.tonality));
    out.change = fmt::format("{}", fmt::join(changes, ", "));
    meter_ = bar.meter;
    tonality_ = bar.tonality;
    Tick start;
    for (const chart::ChordEvent& event : bar.chords) {
      SheetChord chord;
      chord.chord = symbol(event);
      chord.start = start;
      chord.duration = event.duration;
      chord.is_held = last_ && *last_ == event.chord;
      chord.shape = shape_index(event, section);
      last_ = event.chord;
      out.chords.push_back(std::move(chord));
      start += event.duration;
    }
    return out;
  }

  void sections() {
    for (std::size_t s = 0; s < a_.song.sections.size(); ++s) {
      const chart::Section& section = a_.song.sections[s];
      SheetSection out{section.name, 0, {}};
      last_.reset();
      if (s == 0) {
        meter_ = a_.song.meter;
        tonality_ = a_.song.tonality;
      }
      for (std::size_t l = 0; l < section.lines.size(); ++l) {
        SheetLine line;
        const auto before = last_;
        for (std::size_t b = 0; b < section.lines[l].bars.size(); ++b) {
          SheetBar bar = sheet_bar(section.lines[l].bars[b], s);
          for (SheetChord& chord : bar.chords) chord.bass = bass_at(s, l, b, chord.start);
          out.bars += bar.is_pick_up ? 0 : 1;
          line.bars.push_back(std::move(bar));
        }
        const auto after = last_;
        for (const chart::Option& option : section.lines[l].options) {
          last_ = before;
          SheetOption sheet_option{option.label, {}};
          for (const chart::Bar& bar : option.bars) sheet_option.bars.push_back(sheet_bar(bar, s));
          line.options.push_back(std::move(sheet_option));
        }
        last_ = after;
        out.lines.push_back(std::move(line));
      }
      lesson_.sections.push_back(std::move(out));
    }
  }

  const Arrangement& a_;
  Lesson lesson_;
  music::Meter meter_;
  music::Tonality tonality_;
  std::optional<std::optional<music::Chord>>
      last_;  // the chord before, where there is one in this section
};

}  // namespace

Lesson teach(const Arrangement& arrangement) { return Teacher(arrangement).teach(); }

}  // namespace stillhand::teach
