// The written chart line by line: what kind of line each is and what stands in it. Between the bare
// text (source.h) and the Song (build.h); the formatter and the transposer work on it too.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "chart/song.h"
#include "chart/source.h"
#include "chart/symbol.h"

namespace stillhand::chart {

enum class LineKind {
  blank,  // or a comment alone
  title,
  writers,
  rights,
  key,
  meter,
  tempo,
  range,
  section,
  bars,
  pick_up,
  words,
  option,  // an `or` line
  road_map,
  shape,
  pedal,
  pattern,
  left,     // a hand of the pattern defined above
  right,    // likewise
  unknown,  // reported
};

struct TextLine {
  LineKind kind = LineKind::blank;
  Piece keyword;  // "title", "road map", "|", as typed
  Piece content;  // what follows; for bars and words the whole line
  Piece comment;  // from the semicolon on; empty if none
};

struct ChartText {
  std::vector<TextLine> lines;
  Notation notation = Notation::letters;
};

// "title", "road map": the canonical keyword, "" for bars, words and blank lines.
std::string_view keyword_of(LineKind kind);

ChartText read_lines(const Source& source, Report& report);

// ---- a line of bars

struct Token {
  enum class Kind { chord, hold, no_chord, group };
  Kind kind = Kind::chord;
  Piece piece;
  std::optional<Symbol> symbol;  // of a chord; empty if it could not be read (reported)
  std::vector<Token> inside;     // of a group
};

// What stands at a bar line: "|", "|:", ":|", ":| 3 times |", "|1.", ":|2.", ":|:".
struct BarSign {
  Piece piece;
  bool ends_repeat = false;
  int times = 2;  // passes in all; 2 is also what `:|` alone means
  bool times_written = false;
  bool is_vamp = false;
  bool begins_repeat = false;
  std::vector<int> endings;
};

struct BarText {
  Piece piece;
  std::vector<Token> tokens;
  bool is_broken = false;  // a parenthesis is wrong (reported): its counts mean nothing
};

struct BarRow {
  std::vector<BarText> bars;
  std::vector<BarSign> signs;  // one more than bars: signs[i] stands before bars[i]
};

inline constexpr int kMostTimes = 99;      // of a repeat or a road map entry (our judgement)
inline constexpr int kUsualVampTimes = 4;  // where `:| vamp` names no number (our judgement)

BarRow read_bars(Piece content, Notation notation, Report& report);

// The cells of a words line, one per bar; empty ones at the end are dropped.
std::vector<Piece> read_words(Piece content);

// ---- road map and pins

struct RoadMapText {
  Piece name;
  int times = 1;
};
// "Verse 1, Chorus twice, Tag 3 times".
std::vector<RoadMapText> read_road_map(Piece content, Report& report);

struct PinText {
  Piece name;
  std::optional<Symbol> symbol;
  std::vector<Piece> pitch_pieces;
  std::vector<Pitch> pitches;
  std::vector<Piece> finger_pieces;
  std::vector<int> fingers;
  std::optional<Piece> section;
};
PinText read_pin(Piece content, Notation notation, Report& report);

// "twice", "3 times" at the end of `piece`: removed from it; nullopt if there is none.
std::optional<int> take_times(Piece& piece);

std::optional<Range> parse_range(std::string_view text);

// A word for a message: in backticks, cut if it is very long.
std::string quoted(std::string_view word);

}  // namespace stillhand::chart
