#include "chart/pins.h"

#include <fmt/format.h>

#include <algorithm>
#include <vector>

#include "base/nearest.h"
#include "chart/reading.h"

namespace stillhand::chart {
namespace {

constexpr std::size_t kShapeWidth = 11;  // as the formatter lays it out

struct RawLine {
  std::string text;
  std::string ending;  // "\n", "\r\n", "\r"; "" of a last line that has none
};

std::vector<RawLine> raw_lines(std::string_view text) {
  std::vector<RawLine> out;
  while (!text.empty()) {
    const std::size_t end = std::min(text.find_first_of("\r\n"), text.size());
    const std::string_view rest = text.substr(end);
    const std::size_t length = rest.starts_with("\r\n") ? 2 : rest.empty() ? 0 : 1;
    out.push_back({std::string(text.substr(0, end)), std::string(rest.substr(0, length))});
    text.remove_prefix(end + length);
  }
  return out;
}

std::string joined(const std::vector<RawLine>& lines) {
  std::string out;
  for (const RawLine& line : lines) out += line.text + line.ending;
  return out;
}

class PinEditor {
 public:
  PinEditor(const Reading& reading, std::string_view text)
      : reading_(reading), lines_(raw_lines(text)) {}

  Result<void> find_section(const std::optional<std::string>& name) {
    if (!name) return {};
    const std::vector<Section>& sections = reading_.song.sections;
    const std::string wanted = lower_case(collapsed(*name));
    for (std::size_t i = 0; i < sections.size(); ++i) {
      if (lower_case(sections[i].name) == wanted) section_ = i;
    }
    if (section_) return {};
    return failure(Fault::usage, reading_.song.file,
                   fmt::format("there is no section {}", quoted(*name)),
                   "name a section of the chart, or leave it out");
  }

  // Index into lines_.
  std::optional<std::size_t> line_of(const Chord& chord) const {
    for (const Pin& pin : reading_.song.pins) {
      if (pin.chord == chord && pin.section == section_)
        return static_cast<std::size_t>(pin.place.line - 1);
    }
    return std::nullopt;
  }

  std::string put(const Pin& pin) {
    const std::string written = pin_text(pin);
    if (const auto there = line_of(pin.chord)) {
      const std::string comment = comment_of(*there);
      lines_[*there].text = comment.empty() ? written : written + "  " + comment;
    } else {
      insert(written);
    }
    return joined(lines_);
  }

  std::string take_out(std::size_t at) {
    const std::string comment = comment_of(at);
    if (!comment.empty()) {
      lines_[at].text = comment;
      return joined(lines_);
    }
    lines_.erase(lines_.begin() + static_cast<std::ptrdiff_t>(at));
    // The blank line before the only pin goes with it.
    const bool is_last = std::all_of(lines_.begin() + static_cast<std::ptrdiff_t>(at), lines_.end(),
                                     [](const RawLine& l) { return is_blank(l); });
    while (is_last && !lines_.empty() && is_blank(lines_.back())) lines_.pop_back();
    return joined(lines_);
  }

 private:
  static bool is_blank(const RawLine& line) {
    return line.text.find_first_not_of(" \t") == std::string::npos;
  }

  std::string comment_of(std::size_t line) const {
    return std::string(reading_.text.lines[line].comment.text);
  }

  std::string pin_text(const Pin& pin) const {
    const Notation notation = reading_.text.notation;
    const std::string symbol = notation == Notation::letters
                                   ? music::text(pin.chord)
                                   : text(in_numbers(pin.chord, reading_.song.tonality), notation);
    std::string out = "shape " + symbol + " ";
    if (out.size() < kShapeWidth) out.append(kShapeWidth - out.size(), ' ');
    for (std::size_t i = 0; i < pin.pitches.size(); ++i)
      out += (i == 0 ? "" : " ") + music::text(pin.pitches[i]);
    for (std::size_t i = 0; i < pin.fingers.size(); ++i)
      out += (i == 0 ? "  " : " ") + std::to_string(pin.fingers[i]);
    if (section_) out += "  in " + reading_.song.sections[*section_].name;
    return out;
  }

  void insert(const std::string& written) {
    const auto ends = std::find_if(lines_.begin(), lines_.end(),
                                   [](const RawLine& line) { return !line.ending.empty(); });
    const std::string ending = ends == lines_.end() ? "\n" : ends->ending;
    std::size_t at = lines_.size();
    while (at > 0 && is_blank(lines_[at - 1])) --at;
    bool is_first = true;
    for (std::size_t i = 0; i < reading_.text.lines.size(); ++i) {
      if (reading_.text.lines[i].kind != LineKind::shape) continue;
      at = i + 1;
      is_first = false;
    }
    if (at > 0 && lines_[at - 1].ending.empty()) lines_[at - 1].ending = ending;
    const auto here = lines_.begin() + static_cast<std::ptrdiff_t>(at);
    if (is_first) {
      lines_.erase(here, lines_.end());
      lines_.push_back({"", ending});
      lines_.push_back({written, ending});
    } else {
      lines_.insert(here, {written, ending});
    }
  }

  const Reading& reading_;
  std::vector<RawLine> lines_;
  std::optional<std::size_t> section_;
};

}  // namespace

Result<std::string> with_pin(std::string_view text, const std::string& file, const Pin& pin,
                             const std::optional<std::string>& section) {
  const Result<Reading> reading = read_chart(text, file);
  if (!reading) return tl::unexpected(reading.error());
  PinEditor editor(*reading, text);
  if (auto found = editor.find_section(section); !found) return tl::unexpected(found.error());
  std::string out = editor.put(pin);
  if (const auto again = read_chart(out, file); !again) return tl::unexpected(again.error());
  return out;
}

Result<std::string> without_pin(std::string_view text, const std::string& file, const Chord& chord,
                                const std::optional<std::string>& section) {
  const Result<Reading> reading = read_chart(text, file);
  if (!reading) return tl::unexpected(reading.error());
  PinEditor editor(*reading, text);
  if (auto found = editor.find_section(section); !found) return tl::unexpected(found.error());
  const auto there = editor.line_of(chord);
  if (!there) {
    return failure(Fault::usage, file,
                   section ? fmt::format("{} is not pinned in {}", quoted(music::text(chord)),
                                         quoted(*section))
                           : fmt::format("{} is not pinned", quoted(music::text(chord))),
                   "the chart may have changed since");
  }
  return editor.take_out(*there);
}

}  // namespace stillhand::chart
