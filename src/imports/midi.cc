// A MIDI file as a chart: bars from its meters, chords from its notes, sections from its markers, words from its lyrics.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>

#include "chart/chart.h"
#include "chart/song.h"
#include "imports/chord_finding.h"
#include "imports/draft.h"
#include "imports/imports.h"
#include "imports/midi_file.h"

namespace stillhand::imports {
namespace {

constexpr std::size_t kLongestWords =
    1000;  // bytes under one bar; a line of a chart has no room for more

struct GridBar {
  Tick start;
  Tick length;
  Meter meter;
};

// Bars up to the end, by the meters in force; a meter that comes inside a bar cuts it.
std::vector<GridBar> bars_of(const std::vector<MidiAt<Meter>>& meters, Tick first, Tick end) {
  std::vector<GridBar> out;
  std::size_t next = 0;
  Meter meter;
  if (first > Tick(0)) {
    if (!meters.empty()) meter = meters.front().value;
    out.push_back({Tick(0), first, meter});
  }
  for (Tick at = first; at < end;) {
    while (next < meters.size() && meters[next].start <= at) meter = meters[next++].value;
    Tick length = meter.bar_length();
    if (next < meters.size()) length = std::min(length, meters[next].start - at);
    if (out.size() > chart::kMostPlayedBars) return out;
    out.push_back({at, length, meter});
    at += length;
  }
  return out;
}

// Counts, and their halves; a count of three eighths is parted in three.
std::vector<GridPoint> grid_of(const std::vector<GridBar>& bars, Accent on_bar_line) {
  std::vector<GridPoint> out;
  for (const GridBar& bar : bars) {
    const int count = bar.meter.count_length().value();
    const int parts = bar.meter.is_compound() ? 3 : bar.meter.lower() == 8 ? 1 : 2;
    for (int at = 0; at < bar.length.value(); at += count / parts) {
      const bool is_count = at % count == 0;
      const bool is_half = at * 2 == bar.meter.bar_length().value();
      const Accent accent = at == 0     ? on_bar_line
                            : !is_count ? Accent::between_counts
                            : is_half   ? std::min(Accent::half_bar, on_bar_line)
                                        : Accent::count;
      out.push_back({bar.start + Tick(at), accent});
    }
  }
  return out;
}

struct GuessedMeter {
  Meter meter;
  Tick first;  // of the first whole bar
};

// Where no meter is written: three or four counts to the bar, and the beginning at which most chords change on bar lines.
GuessedMeter guess_meter(const std::vector<FoundChord>& chords) {
  GuessedMeter best;
  double best_score = -1;
  for (const int upper : {4, 3}) {
    for (int phase = 0; phase < upper; ++phase) {
      double on_bar_lines = 0;
      for (std::size_t i = 1; i < chords.size(); ++i) {
        const int count =
            (chords[i].start.value() + music::kQuarter.value() / 2) / music::kQuarter.value();
        if (count % upper == phase) ++on_bar_lines;
      }
      // More than the share that chance would give.
      const double score =
          on_bar_lines / std::max<double>(1, static_cast<double>(chords.size()) - 1) - 1.0 / upper;
      if (score > best_score + 1e-9) {
        best_score = score;
        best = {*Meter::make(upper, 4), music::kQuarter * phase};
      }
    }
  }
  return best;
}

music::NoteName plain_name(music::PitchClass pitch_class) { return Tonality{}.spell(pitch_class); }

Tonality propose(const std::vector<FoundChord>& chords) {
  std::vector<chart::PlayedChord> played;
  for (const FoundChord& found : chords) {
    chart::PlayedChord chord;
    if (found.root) chord.chord = Chord{plain_name(*found.root), found.quality, std::nullopt};
    chord.start = found.start;
    chord.duration = found.end - found.start;
    played.push_back(std::move(chord));
  }
  return chart::propose_tonality(played);
}

class Reader {
 public:
  Reader(MidiFile midi, const std::string& file) : midi_(std::move(midi)), file_(file) {}

  Result<std::string> read() {
    if (midi_.notes.empty())
      return failure(Fault::chart, file_, "it has no notes", "export the song with its notes");
    for (const MidiNote& note : midi_.notes) end_ = std::max(end_, note.start + note.duration);
    find();
    if (bars_.size() > chart::kMostPlayedBars)
      return failure(Fault::chart, file_,
                     fmt::format("it is longer than {} bars", chart::kMostPlayedBars),
                     "import a shorter piece of it");
    draft_.title = midi_.title;
    draft_.meter = bars_.front().meter;
    if (midi_.quarters_per_minute) {
      const double counts = *midi_.quarters_per_minute * music::kQuarter.value() /
                            draft_.meter.count_length().value();
      const Tempo tempo(static_cast<int>(std::lround(std::clamp(counts, 1.0, 1000.0))));
      if (tempo >= music::kSlowestTempo && tempo <= music::kFastestTempo) draft_.tempo = tempo;
    }
    if (midi_.tonalities.empty()) {
      midi_.tonalities.push_back({Tick(0), propose(chords_)});
      draft_.doubts.push_back(fmt::format("the file has no key: {} fits the chords best",
                                          music::text(midi_.tonalities.front().value)));
    }
    if (midi_.ends_early)
      draft_.doubts.push_back(
          "the file ends early: something is missing, perhaps from the end of the song");
    if (midi_.has_odd_meter)
      draft_.doubts.push_back("a meter that a chart cannot have was left out");
    draft_.tonality = tonality_at(Tick(0));
    draft_bars();
    return draft_chart(draft_, file_);
  }

 private:
  void find() {
    const Tick first = midi_.notes.front().start;
    if (!midi_.meters.empty()) {
      bars_ = bars_of(midi_.meters, Tick(0), end_);
      drop_silent_front(first);
      if (bars_.size() <= chart::kMostPlayedBars)
        chords_ = find_chords(midi_.notes, grid_of(bars_, Accent::bar), end_of_bars(),
                              bars_.front().meter.count_length());
      return;
    }
    // Counts from the first note on; then again, when it is known where bars begin.
    const Tick slack = music::kQuarter / 4;
    const Tick origin =
        Tick((first + slack).value() / music::kQuarter.value() * music::kQuarter.value());
    for (MidiNote& note : midi_.notes) note.start -= origin;
    for (auto* texts : {&midi_.markers, &midi_.lyrics}) {
      for (auto& text : *texts) text.start = std::max(Tick(0), text.start - origin);
    }
    end_ -= origin;
    bars_ = bars_of({}, Tick(0), end_);
    if (bars_.size() > chart::kMostPlayedBars) return;
    const GuessedMeter guessed = guess_meter(
        find_chords(midi_.notes, grid_of(bars_, Accent::count), end_of_bars(), music::kQuarter));
    bars_ = bars_of({{Tick(0), guessed.meter}}, guessed.first, end_);
    draft_.doubts.push_back(
        fmt::format("the file has no meter: {} was found from where chords change",
                    music::text(guessed.meter)));
    chords_ = find_chords(midi_.notes, grid_of(bars_, Accent::bar), end_of_bars(), music::kQuarter);
  }

  Tick end_of_bars() const { return bars_.back().start + bars_.back().length; }

  // A count-in or silence before the song: its whole bars are left out.
  void drop_silent_front(Tick first) {
    const Tick slack = bars_.front().meter.count_length() / 4;
    std::size_t silent = 0;
    while (silent + 1 < bars_.size() && bars_[silent + 1].start <= first + slack) ++silent;
    bars_.erase(bars_.begin(), bars_.begin() + static_cast<std::ptrdiff_t>(silent));
    // What begins late in its bar is a pick-up.
    GridBar& bar = bars_.front();
    const int count = bar.meter.count_length().value();
    const int late = (first + slack - bar.start).value() / count;
    if (late > 0 && bars_.size() > 1) {
      bar.start += Tick(late * count);
      bar.length -= Tick(late * count);
    }
  }

  Tonality tonality_at(Tick at) const {
    Tonality out = midi_.tonalities.front().value;
    for (const auto& change : midi_.tonalities) {
      if (change.start <= at) out = change.value;
    }
    return out;
  }

  std::optional<Chord> spelled(const FoundChord& found, Tonality tonality) const {
    if (!found.root) return std::nullopt;
    Chord chord{tonality.spell(*found.root), found.quality, std::nullopt};
    if (found.bass == *found.root) return chord;
    for (const music::NoteName note : chord.notes()) {
      if (note.pitch_class() == found.bass) chord.bass = note;
    }
    if (!chord.bass) chord.bass = tonality.spell(found.bass);
    return chord;
  }

  void draft_bars() {
    std::size_t marker = 0;
    std::size_t lyric = 0;
    std::size_t chord = 0;
    draft_.sections.push_back({"Song", {}});
    for (std::size_t i = 0; i < bars_.size(); ++i) {
      const GridBar& grid = bars_[i];
      const Tick stop = grid.start + grid.length;
      const Tick early = grid.meter.count_length() / 4;
      for (; marker < midi_.markers.size() && midi_.markers[marker].start + early < stop; ++marker)
        begin_section(midi_.markers[marker].value);
      DraftBar bar;
      bar.meter = grid.meter;
      bar.tonality = tonality_at(grid.start + early);
      bar.length = grid.length;
      const bool opens = i == 0 && bars_.size() > 1 &&
                         grid.length.value() % grid.meter.count_length().value() == 0;
      if (bar.length != grid.meter.bar_length() && !opens) {
        const auto own = meter_of_length(grid.meter, grid.length);
        if (own) bar.meter = *own;
        bar.length = bar.meter.bar_length();
        if (!own) bar.doubts.push_back("the bar is not as long as its meter");
      }
      for (; chord < chords_.size() && chords_[chord].start < stop; ++chord) {
        const auto found = spelled(chords_[chord], bar.tonality);
        bar.chords.push_back({std::max(Tick(0), chords_[chord].start - grid.start), found});
        if (chords_[chord].is_doubtful && found)
          bar.doubts.push_back(fmt::format("{} is uncertain", music::text(*found)));
      }
      for (; lyric < midi_.lyrics.size() && midi_.lyrics[lyric].start + early < stop; ++lyric)
        sing(midi_.lyrics[lyric].value, bar.words);
      draft_.sections.back().bars.push_back(std::move(bar));
    }
  }

  void begin_section(const std::string& name) {
    if (draft_.sections.back().bars.empty()) {
      draft_.sections.back().name = name;
    } else {
      draft_.sections.push_back({name, {}});
    }
  }

  // Syllables: a hyphen at the end goes on, everything else is a word of its own unless the file brings its blanks.
  static void sing(const std::string& syllable, std::string& words) {
    if (syllable.empty() || syllable.front() == '@') return;
    const bool goes_on =
        words.empty() || words.back() == '-' || words.back() == ' ' || syllable.front() == ' ';
    if (words.size() > kLongestWords) return;
    if (!goes_on) words += ' ';
    std::replace_copy_if(
        syllable.begin(), syllable.end(), std::back_inserter(words),
        [](char c) { return c == '/' || c == '\\'; }, ' ');
  }

  MidiFile midi_;
  const std::string& file_;
  Tick end_;
  std::vector<GridBar> bars_;
  std::vector<FoundChord> chords_;
  Draft draft_;
};

}  // namespace

Result<std::string> import_midi(std::string_view bytes, const std::string& file) {
  Result<MidiFile> midi = read_midi(bytes, file);
  if (!midi) return tl::unexpected(midi.error());
  return Reader(std::move(*midi), file).read();
}

}  // namespace stillhand::imports
