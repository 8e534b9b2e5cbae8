#include "cli/chart_file.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <string_view>

#include "base/files.h"
#include "chart/chart.h"

namespace stillhand::cli {
namespace {

enum class Meant { import, chart_of_the_page };

struct Beginning {
  std::string_view bytes;
  std::string_view what;
  Meant meant;
};

// The longest first where one begins as another does.
constexpr std::array<Beginning, 9> kOtherFiles{
    {{"MThd", "a MIDI file", Meant::import},
     {"PK\x03\x04", "a compressed file, perhaps MusicXML", Meant::import},
     {"%PDF-", "a PDF", Meant::chart_of_the_page},
     {"<svg", "a picture", Meant::chart_of_the_page},
     {"<!doctype html", "a web page", Meant::chart_of_the_page},
     {"<html", "a web page", Meant::chart_of_the_page},
     {"<score-partwise", "MusicXML", Meant::import},
     {"<score-timewise", "MusicXML", Meant::import},
     {"<?xml", "XML, perhaps MusicXML", Meant::import}}};

char lowered(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; }

bool begins(std::string_view text, const Beginning& with) {
  if (!with.bytes.starts_with('<')) return text.starts_with(with.bytes);
  if (text.size() < with.bytes.size()) return false;
  for (std::size_t i = 0; i < with.bytes.size(); ++i) {
    if (lowered(text[i]) != with.bytes[i]) return false;
  }
  return true;
}

}  // namespace

Result<std::string> read_chart(const std::string& path) {
  Result<std::string> text = read_file(path, chart::kLargestChart);
  if (!text) return text;
  std::string_view found = *text;
  if (found.starts_with("\xEF\xBB\xBF")) found.remove_prefix(3);
  found.remove_prefix(std::min(found.find_first_not_of(" \t\r\n"), found.size()));
  // Behind an XML declaration stands what it is.
  constexpr std::size_t kHead = 2000;  // bytes, our judgement
  if (found.starts_with("<?xml")) {
    const std::size_t drawn = found.substr(0, kHead).find("<svg");
    if (drawn != std::string_view::npos) found.remove_prefix(drawn);
  }
  for (const Beginning& other : kOtherFiles) {
    if (!begins(found, other)) continue;
    return failure(Fault::chart, path, fmt::format("this is no chart, it is {}", other.what),
                   other.meant == Meant::import
                       ? fmt::format("`stillhand import {}` makes a chart of it", path)
                       : "give the chart it was made from; its name ends in .stillhand");
  }
  return text;
}

}  // namespace stillhand::cli
