// The text of a chart as lines, and the list of what is wrong with it.
//
//   Result<Source> source = Source::read(text, "quay.stillhand");
//   Report report(*source);
//   report.error(piece, "unknown chord `Amm`", "did you mean `Am`?");
//
// Read accepts a byte order mark and CR, LF or CRLF. It refuses what is no plain text: NUL and
// other control characters, invalid UTF-8, more than kLargestChart bytes.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "base/utf8.h"

namespace stillhand::chart {

// Characters; a longer line is refused (our judgement: the longest line one can read is far
// shorter).
inline constexpr std::size_t kLongestLine = 1000;
// Diagnostics; the rest is counted only (our judgement).
inline constexpr std::size_t kMostDiagnostics = 100;

// A part of one line. The text points into the Source.
struct Piece {
  std::string_view text;
  int line = 0;           // from 1
  std::size_t begin = 0;  // bytes before it in its line
  bool empty() const { return text.empty(); }
};

// Parts of a piece.
Piece part(Piece piece, std::size_t begin, std::size_t length = std::string_view::npos);
Piece trimmed(Piece piece);
// The text up to the first blank; it and the blanks behind it are removed from `piece`.
Piece take_word(Piece& piece);
std::vector<Piece> words_of(Piece piece);
std::vector<Piece> split(Piece piece, char at);  // trimmed parts, at least one

bool is_blank(char c);
std::string collapsed(std::string_view text);  // runs of blanks become one; no blanks at the ends

class Source {
 public:
  static Result<Source> read(std::string_view text, const std::string& file);
  const std::vector<std::string>& lines() const { return lines_; }
  const std::string& file() const { return file_; }
  Piece line(int number) const;
  Place place(Piece piece) const;

 private:
  std::vector<std::string> lines_;
  std::string file_;
};

class Report {
 public:
  explicit Report(const Source& source) : source_(&source) {}
  void error(Piece piece, std::string message, std::string suggestion = {});
  void warning(Piece piece, std::string message, std::string suggestion = {});
  void note(Piece piece, std::string message, std::string suggestion = {});
  // About the chart as a whole.
  void error(std::string message, std::string suggestion = {});
  void note(std::string message, std::string suggestion = {});

  bool has_errors() const { return errors_ > 0; }
  // Enough has been said: no need to look for suggestions any more.
  bool is_full() const { return errors_ >= kMostDiagnostics; }
  // Errors or remarks in the order of the lines; after kMostDiagnostics errors one "and N more".
  Diagnostics take_errors();
  Diagnostics take_remarks();

 private:
  void add(Severity severity, Piece piece, std::string message, std::string suggestion);
  const Source* source_;
  Diagnostics all_;
  std::size_t errors_ = 0;
};

}  // namespace stillhand::chart
