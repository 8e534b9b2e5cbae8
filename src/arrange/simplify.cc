#include "arrange/simplify.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>
#include <string>
#include <utility>
#include <vector>

namespace stillhand::arrange {
namespace {

using chart::Bar;
using chart::ChordEvent;
using chart::Song;
using music::Chord;
using music::ChordQuality;
using music::Degree;

constexpr int kManyAccidentals = 4;
constexpr Degree kPlainFifth{5, 0};

// ---- what a chord consists of

bool is_suspended(const ChordQuality& quality) {
  return !quality.has(3) && (quality.has(2) || quality.has(4));
}

// Root, third or what replaces it, fifth.
bool is_of_the_triad(Degree d, bool suspended) {
  return d.number == 1 || d.number == 3 || d.number == 5 ||
         (suspended && (d.number == 2 || d.number == 4));
}

std::vector<Degree> beyond_the_triad(const ChordQuality& quality) {
  std::vector<Degree> beyond;
  for (Degree d : quality.degrees) {
    if (!is_of_the_triad(d, is_suspended(quality))) beyond.push_back(d);
  }
  return beyond;
}

bool is_altered_fifth(Degree d) { return d.number == 5 && d.alteration != 0; }
bool is_altered_addition(Degree d) { return d.number >= 9 && d.alteration != 0; }

bool has_altered_fifth(const ChordQuality& quality) {
  return std::any_of(quality.degrees.begin(), quality.degrees.end(), is_altered_fifth);
}

// The chord over a diminished or an augmented triad: no plain triad stands for it.
bool is_diminished_or_augmented(const ChordQuality& quality) {
  int fifths = 0;
  int third = 1;
  int fifth = 0;
  for (Degree d : quality.degrees) {
    if (d.number == 3) third = d.alteration;
    if (d.number != 5) continue;
    ++fifths;
    fifth = d.alteration;
  }
  return fifths == 1 && ((third == -1 && fifth == -1) || (third == 0 && fifth == 1));
}

bool has_slash(const Chord& chord) {
  return chord.bass_note().pitch_class() != chord.root.pitch_class();
}

// ---- the rules

void keep_only(std::vector<Degree>& degrees, bool suspended, Degree kept) {
  std::erase_if(degrees, [&](Degree d) { return !is_of_the_triad(d, suspended) && d != kept; });
}

void make_fifth_plain(std::vector<Degree>& degrees) {
  std::erase_if(degrees, is_altered_fifth);
  if (std::find(degrees.begin(), degrees.end(), kPlainFifth) == degrees.end())
    degrees.push_back(kPlainFifth);
}

// What stays of more than one note beyond the triad: the seventh, else the sixth, else the lowest.
Degree plainest(const std::vector<Degree>& beyond) {
  for (const int number : {7, 6}) {
    for (Degree d : beyond) {
      if (d.number == number) return d;
    }
  }
  return beyond.front();
}

ChordQuality without_larger(const ChordQuality& quality) {
  std::vector<Degree> degrees = quality.degrees;
  const bool suspended = is_suspended(quality);
  if (is_diminished_or_augmented(quality)) {
    std::erase_if(degrees, [](Degree d) { return !is_of_the_triad(d, false); });
    return music::quality_of(std::move(degrees));
  }
  if (has_altered_fifth(quality)) make_fifth_plain(degrees);
  const auto beyond = beyond_the_triad(quality);
  if (beyond.size() > 1) keep_only(degrees, suspended, plainest(beyond));
  std::erase_if(degrees, is_altered_addition);
  return music::quality_of(std::move(degrees));
}

ChordQuality triad_of(const ChordQuality& quality) {
  std::vector<Degree> degrees = quality.degrees;
  const bool suspended = is_suspended(quality);
  std::erase_if(degrees, [&](Degree d) { return !is_of_the_triad(d, suspended); });
  return music::quality_of(std::move(degrees));
}

ChordQuality with_third(const ChordQuality& quality, Third third) {
  std::vector<Degree> degrees = quality.degrees;
  std::erase_if(degrees, [](Degree d) { return d.number == 2 || d.number == 4; });
  if (has_altered_fifth(quality)) make_fifth_plain(degrees);
  degrees.push_back({3, static_cast<std::int8_t>(third == Third::major ? 0 : -1)});
  return music::quality_of(std::move(degrees));
}

// ---- a song

std::optional<Third> third_of(const Chord& chord) {
  for (Degree d : chord.quality.degrees) {
    if (d.number == 3) return d.alteration == 0 ? Third::major : Third::minor;
  }
  return std::nullopt;
}

// The third of the key's own triad on a root; the fifth degree is major in minor keys too.
Third third_in(const music::Tonality& tonality, music::NoteName root) {
  const int up =
      music::PitchClass(root.pitch_class().value() - tonality.tonic.pitch_class().value()).value();
  const std::set<int> minor =
      tonality.mode == music::Mode::major ? std::set<int>{2, 4, 9} : std::set<int>{0, 2, 5};
  return minor.contains(up) ? Third::minor : Third::major;
}

// Every chord of the song's lines in the order of writing, `or` lines apart.
std::vector<Chord> chords_in_order(const Song& song) {
  std::vector<Chord> all;
  for (const chart::Section& section : song.sections) {
    for (const chart::Line& line : section.lines) {
      for (const Bar& bar : line.bars) {
        for (const ChordEvent& event : bar.chords) {
          if (event.chord) all.push_back(*event.chord);
        }
      }
    }
  }
  return all;
}

bool is_step(const Chord& from, const Chord& to) {
  return music::is_step(from.bass_note(), to.bass_note());
}

Skills missing(const Skills& needed, const Skills& skills) {
  Skills out;
  std::set_difference(needed.begin(), needed.end(), skills.begin(), skills.end(),
                      std::inserter(out, out.end()));
  return out;
}

bool same_chords(const std::vector<Bar>& a, const std::vector<Bar>& b) {
  return std::equal(a.begin(), a.end(), b.begin(), b.end(),
                    [](const Bar& x, const Bar& y) { return x.chords == y.chords; });
}

class Simplifier {
 public:
  Simplifier(const Song& song, const Skills& skills, music::NoteNames names)
      : before_(song), skills_(skills), names_(names), in_order_(chords_in_order(song)) {
    out_.song = song;
  }

  Simplified run() {
    for (chart::Section& section : out_.song.sections) simplify(section);
    drop_idle_pins();
    return std::move(out_);
  }

 private:
  // One chord where it stands: before, and as it is played now.
  struct Reduced {
    Chord before;
    Chord after;
    Place place;
  };

  void simplify(chart::Section& section) {
    std::vector<std::optional<Reduced>> row;  // nullopt under N.C.
    for (chart::Line& line : section.lines) {
      const std::vector<Bar> as_written = line.bars;
      const std::size_t begin = passed_;
      simplify(line.bars, Reading::line, row);
      const std::size_t end = std::exchange(passed_, begin);
      std::erase_if(line.options, [&](chart::Option& option) {
        const bool differed = !same_chords(option.bars, as_written);
        std::vector<std::optional<Reduced>> own_row;
        simplify(option.bars, Reading::option, own_row);
        warn_of_lost_steps(own_row);
        return differed && same_chords(option.bars, line.bars);
      });
      passed_ = end;
    }
    warn_of_lost_steps(row);
  }

  // An option is read beside the beginning of its line: the chords of the line answer for its own.
  enum class Reading { line, option };

  void simplify(std::vector<Bar>& bars, Reading reading, std::vector<std::optional<Reduced>>& row) {
    for (Bar& bar : bars) {
      std::vector<ChordEvent> events;
      std::optional<Chord> last_before;
      for (ChordEvent event : bar.chords) {
        const std::optional<Chord> before = event.chord;
        if (before) {
          event.chord = simplified(*before, skills_, third_for(*before, bar.tonality));
          if (reading == Reading::line) ++passed_;
          remark_on(*before, *event.chord, event.place);
          row.push_back(Reduced{*before, *event.chord, event.place});
        } else {
          row.push_back(std::nullopt);
        }
        const bool joins =
            !events.empty() && events.back().chord == event.chord && !(last_before == before);
        if (joins)
          events.back().duration = events.back().duration + event.duration;
        else
          events.push_back(std::move(event));
        last_before = before;
      }
      bar.chords = std::move(events);
    }
  }

  // What takes the place of a suspension: the third of the next chord on this root, else of the last one before.
  Third third_for(const Chord& chord, const music::Tonality& tonality) const {
    const auto found = [&](const Chord& other) {
      return other.root.pitch_class() == chord.root.pitch_class() && third_of(other).has_value();
    };
    const auto middle = in_order_.begin() + static_cast<std::ptrdiff_t>(passed_);
    if (const auto next = std::find_if(middle, in_order_.end(), found); next != in_order_.end())
      return *third_of(*next);
    const auto last = std::find_if(std::make_reverse_iterator(middle), in_order_.rend(), found);
    return last != in_order_.rend() ? *third_of(*last) : third_in(tonality, chord.root);
  }

  void remark_on(const Chord& before, const Chord& after, Place place) {
    const Skills lacking = missing(skills_of(before), skills_);
    if (lacking.empty()) return;
    if (before == after) {
      say(Severity::note, place,
          fmt::format("{} stays: no plainer chord stands for it (not learned yet: {})",
                      text(before, names_), listed(lacking)));
      return;
    }
    say(Severity::note, place,
        fmt::format("{} is played as {} (not learned yet: {})", text(before, names_),
                    text(after, names_), listed(lacking)));
  }

  void warn_of_lost_steps(const std::vector<std::optional<Reduced>>& row) {
    for (std::size_t i = 1; i + 1 < row.size(); ++i) {
      if (!row[i - 1] || !row[i] || !row[i + 1]) continue;
      const Reduced& here = *row[i];
      if (!has_slash(here.before) || has_slash(here.after)) continue;
      const bool was =
          is_step(row[i - 1]->before, here.before) && is_step(here.before, row[i + 1]->before);
      const bool is =
          is_step(row[i - 1]->after, here.after) && is_step(here.after, row[i + 1]->after);
      if (!was || is) continue;
      say(Severity::warning, here.place,
          fmt::format("bass {} {} {}: the line by step is lost",
                      text(row[i - 1]->before.bass_note(), names_),
                      text(here.before.bass_note(), names_),
                      text(row[i + 1]->before.bass_note(), names_)));
    }
  }

  void say(Severity severity, Place place, std::string message) {
    if (!said_.insert(message).second) return;
    out_.remarks.push_back(
        {severity, Fault::chart, before_.file, place, std::move(message), {}, {}});
  }

  // A pin of a chord that was reduced away has nothing to hold any more.
  void drop_idle_pins() {
    const auto plays = [](const Song& song, const Chord& chord) {
      const auto in_bars = [&](const std::vector<Bar>& bars) {
        return std::any_of(bars.begin(), bars.end(), [&](const Bar& bar) {
          return std::any_of(bar.chords.begin(), bar.chords.end(), [&](const ChordEvent& event) {
            return event.chord && event.chord->without_bass() == chord;
          });
        });
      };
      for (const chart::Section& section : song.sections) {
        for (const chart::Line& line : section.lines) {
          if (in_bars(line.bars)) return true;
          for (const chart::Option& option : line.options) {
            if (in_bars(option.bars)) return true;
          }
        }
      }
      return false;
    };
    std::erase_if(out_.song.pins, [&](const chart::Pin& pin) {
      return plays(before_, pin.chord) && !plays(out_.song, pin.chord);
    });
  }

  const Song& before_;
  const Skills& skills_;
  music::NoteNames names_;
  std::vector<Chord> in_order_;
  std::size_t passed_ = 0;  // chords of in_order_ before the one at hand
  std::set<std::string> said_;
  Simplified out_;
};

}  // namespace

Skills skills_of(const Chord& chord) {
  const ChordQuality& quality = chord.quality;
  Skills needed{Skill::triads};
  if (has_slash(chord)) needed.insert(Skill::slash_chord);
  if (is_suspended(quality)) needed.insert(Skill::suspension);
  if (has_altered_fifth(quality)) needed.insert(Skill::larger_chord);
  const auto beyond = beyond_the_triad(quality);
  if (beyond.size() > 1 || std::any_of(beyond.begin(), beyond.end(), is_altered_addition))
    needed.insert(Skill::larger_chord);
  if (quality.has(7))
    needed.insert(Skill::seventh_chord);
  else if (!beyond.empty())
    needed.insert(Skill::added_note);
  return needed;
}

Skills skills_of(const Song& song) {
  Skills needed;
  for (const Chord& chord : chords_in_order(song)) needed.merge(skills_of(chord));
  for (const chart::Section& section : song.sections) {
    for (const chart::Line& line : section.lines) {
      for (const Bar& bar : line.bars) {
        if (bar.meter.is_compound()) needed.insert(Skill::compound_meter);
        if (!(bar.tonality == song.tonality)) needed.insert(Skill::key_change);
        if (std::abs(bar.tonality.fifths()) >= kManyAccidentals)
          needed.insert(Skill::many_accidentals);
      }
    }
  }
  return needed;
}

Chord simplified(const Chord& chord, const Skills& skills, Third third) {
  Chord out = chord;
  if (has_slash(chord) && !skills.contains(Skill::slash_chord)) out.bass.reset();
  const Skills needed = skills_of(chord);
  const auto lacks = [&](Skill skill) { return needed.contains(skill) && !skills.contains(skill); };
  if (lacks(Skill::larger_chord)) out.quality = without_larger(out.quality);
  if (lacks(Skill::seventh_chord) || lacks(Skill::added_note)) out.quality = triad_of(out.quality);
  if (lacks(Skill::suspension)) out.quality = with_third(out.quality, third);
  return out;
}

Simplified simplified(const Song& song, const Skills& skills, music::NoteNames names) {
  return Simplifier(song, skills, names).run();
}

}  // namespace stillhand::arrange
