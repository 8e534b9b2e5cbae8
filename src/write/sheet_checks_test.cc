#include "write/sheet_checks.h"

#include <fmt/format.h>

#include <algorithm>

#include "write/embedded.h"

namespace stillhand::write::test {
namespace {

std::string shown(const Mark& mark) {
  const Box box = extent(mark);
  const auto* text = std::get_if<TextMark>(&mark);
  return fmt::format("{} at {:.1f} {:.1f}, {:.1f} by {:.1f}", text ? text->text : "mark", box.left,
                     box.top, box.width, box.height);
}

bool is_finger(const TextMark& text, const SheetStyle& style) {
  return text.font.face == style.finger.face && text.font.size <= style.finger.size &&
         text.text.size() == 1;
}

}  // namespace

TextSize EvenMeasurer::measure(std::string_view text, const Font& font) const {
  const auto begins_character = [](char c) {
    return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U;
  };
  const auto characters = std::count_if(text.begin(), text.end(), begins_character);
  return {0.54 * font.size * static_cast<double>(characters), 0.75 * font.size, 0.22 * font.size};
}

const SheetFonts& fonts() {
  static const SheetFonts opened = SheetFonts::open(data::fonts_conf).value();
  return opened;
}

std::vector<std::string> collisions(const SheetPages& pages, const SheetStyle& style) {
  std::vector<std::string> out;
  for (const Marks& page : pages.pages) {
    std::vector<const Mark*> rules, texts;
    for (const Mark& mark : page) {
      if (std::holds_alternative<RuleMark>(mark)) rules.push_back(&mark);
      const auto* text = std::get_if<TextMark>(&mark);
      if (text != nullptr && !text->text.empty()) texts.push_back(&mark);
    }
    for (std::size_t i = 0; i < texts.size(); ++i) {
      for (std::size_t j = i + 1; j < texts.size(); ++j) {
        if (!overlap(extent(*texts[i]), extent(*texts[j]))) continue;
        out.push_back(shown(*texts[i]) + " meets " + shown(*texts[j]));
      }
      if (is_finger(std::get<TextMark>(*texts[i]), style)) continue;
      for (const Mark* rule : rules) {
        if (!overlap(extent(*texts[i]), extent(*rule))) continue;
        out.push_back(shown(*texts[i]) + " meets a rule at " + shown(*rule));
      }
    }
  }
  return out;
}

std::vector<std::string> outside(const SheetPages& pages, const SheetStyle& loose) {
  const SheetStyle style = tighter(loose);
  constexpr double kHair = 1.5;  // half a thick rule
  std::vector<std::string> out;
  for (const Marks& page : pages.pages) {
    for (const Mark& mark : page) {
      const Box box = extent(mark);
      const bool is_foot = box.top > style.page_height - 36;
      const double bottom = style.page_height - (is_foot ? 12 : style.margin_bottom);
      const bool inside = box.left >= style.margin_side - kHair &&
                          box.right() <= style.page_width - style.margin_side + kHair &&
                          box.top >= style.margin_top - kHair && box.bottom() <= bottom + kHair;
      if (!inside) out.push_back(shown(mark));
    }
  }
  return out;
}

std::string all_text(const SheetPages& pages) {
  std::string out;
  for (const Marks& page : pages.pages) {
    for (const Mark& mark : page) {
      if (const auto* text = std::get_if<TextMark>(&mark)) out += text->text + "\n";
    }
  }
  return out;
}

}  // namespace stillhand::write::test
