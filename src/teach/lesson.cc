#include "teach/lesson.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "music/chord.h"
#include "teach/count_aloud.h"
#include "teach/left_hand.h"
#include "teach/patterns.h"
#include "teach/words.h"

namespace stillhand::teach {
namespace {

using arrange::Arrangement;
using music::Tick;

// Common practice; pain and breaks as in performing-arts medicine, the listening level from WHO–ITU
// H.870 (2019).
std::vector<std::string> standing_cautions(bool has_octaves) {
  return {
      "Pain, numbness or tingling means stop; if it stays, see a professional. Rest before 20 "
      "minutes are over.",
      has_octaves ? "Never force a stretch. Where an octave is too wide, leave its upper note out."
                  : "Never force a stretch. No octave is needed here.",
      "Listen at a safe level: 80 dB(A) for at most 40 hours a week, 75 for children (WHO–ITU "
      "H.870).",
      "Words and tune may be protected: clear copies, prints and public videos with the rights "
      "holder.",
  };
}

std::string symbol(const chart::ChordEvent& event) {
  return event.chord ? text(*event.chord) : "N.C.";
}

class Teacher {
 public:
  Teacher(const Arrangement& a, std::optional<music::Tempo> comfortable,
          const perform::PatternPlan& plan, music::NoteNames names)
      : a_(a), comfortable_(comfortable), plan_(plan), names_(names) {}

  Lesson teach() {
    head();
    shapes();
    moves();
    difficulty();
    left_hand();
    sections();
    lesson_.played = a_.bars;
    lesson_.patterns = taught_patterns(a_, plan_);
    lesson_.uses_pedal = plan_.uses_pedal;
    lesson_.performance = perform::perform(a_, plan_);
    lesson_.cautions = cautions();
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
    lesson_.note_names = names_;
    lesson_.right_status = a_.right.status;
    lesson_.left_status = a_.left.status;
    lesson_.cost = a_.right.cost;
    lesson_.lower_bound = a_.right.lower_bound;
    for (const chart::RoadMapEntry& e : song.road_map)
      lesson_.road_map.push_back({song.sections[e.section].name, e.times});
  }

  void shapes() {
    shapes_ = a_.right.shapes;
    shapes_.insert(shapes_.end(), a_.options.shapes.begin(), a_.options.shapes.end());
    for (const arrange::ShapeChoice& s : shapes_) {
      lesson_.shapes.push_back({text(s.chord), s.shape, named(s.sections), s.is_pinned,
                                lesson_.shapes.size() >= a_.right.shapes.size()});
    }
  }

  // "Verse", "Verse and Chorus", "Verse, Chorus and Bridge"
  std::string named(const std::vector<std::size_t>& sections) const {
    std::string out;
    for (std::size_t i = 0; i < sections.size(); ++i) {
      if (i > 0) out += i + 1 == sections.size() ? " and " : ", ";
      out += a_.song.sections[sections[i]].name;
    }
    return out;
  }

  // Those of the plain song, and after them what only options need.
  void moves() {
    MovesByPair plain;
    count_moves(a_.shape_of_chord, plain, {});
    MovesByPair optional;
    for (const arrange::ArrangedOption& option : a_.options.lines) {
      for (const arrange::OptionPassage& passage : option.passages)
        count_moves(passage.shapes, optional, plain);
    }
    const auto first_optional = lesson_.moves.begin() + static_cast<std::ptrdiff_t>(plain.size());
    const auto more_often = [](const Move& a, const Move& b) { return a.times > b.times; };
    std::stable_sort(lesson_.moves.begin(), first_optional, more_often);
    std::stable_sort(first_optional, lesson_.moves.end(), more_often);
    for (auto move = first_optional; move != lesson_.moves.end(); ++move) {
      move->is_optional = true;
      move->difficulty = arrange::move_difficulty(lesson_.shapes[move->from].shape,
                                                  lesson_.shapes[move->to].shape);
    }
  }

  // Indices into Lesson::moves, by the shapes moved from and to.
  using MovesByPair = std::map<std::pair<std::size_t, std::size_t>, std::size_t>;

  void count_moves(const std::vector<std::optional<std::size_t>>& shapes, MovesByPair& known,
                   const MovesByPair& left_out) {
    std::optional<std::size_t> before;
    for (const auto& now : shapes) {
      if (!now) continue;
      if (before && *before != *now && !left_out.contains({*before, *now})) {
        const auto [at, is_new] = known.try_emplace({*before, *now}, lesson_.moves.size());
        if (is_new) {
          Move move =
              describe_move(lesson_.shapes[*before].shape, lesson_.shapes[*now].shape, names_);
          move.from = *before;
          move.to = *now;
          lesson_.moves.push_back(std::move(move));
        }
        ++lesson_.moves[at->second].times;
      }
      before = now;
    }
  }

  void difficulty() {
    constexpr std::size_t kHardest = 5;  // as many as fit a drill (our judgement)
    const arrange::SongDifficulty judged = arrange::difficulty(a_);
    for (const arrange::RankedMove& ranked : judged.right) {
      const auto found =
          std::find_if(lesson_.moves.begin(), lesson_.moves.end(), [&](const Move& move) {
            return move.from == a_.shape_of_chord[ranked.before] &&
                   move.to == a_.shape_of_chord[ranked.chord];
          });
      found->difficulty = ranked.difficulty;
      found->shortest = ranked.shortest;
      found->needed = ranked.needed;
      if (lesson_.hardest.size() < kHardest)
        lesson_.hardest.push_back(static_cast<std::size_t>(found - lesson_.moves.begin()));
    }
    lesson_.difficulty = judged.song;
    for (std::size_t s = 0; s < judged.sections.size(); ++s) {
      if (judged.sections[s])
        lesson_.section_difficulties.push_back({a_.song.sections[s].name, *judged.sections[s]});
    }
    lesson_.ladder = tempo_ladder(a_.song.tempo, comfortable_);
  }

  // ---- left hand

  void left_hand() {
    lesson_.one_position = a_.left.positions.size() == 1 && !a_.left.positions.front().is_open();
    using Pass = std::vector<SectionPosition>;
    std::vector<std::vector<Pass>> by_section(a_.song.sections.size());
    std::vector<Pass> ordered(a_.song.sections.size());
    for (std::size_t first = 0; first < a_.chords.size();) {
      const std::size_t section = a_.chords[first].section;
      const int time = a_.bars[a_.chords[first].played_bar].section_pass;
      std::size_t last = first;
      while (last < a_.chords.size() && a_.chords[last].section == section &&
             a_.bars[a_.chords[last].played_bar].section_pass == time) {
        ++last;
      }
      Pass now = left_hand_of(a_, first, last, names_);
      auto& known = by_section[section];
      const auto same = [](const SectionPosition& x, const SectionPosition& y) {
        return x.section == y.section && x.position == y.position && x.remarks == y.remarks &&
               x.rung == y.rung;
      };
      const bool is_new =
          !now.empty() && std::none_of(known.begin(), known.end(), [&](const Pass& p) {
            return std::equal(p.begin(), p.end(), now.begin(), now.end(), same);
          });
      if (is_new) {
        const bool is_first = known.empty();
        known.push_back(std::move(now));
        for (SectionPosition entry : known.back()) {
          if (!is_first) entry.section = at_its_time(entry.section, time);
          ordered[section].push_back(std::move(entry));
        }
      }
      first = last;
    }
    for (auto& entries : ordered) {
      for (auto& entry : entries) lesson_.positions.push_back(std::move(entry));
    }
  }

  std::vector<std::string> cautions() const {
    const bool has_octaves =
        std::any_of(a_.left.bass.begin(), a_.left.bass.end(), [](const auto& bass) {
          return bass &&
                 std::any_of(bass->figure.begin(), bass->figure.end(), [](const auto& part) {
                   return part.tone == arrange::BassTone::octave;
                 });
        });
    return standing_cautions(has_octaves);
  }

  // ---- sections

  std::optional<std::size_t> shape_index(const chart::ChordEvent& event,
                                         std::size_t section) const {
    return event.chord ? arrange::shape_for(shapes_, *event.chord, section) : std::nullopt;
  }

  struct Sounding {
    std::size_t chord;  // index into Arrangement::chords
    Tick moment;        // of the song
  };

  // What sounds at this moment of a written bar, once for each time the bar is played.
  std::vector<Sounding> sounding_at(std::size_t section, std::size_t line, std::size_t bar,
                                    Tick offset) const {
    std::vector<Sounding> out;
    for (const chart::PlayedBar& played : a_.bars) {
      if (played.section != section || played.line != line || played.bar != bar ||
          offset >= played.length)
        continue;
      const Tick moment = played.start + offset;
      out.push_back({chart::chord_at(a_.chords, moment), moment});
    }
    return out;
  }

  // A chord is printed as held only where it is never struck: each time the bar is played it goes on from before.
  void set_what_sounds(SheetChord& chord, std::size_t section, std::size_t line,
                       std::size_t bar) const {
    const std::vector<Sounding> all = sounding_at(section, line, bar, chord.start);
    if (all.empty()) return;
    chord.bass = a_.left.bass[all.front().chord];
    chord.is_held = std::all_of(all.begin(), all.end(), [&](const Sounding& s) {
      return a_.chords[s.chord].start < s.moment;
    });
  }

  std::optional<Tick> cut_of(const SheetBar& bar, std::size_t section, std::size_t line,
                             std::size_t index) const {
    std::set<Tick> lengths;
    for (const chart::PlayedBar& played : a_.bars) {
      if (played.section == section && played.line == line && played.bar == index)
        lengths.insert(played.length);
    }
    if (lengths.size() != 1 || *lengths.begin() <= Tick(0) || *lengths.begin() >= bar.length)
      return std::nullopt;
    return *lengths.begin();
  }

  SheetBar sheet_bar(const chart::Bar& bar, std::size_t section) {
    SheetBar out;
    out.meter = bar.meter;
    out.tonality = bar.tonality;
    out.length = bar.length;
    out.is_pick_up = bar.is_pick_up;
    out.words = bar.words;
    out.repeat_begins = bar.repeat_begins;
    out.repeat_times = bar.repeat_times;
    out.is_vamp = bar.is_vamp;
    out.endings = bar.endings;
    std::vector<std::string> changes;
    if (bar.meter != meter_) changes.push_back(music::text(bar.meter));
    out.is_key_change = bar.tonality != tonality_;
    if (out.is_key_change) changes.push_back("key of " + music::text(bar.tonality, names_));
    out.change = fmt::format("{}", fmt::join(changes, ", "));
    meter_ = bar.meter;
    tonality_ = bar.tonality;
    Tick start;
    for (const chart::ChordEvent& event : bar.chords) {
      SheetChord chord;
      chord.chord = symbol(event);
      chord.start = start;
      chord.duration = event.duration;
      chord.is_held = before_ != nullptr && before_->chord == event.chord;
      chord.shape = shape_index(event, section);
      before_ = &event;
      out.chords.push_back(std::move(chord));
      start += event.duration;
    }
    return out;
  }

  void sections() {
    for (std::size_t s = 0; s < a_.song.sections.size(); ++s) {
      const chart::Section& section = a_.song.sections[s];
      SheetSection out{section.name, 0, {}};
      before_ = nullptr;
      if (s == 0) {
        meter_ = a_.song.meter;
        tonality_ = a_.song.tonality;
      }
      for (std::size_t l = 0; l < section.lines.size(); ++l) {
        SheetLine line;
        const chart::ChordEvent* before_line = before_;
        for (std::size_t b = 0; b < section.lines[l].bars.size(); ++b) {
          SheetBar bar = sheet_bar(section.lines[l].bars[b], s);
          for (SheetChord& chord : bar.chords) set_what_sounds(chord, s, l, b);
          bar.cut_to = cut_of(bar, s, l, b);
          out.bars += bar.is_pick_up ? 0 : 1;
          line.bars.push_back(std::move(bar));
        }
        const chart::ChordEvent* after_line = before_;
        for (std::size_t o = 0; o < section.lines[l].options.size(); ++o) {
          before_ = before_line;
          line.options.push_back(sheet_option({s, l, o}));
        }
        before_ = after_line;
        out.lines.push_back(std::move(line));
      }
      lesson_.sections.push_back(std::move(out));
    }
  }

  // ---- options

  SheetOption sheet_option(const chart::OptionPlace& place) {
    const chart::Option& option = chart::option_at(a_.song, place);
    SheetOption out{option.label, {}, {}};
    const auto& lines = a_.options.lines;
    const auto arranged = std::find_if(lines.begin(), lines.end(),
                                       [&](const auto& line) { return line.place == place; });
    for (std::size_t b = 0; b < option.bars.size(); ++b) {
      SheetBar bar = sheet_bar(option.bars[b], place.section);
      for (SheetChord& chord : bar.chords) {
        if (arranged != lines.end()) set_what_sounds(chord, *arranged, b);
      }
      out.bars.push_back(std::move(bar));
    }
    if (arranged != lines.end()) out.remarks = option_remarks(*arranged);
    return out;
  }

  // The same for an option: one passage each time its line is played.
  void set_what_sounds(SheetChord& chord, const arrange::ArrangedOption& option,
                       std::size_t bar) const {
    bool is_first = true;
    std::size_t passage = 0;
    bool was_in_line = false;
    for (const chart::PlayedBar& played : a_.bars) {
      const bool is_in_line =
          played.section == option.place.section && played.line == option.place.line;
      if (was_in_line && !is_in_line) ++passage;
      was_in_line = is_in_line;
      if (!is_in_line || played.bar != bar || chord.start >= played.length) continue;
      const Tick moment = played.start + chord.start;
      const arrange::OptionPassage& here = option.passages[passage];
      const std::size_t at = chart::chord_at(here.chords, moment);
      const bool goes_on = here.chords[at].start < moment;
      if (is_first) chord.shape = here.shapes[at];
      if (is_first) chord.bass = here.bass[at];
      chord.is_held = goes_on && (is_first || chord.is_held);
      is_first = false;
    }
  }

  // What the left hand does otherwise than from its position, the first time; what only another time needs is marked.
  std::vector<std::string> option_remarks(const arrange::ArrangedOption& option) const {
    std::vector<std::string> out;
    for (std::size_t time = 0; time < option.passages.size(); ++time) {
      for (std::string& remark : passage_remarks(option, option.passages[time])) {
        const bool is_said = std::find(out.begin(), out.end(), remark) != out.end();
        if (time > 0) remark += " (another time)";
        if (!is_said && std::find(out.begin(), out.end(), remark) == out.end())
          out.push_back(std::move(remark));
      }
    }
    return out;
  }

  std::vector<std::string> passage_remarks(const arrange::ArrangedOption& option,
                                           const arrange::OptionPassage& passage) const {
    std::vector<std::string> out;
    for (std::size_t i = 0; i < passage.chords.size(); ++i) {
      const auto& bass = passage.bass[i];
      if (!bass) continue;
      const chart::PlayedBar& bar = a_.bars[passage.chords[i].played_bar];
      const bool is_in_line = bar.section == option.place.section && bar.line == option.place.line;
      const arrange::Position& position = a_.position(bass->position);
      if (bass->shifts && i > 0 && !position.is_open()) {
        out.push_back(fmt::format("{}hand shifts at {}: little finger on {}, thumb on {}",
                                  is_in_line ? "" : "after it the ",
                                  music::text(*passage.chords[i].chord, names_),
                                  display(position.little_finger().name, names_),
                                  display(position.thumb().name, names_)));
      }
      if (is_in_line && bass->reach != arrange::Reach::none)
        out.push_back(reach_in_words(*bass, position, names_));
    }
    return out;
  }

  const Arrangement& a_;
  std::optional<music::Tempo> comfortable_;
  const perform::PatternPlan& plan_;
  music::NoteNames names_;
  std::vector<arrange::ShapeChoice> shapes_;  // those of the plain song, then those of options
  Lesson lesson_;
  music::Meter meter_;
  music::Tonality tonality_;
  const chart::ChordEvent* before_ = nullptr;  // written before, in the same section
};

}  // namespace

Lesson teach(const Arrangement& arrangement, std::optional<music::Tempo> comfortable,
             std::optional<ForStudent> student, const perform::PatternPlan& plan,
             music::NoteNames names) {
  Lesson lesson = Teacher(arrangement, comfortable, plan, names).teach();
  lesson.student = std::move(student);
  return lesson;
}

const Move* way_back(const Lesson& lesson, const Move& move) {
  for (const Move& other : lesson.moves) {
    const bool leads_back = other.from == move.to && other.to == move.from;
    if (leads_back && &other != &move && other.is_optional == move.is_optional) return &other;
  }
  return nullptr;
}

}  // namespace stillhand::teach
