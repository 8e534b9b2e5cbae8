#include "write/sheet_page.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace stillhand::write {
namespace {

template <class... F>
struct Visitor : F... {
  using F::operator()...;
};
template <class... F>
Visitor(F...) -> Visitor<F...>;

// Tenths, and never "-0.0".
std::string number(double points) {
  const auto tenths = std::lround(points * 10);
  return fmt::format("{:.1f}", static_cast<double>(tenths) / 10);
}

std::string_view name(Face face) {
  switch (face) {
    case Face::sans:
      return "sans";
    case Face::sans_bold:
      return "sans-bold";
    case Face::serif:
      return "serif";
    case Face::serif_bold:
      break;
  }
  return "serif-bold";
}

std::string_view name(Ink ink) {
  switch (ink) {
    case Ink::black:
      return "black";
    case Ink::dark:
      return "dark";
    case Ink::grey:
      return "grey";
    case Ink::pale:
      return "pale";
    case Ink::accent:
      return "accent";
    case Ink::paper:
      break;
  }
  return "paper";
}

std::string paint(const std::optional<Ink>& fill, const std::optional<Ink>& stroke) {
  return fmt::format("fill {} stroke {}", fill ? name(*fill) : "none",
                     stroke ? name(*stroke) : "none");
}

std::string line(const Mark& mark) {
  return std::visit(Visitor{[](const TextMark& m) {
                              return fmt::format("text {} {} w {} {} {} {} \"{}\"", number(m.x),
                                                 number(m.baseline), number(m.box.width),
                                                 name(m.font.face), number(m.font.size),
                                                 name(m.ink), m.text);
                            },
                            [](const RuleMark& m) {
                              return fmt::format("rule {} {} {} {} {}", number(m.x1), number(m.y1),
                                                 number(m.x2), number(m.y2), name(m.ink));
                            },
                            [](const BoxMark& m) {
                              return fmt::format("box {} {} {} {} {}", number(m.box.left),
                                                 number(m.box.top), number(m.box.width),
                                                 number(m.box.height), paint(m.fill, m.stroke));
                            },
                            [](const DiscMark& m) {
                              return fmt::format("disc {} {} r {} {}", number(m.x), number(m.y),
                                                 number(m.radius), paint(m.fill, m.stroke));
                            }},
                    mark);
}

}  // namespace

bool overlap(const Box& a, const Box& b) {
  constexpr double kTouch = 0.01;
  return a.left < b.right() - kTouch && b.left < a.right() - kTouch &&
         a.top < b.bottom() - kTouch && b.top < a.bottom() - kTouch;
}

Mark shifted(Mark mark, double dx, double dy) {
  std::visit(Visitor{[&](TextMark& m) {
                       m.x += dx;
                       m.baseline += dy;
                       m.box.left += dx;
                       m.box.top += dy;
                     },
                     [&](RuleMark& m) {
                       m.x1 += dx;
                       m.x2 += dx;
                       m.y1 += dy;
                       m.y2 += dy;
                     },
                     [&](BoxMark& m) {
                       m.box.left += dx;
                       m.box.top += dy;
                     },
                     [&](DiscMark& m) {
                       m.x += dx;
                       m.y += dy;
                     }},
             mark);
  return mark;
}

Box extent(const Mark& mark) {
  return std::visit(
      Visitor{[](const TextMark& m) { return m.box; },
              [](const RuleMark& m) {
                return Box{std::min(m.x1, m.x2), std::min(m.y1, m.y2), std::abs(m.x2 - m.x1),
                           std::abs(m.y2 - m.y1)};
              },
              [](const BoxMark& m) { return m.box; },
              [](const DiscMark& m) {
                return Box{m.x - m.radius, m.y - m.radius, 2 * m.radius, 2 * m.radius};
              }},
      mark);
}

Marks as_picture(Marks marks, std::string says) {
  const Says shared = std::make_shared<const std::string>(std::move(says));
  for (Mark& mark : marks) std::visit([&](auto& m) { m.says = shared; }, mark);
  return marks;
}

Says says(const Mark& mark) {
  return std::visit([](const auto& m) { return m.says; }, mark);
}

std::string text(const SheetPages& pages) {
  std::string out = fmt::format("paper {} {}\n", number(pages.width), number(pages.height));
  for (std::size_t i = 0; i < pages.pages.size(); ++i) {
    out += fmt::format("page {}\n", i + 1);
    for (const Mark& mark : pages.pages[i]) out += line(mark) + "\n";
  }
  return out;
}

}  // namespace stillhand::write
