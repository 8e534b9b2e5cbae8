#include "perform/practice.h"

#include <algorithm>
#include <tuple>

#include "perform/touch.h"

namespace stillhand::perform {
namespace {

using hand::Hand;
using music::Meter;

// What is left of a held key must last this part of a count to be struck again (our judgement).
constexpr int kShortestRest = 8;

// The last that began by then; nullptr if none did.
template <class T>
const At<T>* in_force(const std::vector<At<T>>& all, Tick at) {
  const auto after = std::upper_bound(all.begin(), all.end(), at,
                                      [](Tick t, const At<T>& x) { return t < x.start; });
  return after == all.begin() ? nullptr : &*(after - 1);
}

class Repeater {
 public:
  Repeater(const Performance& song, Span part) : song_(song), part_(part) {
    out_.tempo = song.tempo;
  }

  Performance repeat(int passes) {
    for (int pass = 0; pass < passes; ++pass) {
      count_in();
      play();
    }
    return std::move(out_);
  }

 private:
  Tick moved(Tick at) const { return at + shift_; }

  template <class T>
  static void change(std::vector<At<T>>& all, Tick at, const T& value) {
    if (all.empty() || !(all.back().value == value)) all.push_back({at, value});
  }

  // The bar line at which the first whole bar of the part begins.
  Tick first_bar_line() const {
    const auto found = std::find_if(song_.clicks.begin(), song_.clicks.end(), [&](const Click& c) {
      return c.is_first_of_bar && c.start >= part_.start;
    });
    return found == song_.clicks.end() ? part_.start : std::min(found->start, part_.end);
  }

  void count_in() {
    const Meter meter = in_force(song_.meters, part_.start)->value;
    const Tick pick_up = first_bar_line() - part_.start;
    const Tick length = std::max(meter.bar_length() * kBarsOfCountIn - pick_up, meter.bar_length());
    const Tick begin = out_.end;
    change(out_.meters, begin, meter);
    if (const auto* tonality = in_force(song_.tonalities, part_.start)) {
      change(out_.tonalities, begin, tonality->value);
    }
    for (Tick at(0); at < length; at += meter.count_length()) {
      out_.clicks.push_back({begin + at, at.value() % meter.bar_length().value() == 0});
    }
    out_.end = begin + length;
    if (begin == Tick(0)) {
      out_.count_in = length;
    } else {
      out_.later_count_ins.push_back({begin, out_.end});
    }
    shift_ = out_.end - part_.start;
  }

  void play() {
    copy_changes(song_.meters, out_.meters);
    copy_changes(song_.tonalities, out_.tonalities);
    copy_from_the_start(song_.sections, out_.sections);
    copy_from_the_start(song_.chords, out_.chords);
    for (const auto& words : song_.words) {
      if (lies_inside(words.start)) out_.words.push_back({moved(words.start), words.value});
    }
    for (const Click& click : song_.clicks) {
      if (lies_inside(click.start))
        out_.clicks.push_back({moved(click.start), click.is_first_of_bar});
    }
    notes();
    pedal();
    out_.end = moved(part_.end);
  }

  bool lies_inside(Tick at) const { return at >= part_.start && at < part_.end; }

  template <class T>
  void copy_changes(const std::vector<At<T>>& from, std::vector<At<T>>& to) const {
    for (const At<T>& at : from) {
      if (at.start > part_.start && at.start < part_.end) change(to, moved(at.start), at.value);
    }
  }

  // With what is in force where the part begins.
  void copy_from_the_start(const std::vector<At<std::string>>& from,
                           std::vector<At<std::string>>& to) const {
    if (const auto* first = in_force(from, part_.start)) {
      to.push_back({moved(part_.start), first->value});
    }
    for (const auto& at : from) {
      if (at.start > part_.start && at.start < part_.end) to.push_back({moved(at.start), at.value});
    }
  }

  void notes() {
    const auto after = in_force(song_.chords, part_.end);
    const bool chord_follows = after != nullptr && after->start == part_.end;
    const Tick shortest = in_force(song_.meters, part_.start)->value.count_length() / kShortestRest;
    std::vector<Note> notes;
    for (const Note& note : song_.notes) {
      const Tick end = note.start + note.duration;
      if (note.start >= part_.end || end <= part_.start) continue;
      if (note.start < part_.start && end - part_.start < shortest) continue;
      if (end > part_.end && chord_follows) continue;  // a push into what follows
      const Tick start = std::max(note.start, part_.start);
      notes.push_back(
          {note.hand, note.key, note.velocity, moved(start), std::min(end, part_.end) - start});
    }
    // Held keys and struck ones begin together now.
    std::sort(notes.begin(), notes.end(), [](const Note& a, const Note& b) {
      return std::tuple(a.start, a.hand, a.key) < std::tuple(b.start, b.hand, b.key);
    });
    out_.notes.insert(out_.notes.end(), notes.begin(), notes.end());
  }

  void pedal() {
    Pedal now = Pedal::up;
    const auto step = [&](Tick at, Pedal pedal) {
      if (pedal == now) return;
      out_.pedal.push_back({moved(at), pedal});
      now = pedal;
    };
    if (const auto* before = in_force(song_.pedal, part_.start)) step(part_.start, before->value);
    for (const auto& at : song_.pedal) {
      if (at.start > part_.start && at.start < part_.end) step(at.start, at.value);
    }
    step(part_.end, Pedal::up);
  }

  const Performance& song_;
  Span part_;
  Tick shift_{0};  // from the song to the pass being written
  Performance out_;
};

}  // namespace

Performance repeated(const Performance& song, Span part, int passes) {
  return Repeater(song, part).repeat(passes);
}

Performance one_hand(Performance performance, Hand hand) {
  std::erase_if(performance.notes, [hand](const Note& note) { return note.hand != hand; });
  return performance;
}

Performance in_turn(const PracticeChord& first, const PracticeChord& second,
                    const PracticeBars& bars) {
  Performance out;
  out.tempo = bars.tempo;
  out.meters = {{Tick(0), bars.meter}};
  out.tonalities = {{Tick(0), bars.tonality}};
  out.sections = {{Tick(0), bars.name}};
  const Tick count = bars.meter.count_length();
  const Tick gap = count / kReleasePart;
  for (int bar = 0; bar < bars.bars; ++bar) {
    const PracticeChord& chord = bar % 2 == 0 ? first : second;
    out.chords.push_back({out.end, chord.name});
    if (chord.left) {
      out.notes.push_back({Hand::left, *chord.left, kBass, out.end, bars.meter.bar_length() - gap});
    }
    for (int n = 0; n < bars.meter.counts().value(); ++n) {
      const Tick at = out.end + count * n;
      out.clicks.push_back({at, n == 0});
      for (const music::PianoKey key : chord.right) {
        out.notes.push_back({Hand::right, key, n == 0 ? kFirstOfBar : kRepeat, at, count - gap});
      }
    }
    out.end += bars.meter.bar_length();
  }
  std::sort(out.notes.begin(), out.notes.end(), [](const Note& a, const Note& b) {
    return std::tuple(a.start, a.hand, a.key) < std::tuple(b.start, b.hand, b.key);
  });
  return out;
}

}  // namespace stillhand::perform
