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
constexpr PianoKey kMiddleC{60};
// Points, our judgement. The sign under middle C is flat, and the names below the keys leave it room: touching the C it
// would be read as part of the letter.
constexpr double kLargestSign = 1.3;  // times its size at unit 1
constexpr double kSignHalf = 2.6;     // half its width
constexpr double kSignHeight = 2.1;
constexpr double kSignBelowKeys = 0.8;  // its tip
constexpr double kNamesLower = 1.3;     // baseline of the names below the band

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

// A finger mark without a number.
Marks key_mark(hand::Hand hand, double x, double y, double radius) {
  if (hand == hand::Hand::right) return {DiscMark{x, y, radius, Ink::black, Ink::paper, 1.0}};
  const double half = radius - 0.5;
  const double ring = radius + 0.4;
  return {BoxMark{{x - ring, y - ring, 2 * ring, 2 * ring}, Ink::paper, std::nullopt, 0},
          BoxMark{{x - half, y - half, 2 * half, 2 * half}, Ink::paper, Ink::black, 0.9}};
}

}  // namespace

double KeyboardFrame::black_width() const { return white_width() * kBlackTenths / kWhiteTenths; }

double KeyboardFrame::x(PianoKey key) const {
  const auto from_first = hand::centre(key) - hand::centre(window.first);
  return (from_first.value() / kWhiteTenths + 0.5) * white_width();
}

PianoKey KeyboardFrame::end() const {
  PianoKey key = window.first;
  for (int i = 0; i < window.white_keys; ++i) key = next_white(key);
  return key;
}

Marks keys_of(const KeyboardFrame& frame) {
  Marks marks;
  for (int i = 1; i < frame.window.white_keys; ++i) {
    const double x = i * frame.white_width();
    marks.push_back(RuleMark{x, frame.top, x, frame.bottom(), 0.5, Ink::grey});
  }
  marks.push_back(BoxMark{{0, frame.top, frame.width, frame.height}, std::nullopt, Ink::grey, 0.6});
  const double black = frame.black_width();
  const PianoKey end = frame.end();
  for (PianoKey key = frame.window.first; key < end; key = key + Semitones(1)) {
    if (!key.is_black()) continue;
    // The last one may lie half beyond the window.
    const double left = frame.x(key) - black / 2;
    const double wide = std::min(black, frame.width - left);
    marks.push_back(
        BoxMark{{left, frame.top, wide, frame.black_length()}, Ink::dark, std::nullopt, 0});
  }
  marks.push_back(RuleMark{0, frame.top, frame.width, frame.top, 0.9, Ink::dark});
  return marks;
}

Marks names_of(const std::vector<NameOnKey>& names, const KeyboardFrame& frame,
               const SheetStyle& style, const TextMeasurer& measurer) {
  std::vector<Name> white, black;
  for (const NameOnKey& name : names) {
    (name.key.is_black() ? black : white)
        .push_back({name.text, frame.x(name.key), measurer.measure(name.text, style.note).width});
  }
  Marks marks;
  draw_names(black, frame.top - 3 * style.unit, frame.width, style, measurer, marks);
  draw_names(white, frame.bottom() + name_band(style) + kNamesLower, frame.width, style, measurer,
             marks);
  return marks;
}

Marks middle_c_of(const KeyboardFrame& frame) {
  if (kMiddleC < frame.window.first || frame.end() <= kMiddleC) return {};
  return middle_c_sign(frame.x(kMiddleC), frame.bottom());
}

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

Marks middle_c_sign(double x, double top, double unit) {
  const double half = kSignHalf * unit;
  const double height = kSignHeight * unit;
  const double tip = top + kSignBelowKeys * unit;
  return {RuleMark{x - half, tip + height, x, tip, 0.9 * unit, Ink::accent},
          RuleMark{x, tip, x + half, tip + height, 0.9 * unit, Ink::accent}};
}

std::string in_words(const std::vector<FingerOnKey>& fingers, hand::Hand hand,
                     music::NoteNames names) {
  std::string out = hand == hand::Hand::right ? "right hand" : "left hand";
  for (const FingerOnKey& f : fingers) {
    const bool is_thumb = f.finger == hand::kThumb;
    out += ", " + music::display(f.pitch.name, names);
    if (f.finger) {
      out += is_thumb ? " thumb" : " " + std::to_string(f.finger->number());
    } else {
      out += std::to_string(f.pitch.octave);
    }
  }
  return out;
}

KeyboardPicture keyboard(const KeyWindow& window, const std::vector<FingerOnKey>& fingers,
                         hand::Hand hand, music::NoteNames names, double width,
                         const SheetStyle& style, const TextMeasurer& measurer) {
  const KeyboardFrame frame{window, width, name_band(style), style.keyboard_height};
  KeyboardPicture out{keys_of(frame), frame.bottom() + name_band(style) + 3 * style.unit};
  const auto add = [&](const Marks& marks) {
    out.marks.insert(out.marks.end(), marks.begin(), marks.end());
  };
  const double radius = std::min(frame.white_width() / 2 - 0.6, style.finger.size * 0.71);
  const auto by_key = [](const FingerOnKey& a, const FingerOnKey& b) {
    return a.pitch.key() < b.pitch.key();
  };
  const auto [lowest, highest] = std::minmax_element(fingers.begin(), fingers.end(), by_key);
  std::vector<NameOnKey> named;
  for (const FingerOnKey& f : fingers) {
    const PianoKey key = f.pitch.key();
    const double end = key.is_black() ? frame.top + frame.black_length() : frame.bottom();
    const double y = end - radius - 1.6;
    add(f.finger ? finger_mark(*f.finger, hand, frame.x(key), y, radius, style, measurer)
                 : key_mark(hand, frame.x(key), y, radius * 0.75));
    const std::string name = music::display(f.pitch.name, names);
    if (f.finger) {
      named.push_back({name, key});
    } else if (f.pitch == lowest->pitch || f.pitch == highest->pitch) {
      named.push_back({name + std::to_string(f.pitch.octave), key});
    }
  }
  add(names_of(named, frame, style, measurer));
  if (frame.window.first <= kMiddleC && kMiddleC < frame.end())
    add(middle_c_sign(frame.x(kMiddleC), frame.bottom(), std::min(style.unit, kLargestSign)));
  return out;
}

}  // namespace stillhand::write
