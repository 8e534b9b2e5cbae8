#include "teach/left_hand.h"

#include <fmt/format.h>

#include <algorithm>

#include "teach/words.h"

namespace stillhand::teach {

using arrange::BassNote;

namespace {

using arrange::Arrangement;
using arrange::BassTone;
using arrange::FigureNote;
using arrange::Rung;
using music::display;
using music::NoteNames;

std::string with_octave(const Pitch& pitch, NoteNames names) {
  return display(pitch.name, names) + std::to_string(pitch.octave);
}

std::string finger_on(Finger finger, const std::string& note) {
  return fmt::format("{} on {}", hand::name(finger), note);
}

void add_once(std::vector<std::string>& list, std::string item) {
  if (std::find(list.begin(), list.end(), item) == list.end()) list.push_back(std::move(item));
}

std::string reach_in_words(Finger finger, const Pitch& pitch, const arrange::Position& position,
                           arrange::Reach reach, NoteNames names) {
  const Pitch home = position.keys[static_cast<std::size_t>(5 - finger.number())];
  // A hand that slides comes from anywhere: the distance is told from the finger's place, and says so.
  if (reach == arrange::Reach::slide) {
    return fmt::format("{} slides to {}, {} {} its place", hand::name(finger),
                       display(pitch.name, names), distance_in_words(home, pitch),
                       pitch.key() > home.key() ? "above" : "below");
  }
  return fmt::format("{} reaches {} {} to {}", hand::name(finger),
                     pitch.key() > home.key() ? "up" : "down", distance_in_words(home, pitch),
                     display(pitch.name, names));
}

class LeftHandTeller {
 public:
  LeftHandTeller(const Arrangement& a, std::size_t first, std::size_t last, NoteNames names)
      : a_(a), first_(first), last_(last), names_(names) {
    for (std::size_t i = first_; i < last_; ++i) {
      if (a_.left.bass[i]) rung_ = std::max(rung_, a_.left.bass[i]->rung);
    }
  }

  std::vector<SectionPosition> tell() {
    switch (rung_) {
      case Rung::one_root:
      case Rung::position:
        positions();
        break;
      case Rung::root_and_fifth:
        roots_and_fifths();
        break;
      case Rung::octave:
      case Rung::root_fifth_octave:
        octaves();
        break;
      case Rung::walking_bass:
        walks();
        break;
    }
    for (SectionPosition& entry : out_) {
      entry.rung = rung_;
      entry.of = a_.chords[first_].section;
      entry.time = a_.bars[a_.chords[first_].played_bar].section_pass;
    }
    return std::move(out_);
  }

 private:
  const BassNote* bass(std::size_t i) const {
    return a_.left.bass[i] ? &*a_.left.bass[i] : nullptr;
  }
  const arrange::Position& position(const BassNote& note) const {
    return a_.left.positions[note.position];
  }
  const std::string& section_name() const {
    return a_.song.sections[a_.chords[first_].section].name;
  }

  // As printed: written bars of the section from 1, the pick-up not counted.
  int bar_number(std::size_t chord) const {
    const chart::PlayedBar& played = a_.bars[a_.chords[chord].played_bar];
    const auto& lines = a_.song.sections[played.section].lines;
    int number = 0;
    for (std::size_t l = 0; l <= played.line; ++l) {
      const std::size_t end = l == played.line ? played.bar + 1 : lines[l].bars.size();
      for (std::size_t b = 0; b < end; ++b) number += lines[l].bars[b].is_pick_up ? 0 : 1;
    }
    return number;
  }

  // ---- one root, five-finger position

  void positions() {
    for (std::size_t i = first_; i < last_; ++i) {
      const BassNote* note = bass(i);
      if (note == nullptr) continue;
      if (out_.empty() || note->shifts) {
        const std::string& name = section_name();
        add_entry(out_.empty() ? name : fmt::format("{}, shift at bar {}", name, bar_number(i)),
                  position(*note));
        if (note->rung == Rung::one_root) out_.back().remarks = {"one root for each chord"};
      }
      say_reach(*note, out_.back());
    }
  }

  void say_reach(const BassNote& note, SectionPosition& entry) const {
    if (note.reach == arrange::Reach::none) return;
    add_once(entry.remarks, teach::reach_in_words(note, entry.position, names_));
  }

  void add_entry(std::string where, const arrange::Position& at) {
    out_.push_back({std::move(where), at, {}, rung_});
  }

  // ---- root and fifth: the hand goes with the chord

  void roots_and_fifths() {
    std::vector<std::vector<std::size_t>> chords;  // by entry
    for (std::size_t i = first_; i < last_; ++i) {
      const BassNote* note = bass(i);
      if (note == nullptr) continue;
      const auto same = [&](const SectionPosition& e) { return e.position == position(*note); };
      auto entry = std::find_if(out_.begin(), out_.end(), same);
      if (entry == out_.end()) {
        add_entry("", position(*note));
        chords.emplace_back();
        entry = out_.end() - 1;
        entry->remarks = {"root and fifth"};
      }
      chords[static_cast<std::size_t>(entry - out_.begin())].push_back(i);
      if (!is_plain(*note, *entry)) add_once(entry->remarks, in_words(i, display_name));
      say_reach(*note, *entry);
      for (const FigureNote& part : note->figure) say_reach(part, *entry);
    }
    for (std::size_t e = 0; e < out_.size(); ++e) {
      out_[e].section = section_name();
      if (out_.size() > 1) out_[e].section += " for " + chord_names(chords, e);
    }
  }

  // Little finger and thumb on the two keys that name the place.
  static bool is_plain(const BassNote& note, const SectionPosition& entry) {
    const auto is_fifth = [&](const FigureNote& part) {
      return part.tone == BassTone::fifth && part.pitch.key() == entry.position.thumb().key();
    };
    return note.pitch.key() == entry.position.little_finger().key() &&
           std::any_of(note.figure.begin(), note.figure.end(), is_fifth);
  }

  void say_reach(const FigureNote& part, SectionPosition& entry) const {
    const Pitch home = entry.position.keys[static_cast<std::size_t>(5 - part.finger.number())];
    if (part.tone != BassTone::fifth || part.pitch.key() == home.key()) return;
    add_once(entry.remarks,
             reach_in_words(part.finger, part.pitch, entry.position, arrange::Reach::none, names_));
  }

  // A chord that has its place in more than one entry is told apart by its bar.
  std::string chord_names(const std::vector<std::vector<std::size_t>>& chords,
                          std::size_t entry) const {
    std::vector<std::string> names;
    for (const std::size_t i : chords[entry]) {
      const std::string symbol = text(*a_.chords[i].chord, names_);
      bool is_elsewhere = false;
      for (std::size_t e = 0; e < chords.size(); ++e) {
        if (e == entry) continue;
        is_elsewhere =
            is_elsewhere || std::any_of(chords[e].begin(), chords[e].end(), [&](std::size_t other) {
              return text(*a_.chords[other].chord, names_) == symbol;
            });
      }
      add_once(names, is_elsewhere ? fmt::format("{} in bar {}", symbol, bar_number(i)) : symbol);
    }
    return list_in_words(names);
  }

  static std::string display_name(const Pitch& pitch, NoteNames names) {
    return display(pitch.name, names);
  }

  // "C: little finger on C, thumb on G"; the third is a matter of the pattern.
  std::string in_words(std::size_t i, std::string (*note_name)(const Pitch&, NoteNames)) const {
    const BassNote& note = *bass(i);
    std::vector<std::string> parts{finger_on(note.finger, note_name(note.pitch, names_))};
    for (const FigureNote& part : note.figure) {
      if (part.tone != BassTone::third)
        parts.push_back(finger_on(part.finger, note_name(part.pitch, names_)));
    }
    return fmt::format("{}: {}", text(*a_.chords[i].chord, names_), fmt::join(parts, ", "));
  }

  // ---- octaves

  void octaves() {
    std::vector<std::string> notes;
    std::vector<std::string> others;
    for (std::size_t i = first_; i < last_; ++i) {
      const BassNote* note = bass(i);
      if (note == nullptr) continue;
      if (out_.empty()) add_entry(section_name(), position(*note));
      if (rung_ == Rung::octave && note->rung == Rung::octave) {
        add_once(notes, with_octave(note->pitch, names_));
      } else {
        add_once(others, in_words(i, with_octave));
      }
    }
    if (out_.empty()) return;
    std::vector<std::string>& remarks = out_.front().remarks;
    if (rung_ == Rung::root_fifth_octave) remarks.emplace_back("root, fifth and octave");
    if (!notes.empty()) {
      remarks.push_back(
          fmt::format("octaves: little finger on {}, thumb an octave above", list_in_words(notes)));
    }
    remarks.insert(remarks.end(), others.begin(), others.end());
  }

  // ---- walking bass

  void walks() {
    std::vector<std::string> held;
    for (std::size_t i = first_; i < last_; ++i) {
      const BassNote* note = bass(i);
      if (note == nullptr) continue;
      if (out_.empty()) {
        add_entry(section_name(), position(*note));
        out_.back().remarks = {"walking bass"};
      }
      if (note->walk.empty()) {
        add_once(held, finger_on(note->finger, with_octave(note->pitch, names_)));
      } else {
        add_once(out_.back().remarks, walk_in_words(*note, *bass(i + 1)));
      }
    }
    if (!held.empty()) out_.back().remarks.push_back("held: " + list_in_words(held));
  }

  // "walk down A2 G F♯ to E: fingers 1 2 3 4"
  std::string walk_in_words(const BassNote& note, const BassNote& next) const {
    std::string notes = with_octave(note.pitch, names_);
    std::string fingers = std::to_string(note.finger.number());
    for (const arrange::WalkNote& step : note.walk) {
      notes += " " + display(step.pitch.name, names_);
      fingers += fmt::format(" {}", step.finger.number());
    }
    return fmt::format("walk {} {} to {}: fingers {} {}",
                       note.walk.front().pitch.key() > note.pitch.key() ? "up" : "down", notes,
                       display(next.pitch.name, names_), fingers, next.finger.number());
  }

  const Arrangement& a_;
  std::size_t first_;
  std::size_t last_;
  NoteNames names_;
  Rung rung_ = Rung::one_root;
  std::vector<SectionPosition> out_;
};

}  // namespace

std::string reach_in_words(const BassNote& note, const arrange::Position& position,
                           music::NoteNames names) {
  return reach_in_words(note.finger, note.pitch, position, note.reach, names);
}

std::vector<SectionPosition> left_hand_of(const Arrangement& arrangement, std::size_t first,
                                          std::size_t last, music::NoteNames names) {
  return LeftHandTeller(arrangement, first, last, names).tell();
}

}  // namespace stillhand::teach
