#include "teach/extra_words.h"

#include <fmt/format.h>

#include <algorithm>

namespace stillhand::teach {
namespace {

std::string bars_in_words(const arrange::ExtraPlace& place) {
  return place.first_bar == place.last_bar
             ? fmt::format("bar {}", place.first_bar + 1)
             : fmt::format("bars {}–{}", place.first_bar + 1, place.last_bar + 1);
}

std::string more(int number, std::string_view one, std::string_view many) {
  if (number == 0) return "";
  const int size = number < 0 ? -number : number;
  return fmt::format(", {} {} {}", size, size == 1 ? one : many, number < 0 ? "less" : "more");
}

// "harder for the right hand by 12 %" of what the plain song costs it.
std::string movement_in_words(const arrange::ExtraPrice& price) {
  const std::int64_t added = price.movement.value();
  if (added == 0) return "the same for the right hand";
  const std::string_view way = added < 0 ? "easier" : "harder";
  const std::int64_t plain = price.plain.value();
  if (plain <= 0) return fmt::format("{} for the right hand", way);
  const std::int64_t percent = ((added < 0 ? -added : added) * 200 / plain + 1) / 2;
  if (percent == 0) return fmt::format("hardly {} for the right hand", way);
  return fmt::format("{} for the right hand by {} %", way, percent);
}

}  // namespace

std::string place_in_words(const chart::Song& song, const arrange::ExtraPlace& place) {
  return fmt::format("{}, line {}, {}", song.sections[place.section].name, place.line + 1,
                     bars_in_words(place));
}

std::string places_in_words(const chart::Song& song, const arrange::Extra& extra) {
  constexpr std::size_t kMostNamed = 4;
  std::string out;
  for (std::size_t i = 0; i < std::min(extra.places.size(), kMostNamed); ++i) {
    out += (i == 0 ? "" : "; ") + place_in_words(song, extra.places[i]);
  }
  if (extra.places.size() > kMostNamed) {
    out += fmt::format("; and {} more", extra.places.size() - kMostNamed);
  }
  return out;
}

std::string price_in_words(const arrange::ExtraPrice& price) {
  std::string out = movement_in_words(price);
  out += more(price.shapes, "shape", "shapes") +
         more(price.shifts, "left-hand shift", "left-hand shifts") +
         more(price.reaches, "left-hand reach", "left-hand reaches");
  if (price.status != arrange::Status::optimal) out += " (not proven)";
  return out;
}

arrange::Skills skills_within_reach(const arrange::Student& student) {
  arrange::Skills known = student.skills();
  for (int number = student.level ? student.level->number() + 1 : 0;
       number <= arrange::kHighestLevel; ++number) {
    const arrange::Skills level = arrange::skills_of_level(*arrange::Level::make(number));
    const std::size_t before = known.size();
    known.insert(level.begin(), level.end());
    if (known.size() > before) break;
  }
  return known;
}

}  // namespace stillhand::teach
