#include "arrange/ladder.h"

#include <algorithm>

namespace stillhand::arrange {
namespace {

Rung most_for(Fullness fullness) {
  switch (fullness) {
    case Fullness::sparse:
      return Rung::one_root;
    case Fullness::light:
      return Rung::position;
    case Fullness::middling:
      return Rung::root_and_fifth;
    case Fullness::full:
      return Rung::octave;
    case Fullness::fullest:
      break;
  }
  return Rung::walking_bass;
}

bool has_many_strokes(Rung rung) {
  return rung == Rung::root_fifth_octave || rung == Rung::walking_bass;
}

Rung chosen(const PlayedSection& section, const Song& song, const Choices& choices) {
  const Rung most = std::min(most_for(section.fullness), choices.rung.value_or(Rung::walking_bass));
  for (const Rung rung : {Rung::walking_bass, Rung::root_fifth_octave, Rung::octave,
                          Rung::root_and_fifth, Rung::position}) {
    const bool fits_hand = !has_octave(rung) || choices.hand.may_play_octaves();
    const bool fits_tempo = !has_many_strokes(rung) || song.tempo <= kFastAbove;
    if (rung <= most && fits_hand && fits_tempo && knows(*choices.skills, rung)) return rung;
  }
  return Rung::one_root;
}

Rung by_section(const PlayedSection& section, const Choices& choices) {
  const auto named = choices.section_rungs.find(section.section);
  return named == choices.section_rungs.end() ? Rung::position : named->second;
}

}  // namespace

std::vector<Rung> rungs(const Song& song, const std::vector<PlayedSection>& sections,
                        const Choices& choices) {
  std::vector<Rung> out;
  for (const PlayedSection& section : sections) {
    out.push_back(choices.skills ? chosen(section, song, choices)
                  : choices.rung ? *choices.rung
                                 : by_section(section, choices));
  }
  return out;
}

bool knows(const Skills& skills, Rung rung) {
  switch (rung) {
    case Rung::one_root:
      return true;
    case Rung::position:
      return skills.contains(Skill::bass_position);
    case Rung::root_and_fifth:
      return skills.contains(Skill::root_and_fifth);
    case Rung::octave:
      return skills.contains(Skill::octave);
    case Rung::root_fifth_octave:
      return skills.contains(Skill::root_fifth_octave);
    case Rung::walking_bass:
      break;
  }
  return skills.contains(Skill::walking_bass);
}

bool has_octave(Rung rung) { return rung == Rung::octave || rung == Rung::root_fifth_octave; }

}  // namespace stillhand::arrange
