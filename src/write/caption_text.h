// The lines of a caption: how wide they are, and how they are cut to fit.
//
//   caption_width("港の灯り") == 8                  // a wide character counts as two
//   fitted_caption("Verse 1 (slowly)", 8) == "Verse 1…"
//
// Texts are valid UTF-8 on one line (sheet_text.h, one_line). Every code point counts, combining
// marks too, so that a line is within its limit however one counts; a cut never parts a mark from
// its letter. Source of what is wide: Unicode Standard Annex 11, East Asian Width.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace stillhand::write {

// 42 characters a line is what broadcasters and video services commonly ask for Latin script (common
// practice, no source).
inline constexpr int kCaptionWidth = 42;

int caption_width(std::string_view text);

// The text, or as much of it as fits, ended by "…".
std::string fitted_caption(std::string_view text, int width);

// The text in pieces that fit, broken at spaces, a longer word between characters. None for "".
std::vector<std::string> caption_pieces(std::string_view text, int width);

}  // namespace stillhand::write
