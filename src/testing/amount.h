// How much of a long test runs. A plain build runs all of it; under the sanitizers, which make everything several times
// slower and look at how each step is done rather than at what comes out, a tenth:
//
//   for (int i = 0; i < part_of(2000); ++i) …            // 2000 rounds, or 200
//   for (const Song& song : read_corpus_sample()) …      // 917 songs, or each tenth; prints which (testing/corpus.h)
//   if (kSampleOnly) GTEST_SKIP() << kNeedsAll;          // a figure published for all the songs
//
// One in ten: our judgement.
#pragma once

#include <cstddef>

namespace stillhand::testing {

#if defined(__SANITIZE_ADDRESS__)
inline constexpr bool kSampleOnly = true;
#elif defined(__has_feature)
#if __has_feature(address_sanitizer)
inline constexpr bool kSampleOnly = true;
#else
inline constexpr bool kSampleOnly = false;
#endif
#else
inline constexpr bool kSampleOnly = false;
#endif

inline constexpr int kOneIn = kSampleOnly ? 10 : 1;

inline constexpr const char* kNeedsAll =
    "a figure for all the songs: under the sanitizers only a sample runs";

// At least 1 round of a test that has any.
constexpr int part_of(int rounds) { return (rounds + kOneIn - 1) / kOneIn; }

// How many cases of a kind a random test must have met to be worth something; a sample may meet none.
constexpr int at_least(int cases) { return kSampleOnly ? 0 : cases; }

}  // namespace stillhand::testing
