// Real songs for the tests: the two JSON-lines collections in the folder that the environment
// variable STILLHAND_DATA names.
//
//   if (!data_folder()) GTEST_SKIP() << kNoData;
//   for (const Song& song : read_corpus(Corpus::billboard)) …
//
// Each song is one section of lines of at most four bars of one meter; the bars are rebuilt by adding beats, a beat being
// the meter's count. An unknown chord (X) becomes N.C. The title is the entry's id.
// Sources: McGill Billboard 2.0 (J. A. Burgoyne, J. Wild & I. Fujinaga, ISMIR 2011; CC0), 739 songs;
// OpenEWLD (F. Simonetta, 2018; MIT), 178 songs in the public domain.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "chart/song.h"

namespace stillhand::testing {

enum class Corpus { billboard, openewld };

inline constexpr const char* kNoData =
    "STILLHAND_DATA is not set: checks against outside data are skipped";

// The folder of STILLHAND_DATA, or of STILLHAND_SCHEMA; nullopt if unset or missing.
std::optional<std::filesystem::path> data_folder();
std::optional<std::filesystem::path> schema_folder();

struct CorpusSong {
  std::string id;
  std::optional<music::NoteName> tonic;  // as annotated; the mode is not annotated
  chart::Song song;                      // its tonality: the tonic, or proposed if there is none
};

// Throws std::runtime_error if a file is missing or malformed: in tests that is a failure.
std::vector<CorpusSong> read_corpus_songs(Corpus corpus);
std::vector<chart::Song> read_corpus(Corpus corpus);
std::vector<chart::Song> read_whole_corpus();  // 917 songs
// All of them, or under the sanitizers each tenth (testing/amount.h); prints how many.
std::vector<chart::Song> read_corpus_sample();

// The Billboard songs in their annotated sections ("B verse"): a section begins with the bar that its beat lies in. Sections
// of the same name and the same bars are one, played again; another of the same name has its number after it.
std::vector<chart::Song> read_corpus_in_sections();

}  // namespace stillhand::testing
