// The display list: a sheet as plain marks on pages, before anything is drawn. Tests, PDF, SVG and
// large print read the same list.
//
//   SheetPages pages = lay_out(lesson, style, measurer);     // sheet_layout.h
//   std::cout << text(pages);                                // the golden form
//
// Lengths are points (1/72 inch); x runs right and y runs down from the top left corner of the
// page.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <variant>
#include <vector>

namespace stillhand::write {

// Serif is for what is sung and named, sans for what is played.
enum class Face { sans, sans_bold, serif, serif_bold };

struct Font {
  Face face = Face::sans;
  double size = 10;
  friend bool operator==(const Font&, const Font&) = default;
};

// One ink with two tints of it, one accent, and the paper.
enum class Ink { black, dark, grey, pale, accent, paper };

// What a text is in the structure of the document; a foot is no part of it.
enum class Role { title, heading, paragraph, foot };

// Whether a text begins something or goes on with the one before it, as the next line of its paragraph.
enum class Line { first, next };

// What a picture says to those who cannot see it. All marks of one picture share it, so that together they are one figure of
// the document; without it, marks that are no texts say nothing.
using Says = std::shared_ptr<const std::string>;

struct Box {
  double left = 0, top = 0, width = 0, height = 0;
  double right() const { return left + width; }
  double bottom() const { return top + height; }
};
bool overlap(const Box& a, const Box& b);  // boxes that only touch do not overlap

struct TextMark {
  std::string text;
  Font font;
  Ink ink = Ink::black;
  double x = 0, baseline = 0;
  Box box;  // advance width; height of the ink
  Role role = Role::paragraph;
  Line line = Line::first;
  Says says = {};
  // Within the document: the place that this text is, and the one it leads to. Letters, digits and hyphens.
  std::string place = {};
  std::string leads_to = {};
};

struct RuleMark {
  double x1 = 0, y1 = 0, x2 = 0, y2 = 0;
  double thickness = 0.5;
  Ink ink = Ink::black;
  Says says = {};
};

struct BoxMark {
  Box box;
  std::optional<Ink> fill;
  std::optional<Ink> stroke;
  double thickness = 0.5;
  Says says = {};
};

struct DiscMark {
  double x = 0, y = 0, radius = 0;
  std::optional<Ink> fill;
  std::optional<Ink> stroke;
  double thickness = 0.5;
  Says says = {};
};

using Mark = std::variant<TextMark, RuleMark, BoxMark, DiscMark>;
using Marks = std::vector<Mark>;

struct SheetPages {
  double width = 0, height = 0;
  std::vector<Marks> pages;
};

Mark shifted(Mark mark, double dx, double dy);
Box extent(const Mark& mark);
// The marks as one picture.
Marks as_picture(Marks marks, std::string says);
Says says(const Mark& mark);

// One mark a line, tenths of a point.
std::string text(const SheetPages& pages);

}  // namespace stillhand::write
