#include "write/sheet_svg.h"

#include <fmt/format.h>

#include <cmath>
#include <iterator>

#include "write/sheet_text.h"
#include "write/xml_text.h"

namespace stillhand::write {
namespace {

// As the PDF has them; the last one is whatever the reader has.
std::string_view family(Face face) {
  const bool is_serif = face == Face::serif || face == Face::serif_bold;
  return is_serif ? "Noto Serif, FreeSerif, DejaVu Serif, serif"
                  : "Noto Sans, DejaVu Sans, FreeSans, sans-serif";
}

bool is_bold(Face face) { return face == Face::sans_bold || face == Face::serif_bold; }

// The same colours as in the PDF.
std::string_view colour(Ink ink) {
  switch (ink) {
    case Ink::black:
      return "#121214";
    case Ink::dark:
      return "#424247";
    case Ink::grey:
      return "#6e6e73";
    case Ink::pale:
      return "#c7c7c7";
    case Ink::accent:
      return "#9c2b1c";
    case Ink::paper:
      break;
  }
  return "#ffffff";
}

// Hundredths of a point, without noughts at the end, and never "-0".
std::string number(double points) {
  std::string out = fmt::format("{:.2f}", points);
  while (out.back() == '0') out.pop_back();
  if (out.back() == '.') out.pop_back();
  return out == "-0" ? "0" : out;
}

class Writer {
 public:
  explicit Writer(std::string& out) : out_(out) {}

  void operator()(const TextMark& mark) const {
    const std::string text = xml_escaped(mark.text);
    if (text.empty()) return;
    // A text that runs from right to left has its end at the left.
    const bool is_leftward = runs_leftward(mark.text);
    add("<text x=\"{}\" y=\"{}\" font-family=\"{}\"{} font-size=\"{}\" fill=\"{}\"{}",
        number(mark.x), number(mark.baseline), family(mark.font.face),
        is_bold(mark.font.face) ? " font-weight=\"bold\"" : "", number(mark.font.size),
        colour(mark.ink), is_leftward ? " direction=\"rtl\" text-anchor=\"end\"" : "");
    if (mark.box.width > 0)
      add(" textLength=\"{}\" lengthAdjust=\"spacingAndGlyphs\"", number(mark.box.width));
    add(">{}</text>\n", text);
  }

  void operator()(const RuleMark& mark) const {
    add("<line x1=\"{}\" y1=\"{}\" x2=\"{}\" y2=\"{}\" stroke=\"{}\" stroke-width=\"{}\"/>\n",
        number(mark.x1), number(mark.y1), number(mark.x2), number(mark.y2), colour(mark.ink),
        number(mark.thickness));
  }

  void operator()(const BoxMark& mark) const {
    const auto shape = [&](std::string_view how) {
      add("<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" {}/>\n", number(mark.box.left),
          number(mark.box.top), number(mark.box.width), number(mark.box.height), how);
    };
    paint(mark.fill, mark.stroke, mark.thickness, shape);
  }

  void operator()(const DiscMark& mark) const {
    const auto shape = [&](std::string_view how) {
      add("<circle cx=\"{}\" cy=\"{}\" r=\"{}\" {}/>\n", number(mark.x), number(mark.y),
          number(mark.radius), how);
    };
    paint(mark.fill, mark.stroke, mark.thickness, shape);
  }

 private:
  template <class... Parts>
  void add(fmt::format_string<Parts...> form, Parts&&... parts) const {
    fmt::format_to(std::back_inserter(out_), form, std::forward<Parts>(parts)...);
  }

  // The stroke lies under the fill, so that a ring grows outwards, as in the PDF.
  template <class Shape>
  static void paint(const std::optional<Ink>& fill, const std::optional<Ink>& ring,
                    double thickness, const Shape& shape) {
    if (ring) {
      shape(fmt::format("fill=\"none\" stroke=\"{}\" stroke-width=\"{}\"", colour(*ring),
                        number(fill ? 2 * thickness : thickness)));
    }
    if (fill) shape(fmt::format("fill=\"{}\"", colour(*fill)));
  }

  std::string& out_;
};

}  // namespace

std::vector<std::string> draw_svg(const SheetPages& pages, const DocumentProperties& properties,
                                  std::string_view about) {
  std::vector<std::string> out;
  for (std::size_t i = 0; i < pages.pages.size(); ++i) {
    const std::string width = number(pages.width);
    const std::string height = number(pages.height);
    const std::string of = fmt::format("page {} of {}", i + 1, pages.pages.size());
    std::string page = fmt::format(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
        "<svg xmlns=\"http://www.w3.org/2000/svg\" version=\"1.1\" width=\"{0}pt\" "
        "height=\"{1}pt\" "
        "viewBox=\"0 0 {0} {1}\" xml:lang=\"en\">\n"
        "<title>{2}</title>\n<desc>{3}</desc>\n"
        "<rect width=\"{0}\" height=\"{1}\" fill=\"#ffffff\"/>\n",
        width, height,
        xml_escaped(properties.title.empty() ? of : fmt::format("{}, {}", properties.title, of)),
        xml_escaped(properties.author.empty() ? std::string(about)
                                              : fmt::format("{}; {}", about, properties.author)));
    const Writer writer(page);
    // The marks of one picture stand in one group that says it.
    Says open;
    for (const Mark& mark : pages.pages[i]) {
      const Says here = says(mark);
      if (here != open) {
        if (open) page += "</g>\n";
        if (here) page += fmt::format("<g role=\"img\" aria-label=\"{}\">\n", xml_escaped(*here));
        open = here;
      }
      std::visit(writer, mark);
    }
    if (open) page += "</g>\n";
    page += "</svg>\n";
    out.push_back(std::move(page));
  }
  return out;
}

}  // namespace stillhand::write
