#include "write/captions.h"

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <string_view>
#include <utility>

#include "write/caption_cuts.h"
#include "write/caption_text.h"
#include "write/sheet_text.h"
#include "write/sung_words.h"

namespace stillhand::write {
namespace {

using music::Tick;
using perform::Performance;

// Prices of caption_cuts.h (our judgement): a cue changes with the section before all, then with the
// words, then with the chord; where nothing changes, rather at a bar line than at a count.
constexpr int kPassSection = 40;
constexpr int kPassWords = 8;
constexpr int kPassChord = 4;
constexpr int kCutAtBarLine = 2;
constexpr int kCutAtCount = 4;
constexpr int kCutBetween = 6;
// No two places lie further apart, so that a cue of 1 to 8 s can be had from any of them.
constexpr Milliseconds kWidestGap{4000};

// A name shorter than this says nothing; it is left out (our judgement).
constexpr int kShortestName = 4;

struct Timed {
  Milliseconds start;
  std::string text;
};

// At most a line of words, and how long they are sung.
struct Words {
  Tick start;
  Tick end;
  std::string text;
};

// For readers: syllables joined. A word that goes on in the next bar keeps its hyphen.
std::string as_read(std::string_view words) {
  std::string out = joined_syllables(words);
  if (words.ends_with('-') && !out.empty() && !out.ends_with('-')) out += '-';
  return out;
}

// The last that began by then; nullptr if none did.
const Timed* in_force(const std::vector<Timed>& all, Milliseconds at) {
  const auto after = std::upper_bound(all.begin(), all.end(), at,
                                      [](Milliseconds t, const Timed& x) { return t < x.start; });
  return after == all.begin() ? nullptr : &*(after - 1);
}

class Captioner {
 public:
  Captioner(const Performance& performance, int tempo_percent)
      : p_(performance), time_(performance, tempo_percent), count_ins_(perform::count_ins(p_)) {
    for (const auto& [start, chord] : p_.chords) {
      chords_.push_back({time_.at(start), pretty_chord(one_line(chord))});
    }
    for (const auto& [start, name] : p_.sections) {
      sections_.push_back({time_.at(start), one_line(name)});
    }
    for (const perform::Span& count_in : count_ins_) {
      put_in_order(chords_, {time_.at(count_in.start), std::string(kCountIn)});
      put_in_order(sections_, {time_.at(count_in.start), ""});
    }
    for (const perform::Click& click : p_.clicks) {
      if (click.is_first_of_bar) bar_lines_.push_back(click.start);
    }
    for (const perform::Span& count_in : count_ins_) count_aloud(count_in);
    for (std::size_t i = 0; i < p_.words.size(); ++i) sing(i);
    std::stable_sort(words_.begin(), words_.end(),
                     [](const Words& a, const Words& b) { return a.start < b.start; });
  }

  std::vector<Cue> captions() {
    find_places();
    const std::vector<CuePlace> places = with_gaps_filled();
    const std::vector<std::size_t> cuts = cheapest_cuts(places);
    std::vector<Cue> cues;
    for (std::size_t i = 0; i + 1 < cuts.size(); ++i) {
      Cue next = cue(places[cuts[i]].at, places[cuts[i + 1]].at);
      if (!next.lines.empty()) cues.push_back(std::move(next));
    }
    return cues;
  }

 private:
  // ---- the words in pieces of a line

  Tick bar_line_after(Tick at) const {
    const auto next = std::upper_bound(bar_lines_.begin(), bar_lines_.end(), at);
    return next == bar_lines_.end() ? p_.end : std::min(*next, p_.end);
  }

  static void put_in_order(std::vector<Timed>& all, Timed one) {
    all.insert(
        std::upper_bound(all.begin(), all.end(), one.start,
                         [](Milliseconds at, const Timed& other) { return at < other.start; }),
        std::move(one));
  }

  // "1 2 3 4" for each bar of a count-in.
  void count_aloud(const perform::Span& count_in) {
    int count = 0;
    for (const perform::Click& click : p_.clicks) {
      if (click.start < count_in.start) continue;
      if (click.start >= count_in.end) break;
      if (click.is_first_of_bar || click.start == count_in.start) {
        words_.push_back({click.start, std::min(bar_line_after(click.start), count_in.end), ""});
        count = 0;
      }
      words_.back().text += fmt::format("{}{}", count == 0 ? "" : " ", count + 1);
      ++count;
    }
  }

  // The words of one bar; if they are too long for a line, in equal parts of the bar.
  void sing(std::size_t index) {
    const Tick start = p_.words[index].start;
    const Tick next = index + 1 < p_.words.size() ? p_.words[index + 1].start : p_.end;
    const Tick end = std::min(bar_line_after(start), next);
    const auto pieces = caption_pieces(as_read(one_line(p_.words[index].value)), kCaptionWidth);
    const auto part = [&](std::size_t i) {
      const std::int64_t length = (end - start).value();
      return start + Tick(static_cast<int>(length * static_cast<std::int64_t>(i) /
                                           static_cast<std::int64_t>(pieces.size())));
    };
    for (std::size_t i = 0; i < pieces.size(); ++i) {
      words_.push_back({part(i), part(i + 1), pieces[i]});
    }
  }

  // ---- places to cut at

  void place(Tick at, int price_of_cut, int price_of_passing) {
    if (at >= Tick(0) && at <= p_.end) {
      places_.push_back({time_.at(at), price_of_cut, price_of_passing});
    }
  }

  void find_places() {
    place(Tick(0), 0, 0);
    place(p_.end, 0, 0);
    for (const perform::Span& count_in : count_ins_) {
      place(count_in.start, 0, kPassSection);
      place(count_in.end, 0, kPassSection);
    }
    for (const auto& section : p_.sections) place(section.start, 0, kPassSection);
    for (const auto& words : words_) place(words.start, 0, kPassWords);
    for (const auto& chord : p_.chords) place(chord.start, 0, kPassChord);
    for (const Tick bar_line : bar_lines_) place(bar_line, kCutAtBarLine, 0);
    for (const auto& click : p_.clicks) place(click.start, kCutAtCount, 0);
    std::stable_sort(places_.begin(), places_.end(),
                     [](const CuePlace& a, const CuePlace& b) { return a.at < b.at; });
  }

  // One place at each time, and none too far from the next.
  std::vector<CuePlace> with_gaps_filled() const {
    std::vector<CuePlace> out;
    for (const CuePlace& place : places_) {
      if (!out.empty() && out.back().at == place.at) {
        out.back().price_of_cut = std::min(out.back().price_of_cut, place.price_of_cut);
        out.back().price_of_passing = std::max(out.back().price_of_passing, place.price_of_passing);
        continue;
      }
      if (!out.empty()) fill_gap(out, place.at);
      out.push_back(place);
    }
    return out;
  }

  static void fill_gap(std::vector<CuePlace>& places, Milliseconds until) {
    const Milliseconds from = places.back().at;
    const auto parts = (until - from + kWidestGap - Milliseconds(1)) / kWidestGap;
    for (int i = 1; i < parts; ++i) {
      places.push_back({from + (until - from) * i / parts, kCutBetween, 0});
    }
  }

  // ---- what a cue says

  Cue cue(Milliseconds start, Milliseconds end) const {
    Cue out{start, end, {}};
    for (const std::string& line : {head(start, end), words(start, end)}) {
      if (!line.empty()) out.lines.push_back(line);
    }
    return out;
  }

  std::string words(Milliseconds start, Milliseconds end) const {
    std::string out;
    auto piece = std::partition_point(words_.begin(), words_.end(),
                                      [&](const Words& w) { return time_.at(w.end) <= start; });
    for (; piece != words_.end() && time_.at(piece->start) < end; ++piece) {
      out += (out.empty() ? "" : " ") + piece->text;
    }
    return fitted_caption(out, kCaptionWidth);
  }

  // "D – Em, next A · Verse 1", as much of it as a line holds.
  std::string head(Milliseconds start, Milliseconds end) const {
    std::string out = fmt::format("{}", fmt::join(chords_during(start, end), " – "));
    const std::string next = next_chord(end);
    if (caption_width(out + next) > kCaptionWidth) return fitted_caption(out, kCaptionWidth);
    out += next;
    const Timed* section = in_force(sections_, start);
    const int room = kCaptionWidth - caption_width(out) - 3;
    if (section == nullptr || section->text.empty() || room < kShortestName) return out;
    return fmt::format("{} · {}", out, fitted_caption(section->text, room));
  }

  std::vector<std::string> chords_during(Milliseconds start, Milliseconds end) const {
    std::vector<std::string> out;
    if (const Timed* chord = in_force(chords_, start)) out.push_back(chord->text);
    for (auto chord = first_chord_from(start + Milliseconds(1));
         chord != chords_.end() && chord->start < end; ++chord) {
      if (out.empty() || out.back() != chord->text) out.push_back(chord->text);
    }
    return out;
  }

  std::string next_chord(Milliseconds end) const {
    const auto chord = first_chord_from(end);
    return chord == chords_.end() ? "" : ", next " + chord->text;
  }

  std::vector<Timed>::const_iterator first_chord_from(Milliseconds at) const {
    return std::lower_bound(chords_.begin(), chords_.end(), at,
                            [](const Timed& chord, Milliseconds t) { return chord.start < t; });
  }

  const Performance& p_;
  TrackTime time_;
  std::vector<perform::Span> count_ins_;
  std::vector<Timed> chords_;
  std::vector<Timed> sections_;
  std::vector<Tick> bar_lines_;
  std::vector<Words> words_;  // in order, the counts of the count-ins among them
  std::vector<CuePlace> places_;
};

// ---- files

std::string with_each(std::string_view text,
                      const std::vector<std::pair<char, std::string_view>>& instead) {
  std::string out;
  for (const char c : text) {
    const auto found = std::find_if(instead.begin(), instead.end(),
                                    [c](const auto& pair) { return pair.first == c; });
    if (found == instead.end()) {
      out += c;
    } else {
      out += found->second;
    }
  }
  return out;
}

}  // namespace

std::vector<Cue> captions(const Performance& performance, int tempo_percent) {
  return Captioner(performance, tempo_percent).captions();
}

std::string escaped_for_web_vtt(std::string_view text) {
  return with_each(text, {{'&', "&amp;"}, {'<', "&lt;"}, {'>', "&gt;"}});
}

std::string web_vtt(const std::vector<Cue>& cues) {
  std::string out = "WEBVTT\n";
  for (const Cue& cue : cues) {
    out += fmt::format("\n{} --> {}\n", clock_text(cue.start, '.'), clock_text(cue.end, '.'));
    for (const std::string& line : cue.lines) out += escaped_for_web_vtt(line) + "\n";
  }
  return out;
}

std::string sub_rip(const std::vector<Cue>& cues) {
  std::string out;
  int number = 0;
  for (const Cue& cue : cues) {
    out += fmt::format("{}{}\n{} --> {}\n", number == 0 ? "" : "\n", number + 1,
                       clock_text(cue.start, ','), clock_text(cue.end, ','));
    for (const std::string& line : cue.lines) {
      out += with_each(line, {{'<', "‹"}, {'>', "›"}}) + "\n";
    }
    ++number;
  }
  return out;
}

}  // namespace stillhand::write
