#include <algorithm>
#include <array>
#include <utility>

#include "arrange/extras.h"

namespace stillhand::arrange {
namespace {

constexpr std::array<std::pair<ExtraKind, std::string_view>, 10> kNames{{
    {ExtraKind::slash_chord, "slash chord"},
    {ExtraKind::stepwise_bass, "stepwise bass"},
    {ExtraKind::passing_chord, "passing chord"},
    {ExtraKind::suspension, "suspension"},
    {ExtraKind::walking_bass, "walking bass"},
    {ExtraKind::substitute, "substitute"},
    {ExtraKind::turnaround, "turnaround"},
    {ExtraKind::tag, "tag"},
    {ExtraKind::variation, "variation"},
    {ExtraKind::key_change, "key change"},
}};

}  // namespace

std::string_view name(ExtraKind kind) {
  for (const auto& [known, word] : kNames) {
    if (known == kind) return word;
  }
  return "";
}

std::optional<ExtraKind> extra_kind_named(std::string_view name) {
  std::string wanted(name);
  std::replace(wanted.begin(), wanted.end(), '-', ' ');
  for (const auto& [known, word] : kNames) {
    if (word == wanted) return known;
  }
  return std::nullopt;
}

const std::vector<ExtraKind>& all_extra_kinds() {
  static const std::vector<ExtraKind> all = [] {
    std::vector<ExtraKind> kinds;
    for (const auto& [kind, word] : kNames) kinds.push_back(kind);
    return kinds;
  }();
  return all;
}

}  // namespace stillhand::arrange
