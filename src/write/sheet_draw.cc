#include "write/sheet_draw.h"

#include <cairo-pdf.h>

#include <array>
#include <numbers>

namespace stillhand::write {
namespace {

void set_ink(cairo_t* cairo, Ink ink) {
  // The accent is dark enough to print as a deep grey; the greys keep a contrast of at least 4.5:1
  // to the paper (WCAG 2.1, 1.4.3), "pale" excepted, which carries no text.
  switch (ink) {
    case Ink::black:
      return cairo_set_source_rgb(cairo, 0.07, 0.07, 0.08);
    case Ink::dark:
      return cairo_set_source_rgb(cairo, 0.26, 0.26, 0.28);
    case Ink::grey:
      return cairo_set_source_rgb(cairo, 0.43, 0.43, 0.45);
    case Ink::pale:
      return cairo_set_source_rgb(cairo, 0.78, 0.78, 0.78);
    case Ink::accent:
      return cairo_set_source_rgb(cairo, 0.61, 0.17, 0.11);
    case Ink::paper:
      return cairo_set_source_rgb(cairo, 1, 1, 1);
  }
}

class Drawer {
 public:
  Drawer(cairo_t* cairo, const SheetFonts& fonts) : cairo_(cairo), fonts_(fonts) {}

  void operator()(const TextMark& mark) const {
    if (mark.text.empty()) return;
    const char* tag = mark.role == Role::title ? "H1" : mark.role == Role::heading ? "H2" : "P";
    cairo_tag_begin(cairo_, tag, nullptr);
    if (!mark.place.empty())
      cairo_tag_begin(cairo_, CAIRO_TAG_DEST, ("name='" + mark.place + "'").c_str());
    if (!mark.leads_to.empty())
      cairo_tag_begin(cairo_, CAIRO_TAG_LINK, ("dest='" + mark.leads_to + "'").c_str());
    set_ink(cairo_, mark.ink);
    fonts_.draw(cairo_, mark.text, mark.font, mark.x, mark.baseline);
    if (!mark.leads_to.empty()) cairo_tag_end(cairo_, CAIRO_TAG_LINK);
    if (!mark.place.empty()) cairo_tag_end(cairo_, CAIRO_TAG_DEST);
    cairo_tag_end(cairo_, tag);
  }

  void operator()(const RuleMark& mark) const {
    cairo_move_to(cairo_, mark.x1, mark.y1);
    cairo_line_to(cairo_, mark.x2, mark.y2);
    stroke(mark.ink, mark.thickness);
  }

  void operator()(const BoxMark& mark) const {
    cairo_rectangle(cairo_, mark.box.left, mark.box.top, mark.box.width, mark.box.height);
    paint(mark.fill, mark.stroke, mark.thickness);
  }

  void operator()(const DiscMark& mark) const {
    cairo_new_sub_path(cairo_);
    cairo_arc(cairo_, mark.x, mark.y, mark.radius, 0, 2 * std::numbers::pi);
    cairo_close_path(cairo_);
    paint(mark.fill, mark.stroke, mark.thickness);
  }

 private:
  void stroke(Ink ink, double thickness) const {
    set_ink(cairo_, ink);
    cairo_set_line_width(cairo_, thickness);
    cairo_stroke(cairo_);
  }

  // The stroke lies under the fill, so that a ring grows outwards.
  void paint(const std::optional<Ink>& fill, const std::optional<Ink>& ring,
             double thickness) const {
    if (ring && fill) {
      set_ink(cairo_, *ring);
      cairo_set_line_width(cairo_, 2 * thickness);
      cairo_stroke_preserve(cairo_);
    } else if (ring) {
      stroke(*ring, thickness);
    }
    if (fill) {
      set_ink(cairo_, *fill);
      cairo_fill(cairo_);
    }
  }

  cairo_t* cairo_;
  const SheetFonts& fonts_;
};

cairo_status_t append_bytes(void* to, const unsigned char* data, unsigned length) {
  static_cast<std::string*>(to)->append(reinterpret_cast<const char*>(data), length);
  return CAIRO_STATUS_SUCCESS;
}

void describe(cairo_surface_t* surface, const DocumentProperties& properties) {
  const auto set = [&](cairo_pdf_metadata_t what, const std::string& value) {
    if (!value.empty()) cairo_pdf_surface_set_metadata(surface, what, value.c_str());
  };
  set(CAIRO_PDF_METADATA_TITLE, properties.title);
  set(CAIRO_PDF_METADATA_AUTHOR, properties.author);
  set(CAIRO_PDF_METADATA_CREATOR, "Stillhand");
  // Left unset, this would be the time of the run, and no two runs would give the same bytes.
  set(CAIRO_PDF_METADATA_CREATE_DATE, "2000-01-01T00:00:00Z");
}

}  // namespace

std::string draw_pdf(const SheetPages& pages, const DocumentProperties& properties,
                     const SheetFonts& fonts) {
  std::string out;
  cairo_surface_t* surface =
      cairo_pdf_surface_create_for_stream(append_bytes, &out, pages.width, pages.height);
  describe(surface, properties);
  cairo_t* cairo = cairo_create(surface);
  const Drawer drawer(cairo, fonts);
  for (const Marks& page : pages.pages) {
    for (const Mark& mark : page) std::visit(drawer, mark);
    cairo_show_page(cairo);
  }
  for (const Bookmark& bookmark : properties.bookmarks) {
    cairo_pdf_surface_add_outline(surface, CAIRO_PDF_OUTLINE_ROOT, bookmark.text.c_str(),
                                  ("dest='" + bookmark.place + "'").c_str(),
                                  static_cast<cairo_pdf_outline_flags_t>(0));
  }
  cairo_destroy(cairo);
  cairo_surface_finish(surface);
  cairo_surface_destroy(surface);
  return out;
}

}  // namespace stillhand::write
