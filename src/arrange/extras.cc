#include "arrange/extras.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <set>

#include "arrange/extras_search.h"
#include "chart/chart.h"

namespace stillhand::arrange {
namespace {

using chart::Bar;

// One offer in so many is of a kind that is rarely the most probable (our judgement).
constexpr std::size_t kRareShare = 3;

struct Counted {
  std::size_t shapes = 0;
  int shifts = 0;
  int reaches = 0;
};

Counted counted(const Arrangement& a) {
  Counted out;
  out.shapes = a.right.shapes.size();
  for (const auto& note : a.left.bass) {
    if (!note) continue;
    out.shifts += note->shifts ? 1 : 0;
    out.reaches += note->reach == Reach::none ? 0 : 1;
  }
  return out;
}

ExtraPrice price_of(const Arrangement& plain, const Arrangement& with) {
  const Counted before = counted(plain);
  const Counted after = counted(with);
  ExtraPrice price;
  const bool proven = plain.right.status == Status::optimal && with.right.status == Status::optimal;
  price.status = proven ? Status::optimal : Status::limit_reached;
  price.plain = plain.right.cost;
  price.movement = with.right.cost - plain.right.cost;
  price.shapes = static_cast<int>(after.shapes) - static_cast<int>(before.shapes);
  price.shifts = after.shifts - before.shifts;
  price.reaches = after.reaches - before.reaches;
  return price;
}

// The song's sections as the extra plays them: the copy, moved to its key, and the bar that leads there.
Song with_section(const Song& song, const ExtraSection& extra) {
  Song out = song;
  const Song moved = extra.tonality ? chart::transpose(song, *extra.tonality).value_or(song) : song;
  chart::Section copy = moved.sections[extra.copy_of];
  copy.name = extra.name;
  for (const ExtraLine& line : extra.changed) {
    std::vector<Bar>& bars = copy.lines[line.line].bars;
    for (std::size_t i = 0; i < bars.size(); ++i) bars[i].chords = line.option.bars[i].chords;
  }
  if (extra.line) copy.lines = {copy.lines[*extra.line]};
  auto at = out.road_map.end();
  if (extra.replaces_last) {
    while ((at - 1)->section != extra.copy_of) --at;
    if (--(at - 1)->times == 0) at = out.road_map.erase(at - 1);
  }
  if (extra.pivot) {
    Bar bar;
    bar.meter = song.meter;
    bar.tonality = extra.tonality.value_or(song.tonality);
    bar.length = bar.meter.bar_length();
    bar.chords.push_back({*extra.pivot, bar.length, {}});
    chart::Line line;
    line.bars.push_back(std::move(bar));
    chart::Section pivot;
    pivot.name = extra.pivot_name;
    pivot.lines.push_back(std::move(line));
    out.sections.push_back(std::move(pivot));
    at = out.road_map.insert(at, {out.sections.size() - 1, 1}) + 1;
  }
  out.sections.push_back(std::move(copy));
  out.road_map.insert(at, {out.sections.size() - 1, 1});
  return out;
}

// What the plain song asks for already.
bool is_known(const Song& song, Skill skill) {
  const auto any_chord = [&](auto test) {
    for (const chart::Section& section : song.sections) {
      for (const chart::Line& line : section.lines) {
        for (const Bar& bar : line.bars) {
          for (const chart::ChordEvent& event : bar.chords) {
            if (event.chord && test(*event.chord)) return true;
          }
        }
      }
    }
    return false;
  };
  switch (skill) {
    case Skill::slash_chord:
      return any_chord([](const Chord& chord) { return chord.bass.has_value(); });
    case Skill::suspension:
      return any_chord([](const Chord& chord) {
        return !chord.quality.has(3) && (chord.quality.has(4) || chord.quality.has(2));
      });
    case Skill::added_note:
      return any_chord([](const Chord& chord) { return chord.quality.suffix == "add9"; });
    case Skill::larger_chord:
      return any_chord([](const Chord& chord) { return triad_of(chord.quality) == "dim"; });
    case Skill::key_change:
      return std::any_of(song.sections.begin(), song.sections.end(), [&](const auto& section) {
        return section.lines.front().bars.front().tonality != song.tonality;
      });
    case Skill::roots:
    case Skill::triads:
      return true;
    default:
      return false;
  }
}

bool is_common(ExtraKind kind) {
  return kind == ExtraKind::slash_chord || kind == ExtraKind::passing_chord ||
         kind == ExtraKind::suspension;
}

bool is_taken(const std::vector<Extra>& taken, const Extra& extra) {
  return std::any_of(taken.begin(), taken.end(),
                     [&](const Extra& other) { return other.id == extra.id; });
}

bool ranks_before(const Extra& a, const Extra& b) {
  return a.rank != b.rank ? a.rank > b.rank : a.id < b.id;
}

}  // namespace

bool has_option(const chart::Line& line, const std::vector<Bar>& bars) {
  return std::any_of(line.options.begin(), line.options.end(), [&](const chart::Option& option) {
    return std::equal(option.bars.begin(), option.bars.end(), bars.begin(), bars.end(),
                      [](const Bar& a, const Bar& b) { return a.chords == b.chords; });
  });
}

bool is_there(const Song& song, const Extra& extra) {
  return !extra.lines.empty() &&
         std::all_of(extra.lines.begin(), extra.lines.end(), [&](const ExtraLine& line) {
           return has_option(song.sections[line.section].lines[line.line], line.option.bars);
         });
}

std::vector<Extra> every_extra(const Song& song, const TurnCounts& counts) {
  const std::vector<Span> spans = spans_of(song);
  std::vector<Extra> all = turn_extras(song, spans, counts);
  for (Extra& extra : practice_extras(song, spans)) all.push_back(std::move(extra));
  std::sort(all.begin(), all.end(), ranks_before);
  return all;
}

std::vector<Extra> found_extras(const Song& song, const ExtrasRequest& request,
                                const TurnCounts& counts) {
  std::vector<Extra> all = every_extra(song, counts);
  std::erase_if(all, [&](const Extra& extra) {
    const bool asked =
        request.kinds.empty() ||
        std::find(request.kinds.begin(), request.kinds.end(), extra.kind) != request.kinds.end();
    const bool within_reach = !request.skills || request.skills->contains(extra.skill);
    return !asked || !within_reach || is_there(song, extra);
  });
  return all;
}

std::string shown(const Chord& chord) {
  std::string out = music::display(chord.root) + chord.quality.suffix;
  if (chord.bass) out += "/" + music::display(*chord.bass);
  return out;
}

std::string extra_id(ExtraKind kind, const std::string& content) {
  // FNV-1a, 32 bits (Fowler, Noll & Vo): the same on every machine.
  std::uint32_t hash = 2166136261U;
  for (const char c : std::string(name(kind)) + "|" + content) {
    hash = (hash ^ static_cast<unsigned char>(c)) * 16777619U;
  }
  std::string word(name(kind));
  std::replace(word.begin(), word.end(), ' ', '-');
  return fmt::format("{}-{:06x}", word, hash & 0xffffffU);
}

void give_lines(Extra& extra, const Song& song, const std::vector<Change>& changes) {
  std::set<std::pair<std::size_t, std::size_t>> lines;
  std::set<ExtraPlace> places;
  for (const Change& change : changes) {
    music::Tick at{0};
    std::optional<ExtraPlace> place;
    for (const SpanPart& part : change.span->parts) {
      const bool touched = change.stretch.from < at + part.length && at < change.stretch.to;
      at += part.length;
      if (!touched) continue;
      lines.insert({part.section, part.line});
      if (place && (place->section != part.section || place->line != part.line)) {
        places.insert(*place);
        place.reset();
      }
      if (!place) place = ExtraPlace{part.section, part.line, part.bar, part.bar};
      place->last_bar = part.bar;
    }
    if (place) places.insert(*place);
  }
  extra.places.assign(places.begin(), places.end());
  for (const auto& [section, line] : lines) {
    ExtraLine out;
    out.section = section;
    out.line = line;
    out.plain = song.sections[section].lines[line].bars;
    out.option.label = extra.change;
    out.option.bars = changed_bars(song, section, line, changes);
    extra.lines.push_back(std::move(out));
  }
}

Song with_extra(const Song& song, const Extra& extra) {
  if (extra.section) return with_section(song, *extra.section);
  Song out = song;
  for (const ExtraLine& line : extra.lines) {
    std::vector<Bar>& bars = out.sections[line.section].lines[line.line].bars;
    for (std::size_t i = 0; i < bars.size(); ++i) bars[i].chords = line.option.bars[i].chords;
  }
  return out;
}

Result<std::vector<Extra>> extras(const Song& song, const ExtrasRequest& request) {
  return extras(song, request, TurnCounts::built_in());
}

Result<std::vector<Extra>> extras(const Song& song, const ExtrasRequest& request,
                                  const TurnCounts& counts) {
  const Result<Arrangement> plain = arrange(song, request.choices);
  if (!plain) return tl::unexpected(plain.error());
  const std::vector<Extra> all = found_extras(song, request, counts);
  std::vector<Extra> taken;
  const auto take_up_to = [&](std::size_t limit, auto fits) {
    for (const Extra& extra : all) {
      if (taken.size() == limit) return;
      if (!fits(extra) || is_taken(taken, extra)) continue;
      const Result<Arrangement> with = arrange(with_extra(song, extra), request.choices);
      if (!with) continue;
      taken.push_back(extra);
      taken.back().price = price_of(*plain, *with);
      taken.back().is_new_skill = !is_known(song, extra.skill);
    }
  };
  // The best of each rare kind has its place, so that the common ones do not crowd it out.
  std::set<ExtraKind> kinds_there;
  take_up_to(request.limit / kRareShare, [&](const Extra& extra) {
    return !is_common(extra.kind) && kinds_there.insert(extra.kind).second;
  });
  take_up_to(request.limit, [](const Extra&) { return true; });
  std::sort(taken.begin(), taken.end(), ranks_before);
  return taken;
}

}  // namespace stillhand::arrange
