#include "write/note_values.h"

#include <algorithm>
#include <array>
#include <cassert>

namespace stillhand::write {
namespace {

using music::Tick;

constexpr std::array<NoteValue, 14> kValues{{{Tick(5760), "whole", true},
                                             {Tick(3840), "whole"},
                                             {Tick(2880), "half", true},
                                             {Tick(1920), "half"},
                                             {Tick(1440), "quarter", true},
                                             {Tick(960), "quarter"},
                                             {Tick(720), "eighth", true},
                                             {Tick(480), "eighth"},
                                             {Tick(360), "16th", true},
                                             {Tick(240), "16th"},
                                             {Tick(180), "32nd", true},
                                             {Tick(120), "32nd"},
                                             {Tick(90), "64th", true},
                                             {Tick(60), "64th"}}};

struct Tuplet {
  int actual;
  int normal;
};
constexpr std::array<Tuplet, 2> kTuplets{{{3, 2}, {5, 4}}};

// The longest value that fits; of whole compound counts a dotted one.
const NoteValue* longest_within(Tick length, music::Meter meter) {
  const bool dotted_only = meter.is_compound() && length >= meter.count_length();
  const auto found = std::find_if(kValues.begin(), kValues.end(), [&](const NoteValue& v) {
    return v.length <= length && (v.is_dotted || !dotted_only);
  });
  return found == kValues.end() ? nullptr : &*found;
}

// From the longest down; empty if something would be left over.
std::vector<NoteValue> plain_values(Tick length, music::Meter meter) {
  std::vector<NoteValue> out;
  while (length > Tick(0)) {
    const NoteValue* value = longest_within(length, meter);
    if (value == nullptr) return {};
    out.push_back(*value);
    length -= value->length;
  }
  return out;
}

std::vector<NoteValue> tuplet_values(Tick length, Tuplet tuplet, music::Meter meter) {
  if (length.value() * tuplet.actual % tuplet.normal != 0) return {};
  std::vector<NoteValue> out = plain_values(length * tuplet.actual / tuplet.normal, meter);
  for (NoteValue& value : out) {
    if (value.length.value() * tuplet.normal % tuplet.actual != 0) return {};
    value.length = value.length * tuplet.normal / tuplet.actual;
    value.actual = tuplet.actual;
    value.normal = tuplet.normal;
  }
  return out;
}

}  // namespace

std::vector<NoteValue> note_values(Tick length, music::Meter meter) {
  assert(length > Tick(0));
  std::vector<NoteValue> out = plain_values(length, meter);
  for (std::size_t i = 0; out.empty() && i < kTuplets.size(); ++i) {
    out = tuplet_values(length, kTuplets[i], meter);
  }
  if (out.empty()) out.push_back({length, ""});
  return out;
}

}  // namespace stillhand::write
