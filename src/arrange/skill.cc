#include "arrange/skill.h"

#include <algorithm>
#include <array>
#include <utility>

namespace stillhand::arrange {
namespace {

constexpr std::array<std::pair<Skill, std::string_view>, 26> kNames{{
    {Skill::roots, "roots"},
    {Skill::triads, "triads"},
    {Skill::inversions, "inversions"},
    {Skill::bass_position, "bass position"},
    {Skill::pulse, "pulse"},
    {Skill::pedal, "pedal"},
    {Skill::bass_reach, "bass reach"},
    {Skill::bass_shift, "bass shift"},
    {Skill::second_shape, "second shape"},
    {Skill::slash_chord, "slash chord"},
    {Skill::suspension, "suspension"},
    {Skill::seventh_chord, "seventh chord"},
    {Skill::added_note, "added note"},
    {Skill::compound_meter, "compound meter"},
    {Skill::broken_chord, "broken chord"},
    {Skill::eighth_pulse, "eighth pulse"},
    {Skill::alternating_hands, "alternating hands"},
    {Skill::root_and_fifth, "root and fifth"},
    {Skill::push, "push"},
    {Skill::octave, "octave"},
    {Skill::root_fifth_octave, "root, fifth, octave"},
    {Skill::key_change, "key change"},
    {Skill::walking_bass, "walking bass"},
    {Skill::larger_chord, "larger chord"},
    {Skill::many_accidentals, "many accidentals"},
    {Skill::singing, "singing"},
}};

}  // namespace

std::string_view name(Skill skill) { return kNames[static_cast<std::size_t>(skill)].second; }

std::optional<Skill> skill_named(std::string_view name) {
  const auto found = std::find_if(kNames.begin(), kNames.end(),
                                  [&](const auto& entry) { return entry.second == name; });
  if (found == kNames.end()) return std::nullopt;
  return found->first;
}

const std::vector<Skill>& all_skills() {
  static const std::vector<Skill> all = [] {
    std::vector<Skill> list;
    for (const auto& [skill, unused] : kNames) list.push_back(skill);
    return list;
  }();
  return all;
}

std::string listed(const Skills& skills) {
  std::string out;
  for (const Skill skill : skills) {
    if (!out.empty()) out += ", ";
    out += name(skill);
  }
  return out;
}

}  // namespace stillhand::arrange
