// The lesson as a score that notation programs open: MusicXML 4.0.
//
//   write_file("song.musicxml", musicxml(lesson));
//
// One piano part of two staves: the right hand's shapes and the left hand's bass notes, each chord
// struck once and held, with their fingers; above them the chord symbols, below them the words. The
// score is written as the chart is, not as it is played: every section once, under its name, with its
// repeats and endings; how they follow each other stands in words at the beginning. Meters, keys,
// pick-ups and the tempo are those of the chart; `or` lines are left out. The words of a bar stand
// together under its first note, because a chart does not say on which count a syllable falls; a
// hyphen at their end goes on to the next bar. A chord held over a bar line is tied.
//
// Written without a document type, so that no reader has a reason to fetch one; no dates, so that the
// same lesson gives the same bytes.
//
// Source: MusicXML 4.0, W3C Music Notation Community Group, final report, 2021.
#pragma once

#include <string>

#include "teach/lesson.h"

namespace stillhand::write {

// The bytes of the file, UTF-8.
std::string musicxml(const teach::Lesson& lesson);

}  // namespace stillhand::write
