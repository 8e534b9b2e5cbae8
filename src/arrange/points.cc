#include "arrange/points.h"

#include <cassert>
#include <charconv>

namespace stillhand::arrange {
namespace {

std::string_view take(std::string_view& text, char end) {
  const std::string_view front = text.substr(0, text.find(end));
  text.remove_prefix(front.size() + (front.size() < text.size() ? 1 : 0));
  return front;
}

std::int64_t number(std::string_view text) {
  std::int64_t value = 0;
  std::from_chars(text.data(), text.data() + text.size(), value);
  return value;
}

}  // namespace

Points points_of(std::string_view table, std::string_view name, std::int64_t value) {
  while (!table.empty()) {
    std::string_view line = take(table, '\n');
    if (take(line, '\t') != name) continue;
    const std::int64_t points = number(take(line, '\t'));
    const std::int64_t per = number(take(line, '\t'));
    assert(points >= 0 && per > 0);
    return Points(value * points / per);
  }
  assert(false);
  return {};
}

}  // namespace stillhand::arrange
