#include "chart/bar_text.h"

#include <algorithm>

namespace stillhand::chart {
namespace {

using music::Meter;
using music::Tick;

bool share_evenly(const std::vector<Onset>& onsets, Meter meter) {
  const auto shares = static_cast<int>(onsets.size());
  if (shares == 0 || meter.counts().value() % shares != 0) return false;
  const Tick share = meter.bar_length() / shares;
  int i = 0;
  return std::all_of(onsets.begin(), onsets.end(),
                     [&](const Onset& onset) { return onset.at == share * i++; });
}

}  // namespace

std::optional<std::string> count_text(const std::vector<Onset>& onsets, Tick begin, Tick length) {
  for (const int parts : {1, 2, 3, 4, 5, 6, 8}) {
    if (length.value() % parts != 0) continue;
    const Tick share = length / parts;
    const bool fits = std::all_of(onsets.begin(), onsets.end(), [&](const Onset& onset) {
      const Tick at = onset.at - begin;
      return at < Tick(0) || at >= length || at.value() % share.value() == 0;
    });
    if (!fits) continue;
    std::string out;
    for (int i = 0; i < parts; ++i) {
      const auto found = std::find_if(onsets.begin(), onsets.end(), [&](const Onset& onset) {
        return onset.at == begin + share * i;
      });
      out += (i == 0 ? "" : " ") + (found == onsets.end() ? std::string("-") : found->symbol);
    }
    return parts == 1 ? out : "(" + out + ")";
  }
  return std::nullopt;
}

std::optional<std::string> bar_text(const std::vector<Onset>& onsets, Meter meter, Tick length) {
  std::string out;
  if (length == meter.bar_length() && share_evenly(onsets, meter)) {
    for (const Onset& onset : onsets) out += (out.empty() ? "" : " ") + onset.symbol;
    return out;
  }
  const Tick count = meter.count_length();
  if (length.value() % count.value() != 0) return std::nullopt;
  for (Tick begin; begin < length; begin += count) {
    const auto text = count_text(onsets, begin, count);
    if (!text) return std::nullopt;
    out += (out.empty() ? "" : " ") + *text;
  }
  return out;
}

}  // namespace stillhand::chart
