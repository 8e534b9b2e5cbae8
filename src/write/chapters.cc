#include "write/chapters.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "teach/count_aloud.h"
#include "write/captions.h"
#include "write/sheet_text.h"

namespace stillhand::write {
namespace {

using music::Tick;

}  // namespace

std::vector<Chapter> chapters(const perform::Performance& performance, int tempo_percent) {
  const TrackTime time(performance, tempo_percent);
  std::vector<perform::At<std::string>> begins;
  for (const perform::Span& count_in : perform::count_ins(performance)) {
    begins.push_back({count_in.start, std::string(kCountIn)});
  }
  for (const auto& [start, name] : performance.sections) {
    begins.push_back({start, name.empty() ? "Section" : one_line(name)});
  }
  std::stable_sort(begins.begin(), begins.end(),
                   [](const auto& a, const auto& b) { return a.start < b.start; });
  std::map<std::string, int> times;
  for (auto& [start, title] : begins) {
    const int now = ++times[title];
    title = teach::at_its_time(title, now);
  }
  std::vector<Chapter> out;
  for (std::size_t i = 0; i < begins.size(); ++i) {
    const Tick end = i + 1 < begins.size() ? begins[i + 1].start : performance.end;
    out.push_back({time.at(begins[i].start), time.at(end), begins[i].value});
  }
  return out;
}

std::string chapters_web_vtt(const std::vector<Chapter>& chapters) {
  std::vector<Cue> cues;
  for (const Chapter& chapter : chapters) {
    cues.push_back({chapter.start, chapter.end, {chapter.title}});
  }
  return web_vtt(cues);
}

std::string chapters_text(const std::vector<Chapter>& chapters) {
  std::string out;
  for (const Chapter& chapter : chapters) {
    const auto seconds = chapter.start.count() / 1000;
    const std::string hours = seconds < 3600 ? "" : fmt::format("{}:", seconds / 3600);
    out += fmt::format("{}{:02}:{:02} {}\n", hours, seconds / 60 % 60, seconds % 60, chapter.title);
  }
  return out;
}

}  // namespace stillhand::write
