// The left hand is the mirror image of the right: about D (or A flat) the keyboard is its own mirror.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>

#include "hand/shape.h"

namespace stillhand::hand {
namespace {

PianoKey mirrored(PianoKey key) { return PianoKey(124 - key.number()); }  // D4, 62, stays

std::vector<PianoKey> mirrored(std::vector<PianoKey> keys) {
  for (PianoKey& key : keys) key = mirrored(key);
  std::reverse(keys.begin(), keys.end());
  return keys;
}

std::vector<HandSize> all_hands() {
  return {HandSize::small(), HandSize::medium(), HandSize::large()};
}

// Every set of `count` keys above `bottom` that fits into an octave.
std::vector<std::vector<PianoKey>> key_sets(PianoKey bottom, int count) {
  std::vector<std::vector<PianoKey>> sets{{bottom}};
  for (int i = 1; i < count; ++i) {
    std::vector<std::vector<PianoKey>> longer;
    for (const auto& set : sets) {
      for (PianoKey key = set.back() + Semitones(1); key <= bottom + Semitones(12);
           key = key + Semitones(1)) {
        longer.push_back(set);
        longer.back().push_back(key);
      }
    }
    sets = std::move(longer);
  }
  return sets;
}

TEST(LeftHandFingers, MirrorTheRightHand) {
  for (const HandSize& size : all_hands()) {
    for (int root = 48; root < 60; ++root) {
      for (int count : {2, 3}) {
        for (const auto& keys : key_sets(PianoKey(root), count)) {
          auto right = fingerings(mirrored(keys), Hand::right, size);
          for (auto& fingers : right) std::reverse(fingers.begin(), fingers.end());
          EXPECT_THAT(fingerings(keys, Hand::left, size),
                      testing::UnorderedElementsAreArray(right));
        }
      }
    }
  }
}

TEST(LeftHandFingers, FallFromLittleFingerToThumb) {
  for (const auto& keys : key_sets(PianoKey(48), 3)) {
    for (const auto& fingers : fingerings(keys, Hand::left, HandSize::medium())) {
      EXPECT_TRUE(std::is_sorted(fingers.rbegin(), fingers.rend()));
    }
  }
}

// 5-3-1, 5-3-1, 5-2-1 on closed triads (class-piano practice; M. Clark, Baylor Piano Basics, ch. 22).
TEST(LeftHandFingers, CustomaryTriadFingersFitEveryHand) {
  for (const HandSize& size : all_hands()) {
    for (std::string_view suffix : {"", "m", "dim", "aug"}) {
      for (int root = 36; root < 48; ++root) {
        const auto degrees = music::parse_quality(suffix)->degrees;
        std::vector<PianoKey> keys;
        for (const Degree& degree : degrees)
          keys.push_back(PianoKey(root) + degree.interval().size);
        for (Inversion inversion :
             {Inversion::root_position, Inversion::first, Inversion::second}) {
          std::vector<Finger> mirror = customary_fingers(Hand::left, inversion);
          std::reverse(mirror.begin(), mirror.end());
          EXPECT_TRUE(can_play(mirrored(keys), mirror, size)) << suffix << " on key " << root;
          std::rotate(keys.begin(), keys.begin() + 1, keys.end());
          keys.back() = keys.back() + Semitones(12);
        }
      }
    }
  }
}

}  // namespace
}  // namespace stillhand::hand
