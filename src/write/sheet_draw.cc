#include "write/sheet_draw.h"

#include <cairo-pdf.h>

#include <algorithm>
#include <array>
#include <exception>
#include <numbers>

#include "write/pdf_tags.h"

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

  // Whether the text to be drawn goes on in a next line: then a blank parts the words for those who listen.
  void goes_on(const Mark& mark, const Mark* next) {
    const auto* text = std::get_if<TextMark>(&mark);
    const auto* after = next != nullptr ? std::get_if<TextMark>(next) : nullptr;
    // At the end of a line from right to left the blank would stand on the left and push the words aside.
    constexpr auto is_leftward =
        [](char c) {  // first bytes of U+0580 to U+07FF: Hebrew, Arabic and their neighbours
          return static_cast<unsigned char>(c) >= 0xD6 && static_cast<unsigned char>(c) <= 0xDF;
        };
    goes_on_ = text != nullptr && after != nullptr && after->line == Line::next && !after->says &&
               std::none_of(text->text.begin(), text->text.end(), is_leftward);
  }

  void operator()(const TextMark& mark) const {
    if (!mark.place.empty())
      cairo_tag_begin(cairo_, CAIRO_TAG_DEST, ("name='" + mark.place + "'").c_str());
    if (!mark.leads_to.empty())
      cairo_tag_begin(cairo_, CAIRO_TAG_LINK, ("dest='" + mark.leads_to + "'").c_str());
    set_ink(cairo_, mark.ink);
    fonts_.draw(cairo_, goes_on_ ? mark.text + " " : mark.text, mark.font, mark.x, mark.baseline);
    if (!mark.leads_to.empty()) cairo_tag_end(cairo_, CAIRO_TAG_LINK);
    if (!mark.place.empty()) cairo_tag_end(cairo_, CAIRO_TAG_DEST);
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
  bool goes_on_ = false;
};

const char* tag_of(Role role) {
  switch (role) {
    case Role::title:
      return "H1";
    case Role::heading:
      return "H2";
    case Role::paragraph:
      return "P";
    case Role::foot:
      break;
  }
  return kUnsaid;
}

PlaceOnPage place_of(const Box& box) { return {box.left, box.top, box.right(), box.bottom()}; }

PlaceOnPage with(const PlaceOnPage& place, const Box& box) {
  return {std::min(place.left, box.left), std::min(place.top, box.top),
          std::max(place.right, box.right()), std::max(place.bottom, box.bottom())};
}

// Opens and closes the tags around the marks: lines of one paragraph share a tag, and so do the marks of one picture and
// neighbouring marks that say nothing.
class Tags {
 public:
  explicit Tags(cairo_t* cairo) : cairo_(cairo) {}

  void go_to(const Mark& mark, std::size_t page) {
    const auto* text = std::get_if<TextMark>(&mark);
    const Says picture = says(mark);
    const std::string_view tag = picture ? "Figure" : text ? tag_of(text->role) : kUnsaid;
    const bool goes_on = picture                  ? picture == picture_
                         : text && tag != kUnsaid ? text->line == Line::next
                                                  : true;
    if (tag != open_ || !goes_on) {
      close();
      open_ = tag;
      picture_ = picture;
      cairo_tag_begin(cairo_, open_.c_str(), nullptr);
      if (picture) pictures_.push_back({*picture, page, place_of(extent(mark))});
    }
    if (picture) pictures_.back().place = with(pictures_.back().place, extent(mark));
  }

  void close() {
    if (!open_.empty()) cairo_tag_end(cairo_, open_.c_str());
    open_.clear();
    picture_.reset();
  }

  std::vector<SaidPicture> pictures() && { return std::move(pictures_); }

 private:
  cairo_t* cairo_;
  std::string open_;  // "" where none is
  Says picture_;
  std::vector<SaidPicture> pictures_;
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

tl::unexpected<Diagnostics> cannot_draw(const std::string& why) {
  return failure(Fault::file, {}, "the pages cannot be drawn as PDF: " + why,
                 "try fewer songs or a shorter one");
}

}  // namespace

Result<std::string> draw_pdf(const SheetPages& pages, const DocumentProperties& properties,
                             const SheetFonts& fonts) {
  std::string out;
  cairo_surface_t* surface =
      cairo_pdf_surface_create_for_stream(append_bytes, &out, pages.width, pages.height);
  describe(surface, properties);
  cairo_t* cairo = cairo_create(surface);
  Drawer drawer(cairo, fonts);
  Tags tags(cairo);
  for (std::size_t page = 0; page < pages.pages.size(); ++page) {
    const Marks& marks = pages.pages[page];
    for (std::size_t i = 0; i < marks.size(); ++i) {
      const Mark& mark = marks[i];
      const auto* text = std::get_if<TextMark>(&mark);
      if (text != nullptr && text->text.empty()) continue;
      tags.go_to(mark, page);
      drawer.goes_on(mark, i + 1 < marks.size() ? &marks[i + 1] : nullptr);
      std::visit(drawer, mark);
    }
    tags.close();
    cairo_show_page(cairo);
  }
  for (const Bookmark& bookmark : properties.bookmarks) {
    cairo_pdf_surface_add_outline(surface, CAIRO_PDF_OUTLINE_ROOT, bookmark.text.c_str(),
                                  ("dest='" + bookmark.place + "'").c_str(),
                                  static_cast<cairo_pdf_outline_flags_t>(0));
  }
  cairo_surface_finish(surface);
  const cairo_status_t drawn = cairo_status(cairo);
  const cairo_status_t written = cairo_surface_status(surface);
  cairo_destroy(cairo);
  cairo_surface_destroy(surface);
  const cairo_status_t status = drawn != CAIRO_STATUS_SUCCESS ? drawn : written;
  if (status != CAIRO_STATUS_SUCCESS) return cannot_draw(cairo_status_to_string(status));
  try {
    return tagged(out, {properties.title, properties.author, std::move(tags).pictures()});
  } catch (const std::exception& error) {
    return cannot_draw(error.what());
  }
}

std::string draw_png(const Marks& marks, int width, int height, const SheetFonts& fonts) {
  std::string out;
  cairo_surface_t* surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, width, height);
  cairo_t* cairo = cairo_create(surface);
  set_ink(cairo, Ink::paper);
  cairo_paint(cairo);
  const Drawer drawer(cairo, fonts);
  for (const Mark& mark : marks) std::visit(drawer, mark);
  cairo_destroy(cairo);
  cairo_surface_write_to_png_stream(surface, append_bytes, &out);
  cairo_surface_destroy(surface);
  return out;
}

}  // namespace stillhand::write
