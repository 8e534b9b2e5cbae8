#include "chart/key_profiles.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <cstdlib>

#include "chart/chart.h"
#include "chart/embedded.h"
#include "chart/source.h"

namespace stillhand::chart {
namespace {

// Judged on the tonics of two corpora; docs/chart.md has the figures.
constexpr std::string_view kChosenProfile = "krumhansl";

struct Profile {
  std::string_view name;
  music::Mode mode = music::Mode::major;
  PitchClassWeights weights{};
};

const std::vector<Profile>& profiles() {
  static const std::vector<Profile> all = [] {
    std::vector<Profile> read;
    for (const Piece line : split({data::key_profiles_tsv, 0, 0}, '\n')) {
      if (line.empty() || line.text.front() == '#') continue;
      const auto words = words_of(line);
      assert(words.size() == 14);
      Profile profile;
      profile.name = words[0].text;
      profile.mode = words[1].text == "minor" ? music::Mode::minor : music::Mode::major;
      for (std::size_t i = 0; i < 12; ++i)
        profile.weights[i] = std::strtod(std::string(words[i + 2].text).c_str(), nullptr);
      read.push_back(profile);
    }
    return read;
  }();
  return all;
}

// `profile` stands on `tonic`.
double correlation(const PitchClassWeights& weights, const PitchClassWeights& profile, int tonic) {
  double mean_x = 0;
  double mean_y = 0;
  for (std::size_t i = 0; i < 12; ++i) {
    mean_x += weights[i] / 12;
    mean_y += profile[i] / 12;
  }
  double xy = 0;
  double xx = 0;
  double yy = 0;
  for (int i = 0; i < 12; ++i) {
    const double x = weights[static_cast<std::size_t>((i + tonic) % 12)] - mean_x;
    const double y = profile[static_cast<std::size_t>(i)] - mean_y;
    xy += x * y;
    xx += x * x;
    yy += y * y;
  }
  return xx > 0 && yy > 0 ? xy / std::sqrt(xx * yy) : 0;
}

// The usual name of a tonic: the one with the shortest signature.
Tonality named(int pitch_class, music::Mode mode) {
  Tonality best;
  bool found = false;
  for (int fifths = -6; fifths <= 9; ++fifths) {
    const Tonality tonality{music::NoteName::at_fifths(fifths), mode};
    if (tonality.tonic.pitch_class().value() != pitch_class) continue;
    if (found && std::abs(tonality.fifths()) >= std::abs(best.fifths())) continue;
    best = tonality;
    found = true;
  }
  return best;
}

}  // namespace

PitchClassWeights weights_of(const std::vector<PlayedChord>& chords) {
  PitchClassWeights weights{};
  for (const PlayedChord& played : chords) {
    if (!played.chord) continue;
    const double duration = played.duration.value();
    for (const music::NoteName note : played.chord->notes())
      weights[static_cast<std::size_t>(note.pitch_class().value())] += duration;
    weights[static_cast<std::size_t>(played.chord->bass_note().pitch_class().value())] += duration;
  }
  return weights;
}

Tonality best_tonality(const PitchClassWeights& weights, std::string_view profile_name) {
  int best_tonic = 0;
  music::Mode best_mode = music::Mode::major;
  double best = -2;
  for (int tonic = 0; tonic < 12; ++tonic) {
    for (const Profile& profile : profiles()) {
      if (profile.name != profile_name) continue;
      const double fit = correlation(weights, profile.weights, tonic);
      if (fit <= best + 1e-12) continue;
      best = fit;
      best_tonic = tonic;
      best_mode = profile.mode;
    }
  }
  return named(best_tonic, best_mode);
}

Tonality best_tonality_on(music::NoteName tonic, const PitchClassWeights& weights) {
  Tonality best{tonic, music::Mode::major};
  double most = -2;
  for (const Profile& profile : profiles()) {
    if (profile.name != kChosenProfile) continue;
    const double fit = correlation(weights, profile.weights, tonic.pitch_class().value());
    if (fit <= most) continue;
    most = fit;
    best.mode = profile.mode;
  }
  constexpr int kMostSignature = 7;  // Db minor would have eight flats: it is written C# minor
  return std::abs(best.fifths()) > kMostSignature ? music::simplest(best) : best;
}

std::vector<std::string_view> known_profiles() {
  std::vector<std::string_view> names;
  for (const Profile& profile : profiles()) {
    if (names.empty() || names.back() != profile.name) names.push_back(profile.name);
  }
  return names;
}

Tonality propose_tonality(const std::vector<PlayedChord>& chords) {
  return best_tonality(weights_of(chords), kChosenProfile);
}

}  // namespace stillhand::chart
