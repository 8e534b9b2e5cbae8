#include "write/sheet_keyboard.h"

#include <algorithm>
#include <string>

#include "hand/geometry.h"

namespace stillhand::write {
namespace {

using music::PianoKey;
using music::Semitones;

// A white key is 23.5 mm wide, a black one 13.7 mm wide and 95 of 150 mm long (usual measures of a
// piano, from memory). The picture shows less of the length.
constexpr double kWhiteTenths = 235;
constexpr double kBlackTenths = 137;
constexpr double kBlackLength = 0.62;
constexpr double kNameBand = 10.5;  // above and below the keys
constexpr PianoKey kMiddleC{60};

bool begins_group(PianoKey key) {
  return key.pitch_class().value() == 0 || key.pitch_class().value() == 5;
}
bool ends_group(PianoKey key) {
  return key.pitch_class().value() == 4 || key.pitch_class().value() == 11;
}

PianoKey next_white(PianoKey key) {
  const PianoKey next = key + Semitones(1);
  return next.is_black() ? next + Semitones(1) : next;
}

struct Scale {
  const KeyWindow& window;
  double white_width;

  double x(PianoKey key) const {
    const auto from_first = hand::centre(key) - hand::centre(window.first);
    return (from_first.value() / kWhiteTenths + 0.5) * white_width;
  }
  PianoKey end() const {
    PianoKey key = window.first;
    for (int i = 0; i < window.white_keys; ++i) key = next_white(key);
    return key;
  }
};

void draw_keys(const Scale& scale, double top, double height, Marks& marks) {
  const double width = scale.white_width * scale.window.white_keys;
  for (int i = 1; i < scale.window.white_keys; ++i) {
    const double x = i * scale.white_width;
    marks.push_back(RuleMark{x, top, x, top + height, 0.5, Ink::grey});
  }
  marks.push_back(BoxMark{{0, top, width, height}, std::nullopt, Ink::grey, 0.6});
  const double black = scale.white_width * kBlackTenths / kWhiteTenths;
  for (PianoKey key = scale.window.first; key < scale.end(); key = key + Semitones(1)) {
    if (!key.is_black()) continue;
    marks.push_back(BoxMark{
        {scale.x(key) - black / 2, top, black, height * kBlackLength}, Ink::dark, std::nullopt, 0});
  }
  marks.push_back(RuleMark{0, top, width, top, 0.9, Ink::dark});
}

struct Name {
  std::string text;
  double x, width;  // x: centre
};

// Names too close to each other are moved apart evenly.
void spread(std::vector<Name>& names) {
  constexpr double kGap = 1.5;
  const auto by_place = [](const Name& a, const Name& b) { return a.x < b.x; };
  std::sort(names.begin(), names.end(), by_place);
  for (std::size_t round = 0; round < names.size(); ++round) {
    for (std::size_t i = 1; i < names.size(); ++i) {
      Name& a = names[i - 1];
      Name& b = names[i];
      const double missing = (a.width + b.width) / 2 + kGap - (b.x - a.x);
      if (missing <= 0) continue;
      a.x -= missing / 2;
      b.x += missing / 2;
    }
  }
}

void draw_names(std::vector<Name> names, double baseline, double width, const SheetStyle& style,
                const TextMeasurer& measurer, Marks& marks) {
  spread(names);
  for (const Name& name : names) {
    const double left = std::clamp(name.x - name.width / 2, 0.0, width - name.width);
    marks.push_back(set_text(name.text, style.note, Ink::black, left, baseline, measurer));
  }
}

}  // namespace

KeyWindow window_over(const std::vector<PianoKey>& keys) {
  const auto [lowest, highest] = std::minmax_element(keys.begin(), keys.end());
  PianoKey first = *lowest;
  while (!begins_group(first)) first = first - Semitones(1);
  PianoKey last = *highest;
  while (!ends_group(last)) last = last + Semitones(1);
  KeyWindow window{first, 1};
  for (PianoKey key = first; key < last; key = next_white(key)) ++window.white_keys;
  return window;
}

KeyWindow widened(KeyWindow window, int white_keys) {
  window.white_keys = std::max(window.white_keys, white_keys);
  return window;
}

Marks finger_mark(hand::Finger finger, hand::Hand hand, double x, double y, double radius,
                  const SheetStyle& style, const TextMeasurer& measurer) {
  Marks marks;
  const bool right = hand == hand::Hand::right;
  if (right) {
    marks.push_back(DiscMark{x, y, radius, Ink::black, Ink::paper, 1.0});
  } else {
    const double ring = radius + 0.4;
    marks.push_back(BoxMark{{x - ring, y - ring, 2 * ring, 2 * ring}, Ink::paper, std::nullopt, 0});
    const double half = radius - 0.5;
    marks.push_back(BoxMark{{x - half, y - half, 2 * half, 2 * half}, Ink::paper, Ink::black, 0.9});
  }
  const TextMark number = set_text(std::to_string(finger.number()), style.finger,
                                   right ? Ink::paper : Ink::black, 0, 0, measurer);
  const double above = -number.box.top;
  marks.push_back(shifted(number, x - number.box.width / 2, y + above / 2));
  return marks;
}

Marks middle_c_sign(double x, double top) {
  constexpr double kHalf = 2.4, kHeight = 3.2;
  const double tip = top + 1.2;
  return {RuleMark{x - kHalf, tip + kHeight, x, tip, 0.9, Ink::accent},
          RuleMark{x, tip, x + kHalf, tip + kHeight, 0.9, Ink::accent}};
}

KeyboardPicture keyboard(const KeyWindow& window, const std::vector<FingerOnKey>& fingers,
                         hand::Hand hand, music::NoteNames names, double width,
                         const SheetStyle& style, const TextMeasurer& measurer) {
  KeyboardPicture out;
  const Scale scale{window, width / window.white_keys};
  const double top = kNameBand;
  const double height = style.keyboard_height;
  draw_keys(scale, top, height, out.marks);
  const double radius = std::min(scale.white_width / 2 - 0.6, 5.4);
  std::vector<Name> white, black;
  for (const FingerOnKey& f : fingers) {
    const bool is_black = f.pitch.key().is_black();
    const double x = scale.x(f.pitch.key());
    const double y =
        is_black ? top + height * kBlackLength - radius - 1.6 : top + height - radius - 1.6;
    const Marks mark = finger_mark(f.finger, hand, x, y, radius, style, measurer);
    out.marks.insert(out.marks.end(), mark.begin(), mark.end());
    const std::string name = music::display(f.pitch.name, names);
    (is_black ? black : white).push_back({name, x, measurer.measure(name, style.note).width});
  }
  draw_names(black, top - 3, width, style, measurer, out.marks);
  draw_names(white, top + height + 11, width, style, measurer, out.marks);
  if (window.first <= kMiddleC && kMiddleC < scale.end()) {
    const Marks sign = middle_c_sign(scale.x(kMiddleC), top + height);
    out.marks.insert(out.marks.end(), sign.begin(), sign.end());
  }
  out.height = top + height + kNameBand + 3;
  return out;
}

}  // namespace stillhand::write
