#include "arrange/build_up.h"

namespace stillhand::arrange {

std::vector<PlayedSection> build_up(const chart::Song&, const std::vector<chart::PlayedBar>& bars) {
  std::vector<PlayedSection> out;
  for (std::size_t i = 0; i < bars.size(); ++i) {
    if (bars[i].section_begins) out.push_back({i, bars[i].section, Fullness::light});
  }
  if (!out.empty()) out.front().fullness = Fullness::sparse;
  if (out.size() > 1) out.back().fullness = Fullness::fullest;
  return out;
}

}  // namespace stillhand::arrange
