// Extras: changes to a song that a teacher may offer, each with its plain fallback, found by search over the song.
//
//   Result<std::vector<Extra>> offers = extras(song, ExtrasRequest{});          // at most 12, ranked
//   (*offers)[0].id == "slash-ce-3f9a"; (*offers)[0].reason == "C over E leads the bass by half step into F."
//   Result<std::string> text = accept_extra(chart_text, "quay.stillhand", "slash-ce-3f9a", request);
//
// An offer is one new thing to learn: one chord in the place of another (or the change of one line), at every written
// place of the song where it fits. Material that is repeated is one place. How probable a change
// is was learned from real songs (data/extras.tsv); what is common practice without a source says so in docs/extras.md.
// An offer that the hands cannot play, or that a chart cannot write, is never made. A chart holds no melody, only its
// range, so offers are not checked against a melody; a key change is checked against the range.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "arrange/arrange.h"
#include "arrange/skill.h"

namespace stillhand::arrange {

enum class ExtraKind {
  slash_chord,    // another bass note under the chord
  stepwise_bass,  // a whole line whose bass goes by step
  passing_chord,  // a short chord on the way to the next
  suspension,     // sus4 or sus2 that resolves
  walking_bass,   // three bass notes by step into the next chord
  substitute,     // vi for I, ii for IV, iii for I over its third
  turnaround,     // IV–V or Vsus–V back to the beginning
  tag,            // the last phrase once more
  variation,      // a repeated section in another colour
  key_change,     // up a half or whole step before the last section
};
std::string_view name(ExtraKind kind);  // "slash chord", "key change"
std::optional<ExtraKind> extra_kind_named(std::string_view name);
const std::vector<ExtraKind>& all_extra_kinds();  // in the order above

// Where: bars of one written line, counted from 0.
struct ExtraPlace {
  std::size_t section = 0;
  std::size_t line = 0;
  std::size_t first_bar = 0;
  std::size_t last_bar = 0;
  friend auto operator<=>(const ExtraPlace&, const ExtraPlace&) = default;
};

// The `or` line that the extra writes below one line of the chart. `plain` is that line: its fallback.
struct ExtraLine {
  std::size_t section = 0;
  std::size_t line = 0;
  std::vector<chart::Bar> plain;
  chart::Option option;
};

// What an `or` line cannot say: a section played once more at a place of the road map, after an optional bar that leads
// there. The fallback is the road map as it was; it is kept in the chart as a comment.
struct ExtraSection {
  std::size_t copy_of = 0;                    // index into Song::sections
  std::optional<std::size_t> line;            // this line alone; nullopt = the whole section
  std::vector<ExtraLine> changed;             // lines that sound otherwise in it
  std::optional<music::Tonality> tonality;    // moved there; nullopt = as it stands
  std::optional<Chord> pivot;                 // a bar of this chord before it
  std::string name;                           // of the new section
  std::string pivot_name;                     // of the new section that holds the pivot, if any
  std::vector<chart::RoadMapEntry> fallback;  // the road map without the extra
  // In the place of the last playing of what it copies; otherwise it is added at the end.
  bool replaces_last = false;
};

// What it adds to the arrangement when it is played (a re-solve each, exact where the status says so).
struct ExtraPrice {
  Status status = Status::optimal;
  Cost plain;       // points of the right hand without it
  Cost movement;    // what it adds to them; may be negative
  int shapes = 0;   // more shapes to learn
  int shifts = 0;   // more shifts of the left hand
  int reaches = 0;  // more reaches of the left hand
};

struct Extra {
  std::string id;  // from kind and content; an edit elsewhere in the chart leaves it as it is
  ExtraKind kind = ExtraKind::slash_chord;
  std::vector<ExtraPlace> places;  // at least one, in order of writing
  std::vector<ExtraLine> lines;    // empty where `section` is used
  std::optional<ExtraSection> section;
  std::string change;  // "C/E for C before F"
  std::string reason;  // one sentence
  Skill skill = Skill::slash_chord;
  bool is_new_skill = true;  // the plain song does not ask for it
  ExtraPrice price;
  double rank = 0;  // how probable, 0 … 1; for kinds that real songs do not show, our judgement
};

inline constexpr std::size_t kUsualExtras = 12;

struct ExtrasRequest {
  Choices choices;
  std::size_t limit = kUsualExtras;
  std::vector<ExtraKind> kinds;  // empty = all
  std::optional<Skills> skills;  // only extras that ask one of these; nullopt = all
};

// Ranked, best first. Fails where the plain song cannot be arranged.
Result<std::vector<Extra>> extras(const Song& song, const ExtrasRequest& request);

// The bars as a chart writes them, with dashes, in letters: "| C - - G | F |".
std::string bars_text(const std::vector<chart::Bar>& bars);

// The song as played with the extra.
Song with_extra(const Song& song, const Extra& extra);

// The chart's text with the extra written into it, in canonical layout: `or` lines, or new sections and the road map.
// Everything else stays, comments too. Errors (Fault::chart for the chart's own, Fault::usage for the id): the id names
// no extra of this chart; the chart already has it.
Result<std::string> accept_extra(std::string_view text, const std::string& file,
                                 std::string_view id, const ExtrasRequest& request);

// Those of the extra's lines that have an equal `or` line already: accept_extra leaves them as they are.
std::vector<ExtraLine> lines_already_there(const Song& song, std::string_view id);

}  // namespace stillhand::arrange
