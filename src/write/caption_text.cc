#include "write/caption_text.h"

#include <glib.h>

#include <algorithm>

namespace stillhand::write {
namespace {

constexpr std::string_view kEllipsis = "…";

bool clings(gunichar c) { return g_unichar_iszerowidth(c) != 0 || g_unichar_ismark(c) != 0; }

// What is read as one: a character with the marks that follow it.
std::string_view front_character(std::string_view text) {
  const char* at = text.data();
  const char* const end = at + text.size();
  do {
    at = g_utf8_next_char(at);
  } while (at < end && clings(g_utf8_get_char(at)));
  return text.substr(0, static_cast<std::size_t>(at - text.data()));
}

// As many whole characters as fit; at least one, so that whoever cuts comes to an end.
std::string_view front_that_fits(std::string_view text, int width) {
  std::size_t size = front_character(text).size();
  int taken = caption_width(text.substr(0, size));
  while (size < text.size()) {
    const std::string_view next = front_character(text.substr(size));
    taken += caption_width(next);
    if (taken > width) break;
    size += next.size();
  }
  return text.substr(0, size);
}

std::string_view without_end_spaces(std::string_view text) {
  const auto last = text.find_last_not_of(' ');
  return last == std::string_view::npos ? std::string_view() : text.substr(0, last + 1);
}

}  // namespace

int caption_width(std::string_view text) {
  int width = 0;
  const char* const end = text.data() + text.size();
  for (const char* at = text.data(); at < end; at = g_utf8_next_char(at)) {
    width += g_unichar_iswide(g_utf8_get_char(at)) != 0 ? 2 : 1;
  }
  return width;
}

std::string fitted_caption(std::string_view text, int width) {
  if (caption_width(text) <= width) return std::string(text);
  return std::string(without_end_spaces(front_that_fits(text, width - 1))).append(kEllipsis);
}

std::vector<std::string> caption_pieces(std::string_view text, int width) {
  std::vector<std::string> pieces;
  while (!text.empty()) {
    std::string_view piece = front_that_fits(text, width);
    if (piece.size() < text.size() && text[piece.size()] != ' ') {
      const auto space = piece.rfind(' ');
      if (space != std::string_view::npos && space > 0) piece = piece.substr(0, space);
    }
    text.remove_prefix(piece.size());
    text.remove_prefix(std::min(text.find_first_not_of(' '), text.size()));
    pieces.emplace_back(without_end_spaces(piece));
  }
  return pieces;
}

}  // namespace stillhand::write
