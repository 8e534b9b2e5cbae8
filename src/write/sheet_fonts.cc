#include "write/sheet_fonts.h"

#include <fontconfig/fontconfig.h>
#include <pango/pangocairo.h>
#include <pango/pangofc-fontmap.h>

#include <array>
#include <map>
#include <string>
#include <tuple>

namespace stillhand::write {
namespace {

template <auto destroy>
struct Destroy {
  template <class T>
  void operator()(T* pointer) const {
    destroy(pointer);
  }
};
template <class T, auto destroy>
using Owned = std::unique_ptr<T, Destroy<destroy>>;

using Config = Owned<FcConfig, FcConfigDestroy>;
using Description = Owned<PangoFontDescription, pango_font_description_free>;

struct NeededFont {
  const char* family;
  const char* package;
};
constexpr std::array<NeededFont, 4> kNeeded{{{"Noto Sans", "fonts-noto-core"},
                                             {"Noto Serif", "fonts-noto-core"},
                                             {"FreeSerif", "fonts-freefont-otf"},
                                             {"DejaVu Sans", "fonts-dejavu-core"}}};

// What the first family lacks (sharps, flats) comes from the next ones, in this order. The bold
// signs of FreeSerif hold their own beside bold letters; beside regular ones DejaVu's sit best.
const char* families(Face face) {
  switch (face) {
    case Face::sans:
      return "Noto Sans,DejaVu Sans,FreeSerif";
    case Face::sans_bold:
      return "Noto Sans,FreeSerif,DejaVu Sans";
    case Face::serif:
      return "Noto Serif,DejaVu Sans,FreeSerif";
    case Face::serif_bold:
      break;
  }
  return "Noto Serif,FreeSerif,DejaVu Sans";
}

bool is_bold(Face face) { return face == Face::sans_bold || face == Face::serif_bold; }

// FreeSerif's sharp is tall and hangs below the line: it is set a little smaller and lifted by these
// parts of the size.
constexpr double kSharpLift = 0.07;
constexpr double kSharpScale = 0.86;

void lift_sharps(PangoAttrList* attributes, std::string_view text, double size) {
  constexpr std::string_view sharp = "♯";
  for (auto at = text.find(sharp); at != std::string_view::npos; at = text.find(sharp, at + 1)) {
    PangoAttribute* lift = pango_attr_rise_new(static_cast<int>(kSharpLift * size * PANGO_SCALE));
    for (PangoAttribute* attribute : {lift, pango_attr_scale_new(kSharpScale)}) {
      attribute->start_index = static_cast<guint>(at);
      attribute->end_index = static_cast<guint>(at + sharp.size());
      pango_attr_list_insert(attributes, attribute);
    }
  }
}

// Letters joined to one sign need words of their own in a PDF, at which some readers lose the rest of the paragraph; and
// they are harder to read for weak eyes. Joins that a script requires stay.
void keep_letters_apart(PangoAttrList* attributes) {
  pango_attr_list_insert(attributes, pango_attr_font_features_new("liga=0, clig=0"));
}

bool has_family(FcConfig* config, const char* family) {
  const Owned<FcPattern, FcPatternDestroy> pattern(
      FcPatternBuild(nullptr, FC_FAMILY, FcTypeString, family, nullptr));
  const Owned<FcObjectSet, FcObjectSetDestroy> objects(FcObjectSetBuild(FC_FAMILY, nullptr));
  const Owned<FcFontSet, FcFontSetDestroy> found(FcFontList(config, pattern.get(), objects.get()));
  return found != nullptr && found->nfont > 0;
}

Diagnostics missing_fonts(FcConfig* config) {
  Diagnostics out;
  for (const NeededFont& font : kNeeded) {
    if (has_family(config, font.family)) continue;
    out.push_back({Severity::error,
                   Fault::file,
                   "",
                   {},
                   std::string("the font ") + font.family + " is not installed; the sheet needs it",
                   std::string("install the Debian package ") + font.package,
                   ""});
  }
  return out;
}

Config load(std::string_view configuration) {
  Config config(FcConfigCreate());
  const std::string xml(configuration);
  const auto* bytes = reinterpret_cast<const FcChar8*>(xml.c_str());
  FcConfigParseAndLoadFromMemory(config.get(), bytes, FcTrue);
  FcConfigBuildFonts(config.get());
  return config;
}

}  // namespace

struct SheetFonts::Parts {
  Config config;
  Owned<PangoFontMap, g_object_unref> map;
  Owned<PangoContext, g_object_unref> context;
  Owned<PangoLayout, g_object_unref> layout;
  std::map<std::tuple<Face, double, std::string>, TextSize> known;

  void set(std::string_view text, const Font& font) const {
    const Description description(pango_font_description_new());
    pango_font_description_set_family_static(description.get(), families(font.face));
    const bool bold = is_bold(font.face);
    pango_font_description_set_weight(description.get(),
                                      bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
    pango_font_description_set_absolute_size(description.get(), font.size * PANGO_SCALE);
    pango_layout_set_font_description(layout.get(), description.get());
    pango_layout_set_text(layout.get(), text.data(), static_cast<int>(text.size()));
    const Owned<PangoAttrList, pango_attr_list_unref> attributes(pango_attr_list_new());
    keep_letters_apart(attributes.get());
    if (bold) lift_sharps(attributes.get(), text, font.size);
    pango_layout_set_attributes(layout.get(), attributes.get());
  }
};

SheetFonts::SheetFonts(std::unique_ptr<Parts> parts) : parts_(std::move(parts)) {}
SheetFonts::SheetFonts(SheetFonts&&) noexcept = default;
SheetFonts& SheetFonts::operator=(SheetFonts&&) noexcept = default;
SheetFonts::~SheetFonts() = default;

Result<SheetFonts> SheetFonts::open(std::string_view configuration) {
  auto parts = std::make_unique<Parts>();
  parts->config = load(configuration);
  Diagnostics missing = missing_fonts(parts->config.get());
  if (!missing.empty()) return tl::unexpected<Diagnostics>(std::move(missing));
  parts->map.reset(pango_cairo_font_map_new_for_font_type(CAIRO_FONT_TYPE_FT));
  pango_fc_font_map_set_config(PANGO_FC_FONT_MAP(parts->map.get()), parts->config.get());
  parts->context.reset(pango_font_map_create_context(parts->map.get()));
  PangoContext* context = parts->context.get();
  // The language would otherwise come from the environment and choose other fonts there.
  pango_context_set_language(context, pango_language_from_string("en"));
  pango_context_set_round_glyph_positions(context, FALSE);
  pango_cairo_context_set_resolution(context, 72);
  const Owned<cairo_font_options_t, cairo_font_options_destroy> options(
      cairo_font_options_create());
  cairo_font_options_set_hint_style(options.get(), CAIRO_HINT_STYLE_NONE);
  cairo_font_options_set_hint_metrics(options.get(), CAIRO_HINT_METRICS_OFF);
  pango_cairo_context_set_font_options(context, options.get());
  parts->layout.reset(pango_layout_new(context));
  pango_layout_set_single_paragraph_mode(parts->layout.get(), TRUE);
  return SheetFonts(std::move(parts));
}

TextSize SheetFonts::measure(std::string_view text, const Font& font) const {
  const auto key = std::make_tuple(font.face, font.size, std::string(text));
  const auto found = parts_->known.find(key);
  if (found != parts_->known.end()) return found->second;
  parts_->set(text, font);
  PangoRectangle ink;
  PangoRectangle logical;
  PangoLayoutLine* line = pango_layout_get_line_readonly(parts_->layout.get(), 0);
  pango_layout_line_get_extents(line, &ink, &logical);
  const TextSize size{static_cast<double>(logical.width) / PANGO_SCALE,
                      static_cast<double>(-ink.y) / PANGO_SCALE,
                      static_cast<double>(ink.y + ink.height) / PANGO_SCALE};
  parts_->known.emplace(key, size);
  return size;
}

void SheetFonts::draw(cairo_t* cairo, std::string_view text, const Font& font, double x,
                      double baseline) const {
  parts_->set(text, font);
  cairo_move_to(cairo, x, baseline);
  pango_cairo_show_layout_line(cairo, pango_layout_get_line_readonly(parts_->layout.get(), 0));
}

}  // namespace stillhand::write
