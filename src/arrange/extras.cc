#include "arrange/extras.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <set>

#include "arrange/extras_search.h"

namespace stillhand::arrange {
namespace {

using chart::Bar;

bool has_option(const chart::Line& line, const std::vector<Bar>& bars) {
  return std::any_of(line.options.begin(), line.options.end(), [&](const chart::Option& option) {
    return std::equal(option.bars.begin(), option.bars.end(), bars.begin(), bars.end(),
                      [](const Bar& a, const Bar& b) { return a.chords == b.chords; });
  });
}

// Every line of it stands in the chart already.
bool is_there(const Song& song, const Extra& extra) {
  return !extra.lines.empty() &&
         std::all_of(extra.lines.begin(), extra.lines.end(), [&](const ExtraLine& line) {
           return has_option(song.sections[line.section].lines[line.line], line.option.bars);
         });
}

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
  price.movement = with.right.cost - plain.right.cost;
  price.shapes = static_cast<int>(after.shapes) - static_cast<int>(before.shapes);
  price.shifts = after.shifts - before.shifts;
  price.reaches = after.reaches - before.reaches;
  return price;
}

bool ranks_before(const Extra& a, const Extra& b) {
  return a.rank != b.rank ? a.rank > b.rank : a.id < b.id;
}

}  // namespace

std::vector<Extra> found_extras(const Song& song, const ExtrasRequest& request,
                                const TurnCounts& counts) {
  const std::vector<Span> spans = spans_of(song);
  std::vector<Extra> all = turn_extras(song, spans, counts);
  std::erase_if(all, [&](const Extra& extra) {
    const bool asked =
        request.kinds.empty() ||
        std::find(request.kinds.begin(), request.kinds.end(), extra.kind) != request.kinds.end();
    return !asked || is_there(song, extra);
  });
  std::sort(all.begin(), all.end(), ranks_before);
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
  std::vector<Extra> taken;
  for (Extra& extra : found_extras(song, request, counts)) {
    if (taken.size() == request.limit) break;
    const Result<Arrangement> with = arrange(with_extra(song, extra), request.choices);
    if (!with) continue;
    extra.price = price_of(*plain, *with);
    taken.push_back(std::move(extra));
  }
  return taken;
}

}  // namespace stillhand::arrange
