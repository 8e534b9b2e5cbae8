#include "write/cover.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstddef>
#include <optional>

#include "write/embedded.h"
#include "write/sheet_draw.h"
#include "write/sheet_fonts.h"

namespace stillhand::write {
namespace {

// Pixels; all our judgement, judged at the size of a thumb.
constexpr int kSide = 600;
constexpr double kMargin = 48;
constexpr double kWidth = kSide - 2 * kMargin;
constexpr std::array kTitleSizes{76.0, 64.0, 54.0, 46.0, 38.0};
constexpr double kLeading = 1.15;
constexpr std::size_t kMostTitleLines = 4;
constexpr double kTitleBottom = 330;  // of its last line
constexpr double kKeysTop = 372;
constexpr double kKeysHeight = 112;
constexpr int kKeys = 7;
constexpr double kBlackLength = 0.58;  // of a white key's
constexpr double kDisc = 16;
constexpr double kFactBaseline = kSide - 48;

class Cover {
 public:
  Cover(const teach::Lesson& lesson, const SheetFonts& fonts) : lesson_(lesson), fonts_(fonts) {}

  std::string draw() {
    title();
    keys();
    const std::string home = text(lesson_.tonality);
    const Font font{Face::sans, 26};
    marks_.push_back(
        set_text(fmt::format("Key of {} · {}", pretty_chord(home), text(lesson_.meter)), font,
                 Ink::dark, kMargin, kFactBaseline, fonts_));
    return draw_png(marks_, kSide, kSide, fonts_);
  }

 private:
  // As large as four lines allow; a title longer than that at the smallest size ends in "…".
  void title() {
    const std::string words = one_line(lesson_.title);
    Font font{Face::serif_bold, 0};
    std::vector<std::string> lines;
    for (const double size : kTitleSizes) {
      font.size = size;
      lines = break_lines(words, font, kWidth, fonts_);
      const double height = size * kLeading * static_cast<double>(lines.size());
      if (lines.size() <= kMostTitleLines && kMargin + height <= kTitleBottom) break;
    }
    if (lines.size() > kMostTitleLines) {
      lines.resize(kMostTitleLines);
      lines.back() = fitted(lines.back() + " …", font, kWidth, fonts_);
    }
    double baseline = kMargin;
    for (const std::string& line : lines) {
      baseline += font.size * (baseline == kMargin ? 0.82 : kLeading);
      marks_.push_back(set_text(line, font, Ink::black, kMargin, baseline, fonts_));
    }
  }

  // Seven white keys from C and the black ones between them; a disc on the one that the song is at home on.
  void keys() {
    const double key = kWidth / kKeys;
    for (int i = 0; i < kKeys; ++i) {
      marks_.push_back(BoxMark{{kMargin + key * i, kKeysTop, key, kKeysHeight}, {}, Ink::dark, 2});
    }
    for (const int after : {0, 1, 3, 4, 5}) {
      marks_.push_back(BoxMark{
          {kMargin + key * (after + 0.68), kKeysTop, key * 0.64, kKeysHeight * kBlackLength},
          Ink::dark,
          {},
          0});
    }
    // In white keys from the left edge, by pitch class: the middle of each key.
    constexpr std::array kMiddle{0.5, 1.0, 1.5, 2.0, 2.5, 3.5, 4.0, 4.5, 5.0, 5.5, 6.0, 6.5};
    const music::PianoKey home(lesson_.tonality.tonic.pitch_class().value());
    const double length = kKeysHeight * (home.is_black() ? kBlackLength : 1);
    const double middle = kMiddle[static_cast<std::size_t>(home.number())];
    marks_.push_back(DiscMark{kMargin + key * middle, kKeysTop + length - kDisc - 8, kDisc,
                              Ink::accent,
                              home.is_black() ? std::optional(Ink::paper) : std::nullopt, 3});
  }

  const teach::Lesson& lesson_;
  const SheetFonts& fonts_;
  Marks marks_;
};

}  // namespace

Result<std::string> cover_png(const teach::Lesson& lesson) {
  const Result<SheetFonts> fonts = SheetFonts::open(data::fonts_conf);
  if (!fonts) return tl::unexpected(fonts.error());
  return Cover(lesson, *fonts).draw();
}

}  // namespace stillhand::write
