// For tests and the fuzzer: what no sheet may do, whatever the song. Two texts never overlap, no text lies on a rule, a box
// or a disc, and nothing leaves the margins. Finger numbers lie on their marks and keys by intent.
//
//   EXPECT_EQ(test::collisions(pages, style), std::vector<std::string>());
#pragma once

#include <fmt/format.h>

#include <algorithm>
#include <string>
#include <string_view>
#include <vector>

#include "write/embedded.h"
#include "write/sheet_fonts.h"
#include "write/sheet_page.h"
#include "write/sheet_style.h"

namespace stillhand::write::test {

// Every character is as wide as the next, so that goldens do not hang on installed fonts.
class EvenMeasurer : public TextMeasurer {
 public:
  TextSize measure(std::string_view text, const Font& font) const override {
    const auto begins_character = [](char c) {
      return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U;
    };
    const auto characters = std::count_if(text.begin(), text.end(), begins_character);
    return {0.54 * font.size * static_cast<double>(characters), 0.75 * font.size, 0.22 * font.size};
  }
};

inline const SheetFonts& fonts() {
  static const SheetFonts opened = SheetFonts::open(data::fonts_conf).value();
  return opened;
}

inline std::string shown(const Mark& mark) {
  const Box box = extent(mark);
  const auto* text = std::get_if<TextMark>(&mark);
  return fmt::format("{} at {:.1f} {:.1f}, {:.1f} by {:.1f}", text ? text->text : "mark", box.left,
                     box.top, box.width, box.height);
}

inline bool is_finger(const TextMark& text, const SheetStyle& style) {
  return text.font.face == style.finger.face && text.font.size <= style.finger.size &&
         text.text.size() == 1;
}

inline std::vector<std::string> collisions(const SheetPages& pages, const SheetStyle& style) {
  std::vector<std::string> out;
  for (const Marks& page : pages.pages) {
    std::vector<const Mark*> others, texts;
    for (const Mark& mark : page) {
      const auto* text = std::get_if<TextMark>(&mark);
      if (text == nullptr) others.push_back(&mark);
      if (text != nullptr && !text->text.empty()) texts.push_back(&mark);
    }
    for (std::size_t i = 0; i < texts.size(); ++i) {
      for (std::size_t j = i + 1; j < texts.size(); ++j) {
        if (!overlap(extent(*texts[i]), extent(*texts[j]))) continue;
        out.push_back(shown(*texts[i]) + " meets " + shown(*texts[j]));
      }
      if (is_finger(std::get<TextMark>(*texts[i]), style)) continue;
      for (const Mark* other : others) {
        if (!overlap(extent(*texts[i]), extent(*other))) continue;
        out.push_back(shown(*texts[i]) + " lies on " + shown(*other));
      }
    }
  }
  return out;
}

// What lies beyond the margins.
inline std::vector<std::string> outside(const SheetPages& pages, const SheetStyle& loose) {
  const SheetStyle style = tighter(loose);
  constexpr double kHair = 1.5;     // half a thick rule
  constexpr double kFootLine = 26;  // of the running title, from the edge of the page
  std::vector<std::string> out;
  for (const Marks& page : pages.pages) {
    for (const Mark& mark : page) {
      const Box box = extent(mark);
      const bool is_foot = box.top > style.page_height - kFootLine - style.note.size - kHair;
      const double bottom = style.page_height - (is_foot ? 12 : style.margin_bottom);
      const bool inside = box.left >= style.margin_side - kHair &&
                          box.right() <= style.page_width - style.margin_side + kHair &&
                          box.top >= style.margin_top - kHair && box.bottom() <= bottom + kHair;
      if (!inside) out.push_back(shown(mark));
    }
  }
  return out;
}

// One text a line.
inline std::string all_text(const SheetPages& pages) {
  std::string out;
  for (const Marks& page : pages.pages) {
    for (const Mark& mark : page) {
      if (const auto* text = std::get_if<TextMark>(&mark)) out += text->text + "\n";
    }
  }
  return out;
}

}  // namespace stillhand::write::test
