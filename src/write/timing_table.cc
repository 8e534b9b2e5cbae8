#include "write/timing_table.h"

#include <fmt/format.h>

#include <algorithm>
#include <vector>

#include "write/sheet_text.h"
#include "write/track_time.h"

namespace stillhand::write {
namespace {

using music::Tick;
using perform::At;
using perform::Performance;

std::string cell(const std::string& text) {
  if (text.find_first_of(",\"\r\n") == std::string::npos) return text;
  std::string out = "\"";
  for (const char c : text) out += c == '"' ? std::string("\"\"") : std::string(1, c);
  return out + "\"";
}

std::string seconds_text(Milliseconds time) {
  return fmt::format("{}.{:03}", time.count() / 1000, time.count() % 1000);
}

// The last that began by then; nullptr if none did.
template <class T>
const At<T>* in_force(const std::vector<At<T>>& all, Tick at) {
  const auto after = std::upper_bound(all.begin(), all.end(), at,
                                      [](Tick t, const At<T>& x) { return t < x.start; });
  return after == all.begin() ? nullptr : &*(after - 1);
}

class Table {
 public:
  Table(const Performance& performance, int tempo_percent)
      : p_(performance),
        time_(performance, tempo_percent),
        count_ins_(perform::count_ins(performance)) {
    for (const perform::Click& click : p_.clicks) {
      if (click.is_first_of_bar) bar_lines_.push_back(click.start);
    }
  }

  std::string text() const {
    std::string out = "start,end,section,bar,count,chord,next chord,words\r\n";
    const std::vector<Tick> starts = row_starts();
    for (std::size_t i = 0; i < starts.size(); ++i) {
      out += row(starts[i], i + 1 < starts.size() ? starts[i + 1] : p_.end);
    }
    return out;
  }

 private:
  std::vector<Tick> row_starts() const {
    std::vector<Tick> out = bar_lines_;
    out.push_back(Tick(0));
    for (const perform::Span& count_in : count_ins_) {
      out.push_back(count_in.start);
      out.push_back(count_in.end);
    }
    for (const auto& section : p_.sections) out.push_back(section.start);
    for (const auto& chord : p_.chords) out.push_back(chord.start);
    for (const auto& words : p_.words) out.push_back(words.start);
    std::sort(out.begin(), out.end());
    out.erase(std::unique(out.begin(), out.end()), out.end());
    out.erase(std::lower_bound(out.begin(), out.end(), p_.end), out.end());
    return out;
  }

  std::string row(Tick start, Tick end) const {
    const perform::Span* count_in = counted_in(start);
    const auto* section = count_in != nullptr ? nullptr : in_force(p_.sections, start);
    const auto* chord = count_in != nullptr ? nullptr : in_force(p_.chords, start);
    const auto next = std::lower_bound(p_.chords.begin(), p_.chords.end(), end,
                                       [](const auto& c, Tick t) { return c.start < t; });
    const auto* words = in_force(p_.words, start);
    const bool words_begin = words != nullptr && words->start == start;
    return fmt::format(
        "{},{},{},{},{},{},{},{}\r\n", seconds_text(time_.at(start)), seconds_text(time_.at(end)),
        cell(section == nullptr ? std::string(kCountIn) : one_line(section->value)),
        bar_number(start), count_text(start), cell(chord == nullptr ? "" : chord->value),
        cell(next == p_.chords.end() ? "" : next->value),
        cell(words_begin ? one_line(words->value) : ""));
  }

  // The count-in that goes on at this moment; nullptr if none does.
  const perform::Span* counted_in(Tick at) const {
    const auto found = std::find_if(
        count_ins_.begin(), count_ins_.end(),
        [at](const perform::Span& count_in) { return at >= count_in.start && at < count_in.end; });
    return found == count_ins_.end() ? nullptr : &*found;
  }

  // How many bars have begun since the section did, or since the count-in did.
  std::ptrdiff_t bar_number(Tick at) const {
    const perform::Span* count_in = counted_in(at);
    const auto* section = in_force(p_.sections, at);
    const Tick begin = count_in != nullptr  ? count_in->start
                       : section == nullptr ? Tick(0)
                                            : section->start;
    return std::upper_bound(bar_lines_.begin(), bar_lines_.end(), at) -
           std::lower_bound(bar_lines_.begin(), bar_lines_.end(), begin);
  }

  std::string count_text(Tick at) const {
    const music::Meter meter = in_force(p_.meters, at)->value;
    const double count =
        1 + static_cast<double>(into_bar(at, meter).value()) / meter.count_length().value();
    std::string out = fmt::format("{:.3f}", count);
    out.erase(out.find_last_not_of('0') + 1);
    if (out.back() == '.') out.pop_back();
    return out;
  }

  // A bar cut short by the pick-up that follows goes on being counted in it; where its meter is
  // another, the pick-up is counted towards the bar line it leads to.
  Tick into_bar(Tick at, music::Meter meter) const {
    const auto after = std::upper_bound(bar_lines_.begin(), bar_lines_.end(), at);
    const Tick begun = after == bar_lines_.begin() ? Tick(0) : *(after - 1);
    if (in_force(p_.meters, begun)->value == meter) return at - begun;
    const Tick next = after == bar_lines_.end() ? p_.end : *after;
    return meter.bar_length() - (next - at);
  }

  const Performance& p_;
  TrackTime time_;
  std::vector<perform::Span> count_ins_;
  std::vector<Tick> bar_lines_;
};

}  // namespace

std::string timing_table(const Performance& performance, int tempo_percent) {
  return Table(performance, tempo_percent).text();
}

}  // namespace stillhand::write
