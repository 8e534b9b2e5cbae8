#include "chart/source.h"

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <utility>

#include "chart/chart.h"

namespace stillhand::chart {
namespace {

constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";
constexpr const char* kIsItText = "a chart is plain text in UTF-8; is this the right file?";

bool is_control(char32_t c) { return (c < 0x20 && c != '\t') || (c >= 0x7F && c <= 0x9F); }

constexpr char32_t kNoBreakSpace = 0xA0;

tl::unexpected<Diagnostics> no_text(const std::string& file, int line, int column,
                                    std::string message) {
  return failure(Diagnostic{Severity::error,
                            Fault::chart,
                            file,
                            Place{line, column, 1},
                            std::move(message),
                            kIsItText,
                            {}});
}

}  // namespace

bool is_blank(char c) { return c == ' ' || c == '\t'; }

std::string collapsed(std::string_view text) {
  std::string out;
  for (const char c : text) {
    if (!is_blank(c)) {
      out += c;
    } else if (!out.empty() && out.back() != ' ') {
      out += ' ';
    }
  }
  if (!out.empty() && out.back() == ' ') out.pop_back();
  return out;
}

Piece part(Piece piece, std::size_t begin, std::size_t length) {
  begin = std::min(begin, piece.text.size());
  return {piece.text.substr(begin, length), piece.line, piece.begin + begin};
}

Piece trimmed(Piece piece) {
  std::size_t begin = 0;
  std::size_t end = piece.text.size();
  while (begin < end && is_blank(piece.text[begin])) ++begin;
  while (end > begin && is_blank(piece.text[end - 1])) --end;
  return part(piece, begin, end - begin);
}

Piece take_word(Piece& piece) {
  piece = trimmed(piece);
  std::size_t end = 0;
  while (end < piece.text.size() && !is_blank(piece.text[end])) ++end;
  const Piece word = part(piece, 0, end);
  piece = trimmed(part(piece, end));
  return word;
}

std::vector<Piece> words_of(Piece piece) {
  std::vector<Piece> words;
  for (Piece word = take_word(piece); !word.empty(); word = take_word(piece)) words.push_back(word);
  return words;
}

std::vector<Piece> split(Piece piece, char at) {
  std::vector<Piece> parts;
  for (;;) {
    const std::size_t end = piece.text.find(at);
    parts.push_back(trimmed(part(piece, 0, end)));
    if (end == std::string_view::npos) return parts;
    piece = part(piece, end + 1);
  }
}

Result<Source> Source::read(std::string_view text, const std::string& file) {
  if (text.size() > kLargestChart) {
    return failure(Fault::chart, file,
                   fmt::format("the chart is larger than {} KB", kLargestChart / 1024),
                   "a chart is a few KB of plain text; is this the right file?");
  }
  Source source;
  source.file_ = file;
  if (text.starts_with(kByteOrderMark)) text.remove_prefix(kByteOrderMark.size());
  std::string line;
  const auto number = [&] { return static_cast<int>(source.lines_.size()) + 1; };
  int column = 1;
  const auto end_line = [&] {
    source.lines_.push_back(std::move(line));
    line.clear();
    column = 1;
  };
  while (!text.empty()) {
    if (text.front() == '\n' || text.front() == '\r') {
      text.remove_prefix(text.starts_with("\r\n") ? 2 : 1);
      end_line();
      continue;
    }
    const auto next = code_point(text);
    if (!next) return no_text(file, number(), column, "this is not valid UTF-8");
    const auto [value, length] = *next;
    if (is_control(value)) {
      return no_text(
          file, number(), column,
          fmt::format("a control character (U+{:04X}) stands here", static_cast<unsigned>(value)));
    }
    if (value == kNoBreakSpace) {
      line += ' ';
    } else {
      line += text.substr(0, length);
    }
    text.remove_prefix(length);
    ++column;
  }
  if (!line.empty()) end_line();
  return source;
}

Piece Source::line(int number) const {
  return {lines_[static_cast<std::size_t>(number - 1)], number, 0};
}

Place Source::place(Piece piece) const {
  if (piece.line == 0) return {};
  const std::string_view line = lines_[static_cast<std::size_t>(piece.line - 1)];
  return {piece.line, static_cast<int>(characters(line.substr(0, piece.begin))) + 1,
          std::max(1, static_cast<int>(characters(piece.text)))};
}

void Report::add(Severity severity, Piece piece, std::string message, std::string suggestion) {
  if (severity == Severity::error && ++errors_ > kMostDiagnostics) return;
  if (severity != Severity::error && all_.size() >= 2 * kMostDiagnostics) return;
  std::string line;
  if (piece.line > 0) line = source_->lines()[static_cast<std::size_t>(piece.line - 1)];
  if (characters(line) > kLongestLine) line.clear();
  all_.push_back({severity, Fault::chart, source_->file(), source_->place(piece),
                  std::move(message), std::move(suggestion), std::move(line)});
}

void Report::error(Piece piece, std::string message, std::string suggestion) {
  add(Severity::error, piece, std::move(message), std::move(suggestion));
}
void Report::warning(Piece piece, std::string message, std::string suggestion) {
  add(Severity::warning, piece, std::move(message), std::move(suggestion));
}
void Report::note(Piece piece, std::string message, std::string suggestion) {
  add(Severity::note, piece, std::move(message), std::move(suggestion));
}
void Report::error(std::string message, std::string suggestion) {
  add(Severity::error, {}, std::move(message), std::move(suggestion));
}
void Report::note(std::string message, std::string suggestion) {
  add(Severity::note, {}, std::move(message), std::move(suggestion));
}

Diagnostics Report::take_errors() {
  Diagnostics errors;
  for (Diagnostic& d : all_) {
    if (d.severity == Severity::error) errors.push_back(std::move(d));
  }
  std::stable_sort(errors.begin(), errors.end(), [](const Diagnostic& a, const Diagnostic& b) {
    return std::pair(a.place.line, a.place.column) < std::pair(b.place.line, b.place.column);
  });
  if (errors_ > kMostDiagnostics) {
    errors.push_back({Severity::error,
                      Fault::chart,
                      source_->file(),
                      {},
                      fmt::format("and {} more", errors_ - kMostDiagnostics),
                      "correct these first",
                      {}});
  }
  return errors;
}

Diagnostics Report::take_remarks() {
  Diagnostics remarks;
  for (Diagnostic& d : all_) {
    if (d.severity != Severity::error) remarks.push_back(std::move(d));
  }
  std::stable_sort(remarks.begin(), remarks.end(), [](const Diagnostic& a, const Diagnostic& b) {
    return std::pair(a.place.line, a.place.column) < std::pair(b.place.line, b.place.column);
  });
  return remarks;
}

}  // namespace stillhand::chart
