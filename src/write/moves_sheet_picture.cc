#include "write/moves_sheet_picture.h"

#include <algorithm>
#include <cmath>
#include <string>

#include "write/sheet_hands.h"

namespace stillhand::write {
namespace {

using hand::Finger;
using hand::ShapeNote;
using music::PianoKey;

// Black keys are drawn shorter than on the pictures of shapes: both rows of keys need room for two discs.
// Distances in points, shares of a key as numbers below 1: our judgement.
constexpr double kBlackPart = 0.5;
constexpr double kLargestRadius = 7.2;
constexpr double kSmallestNumber = 7.5;  // points, as everywhere on the sheet
constexpr double kEdge = 1.6;            // from a disc to the end of the key
constexpr double kUpAndDown = 10;        // length of the arrows of lifted and added fingers
constexpr double kRing = 1.8;            // from a disc to the ring of a key that stays

struct Point {
  double x = 0, y = 0;
};

// Discs of one size with their numbers.
class Discs {
 public:
  Discs(double radius, const SheetStyle& style, const TextMeasurer& measurer)
      : radius_(radius), measurer_(measurer), font_(style.finger) {
    font_.size = std::clamp(radius * 1.35, kSmallestNumber, std::max(kSmallestNumber, font_.size));
  }
  double radius() const { return radius_; }

  void filled(Finger finger, Point at, Marks& to) const {
    to.push_back(DiscMark{at.x, at.y, radius_, Ink::black, Ink::paper, 1.0});
    number(finger, Ink::paper, at, to);
  }
  void outlined(Finger finger, Point at, Marks& to) const {
    constexpr double kLine = 1.3;
    to.push_back(DiscMark{at.x, at.y, radius_, Ink::paper, Ink::paper, 1.0});
    to.push_back(DiscMark{at.x, at.y, radius_ - kLine, Ink::paper, Ink::black, kLine});
    number(finger, Ink::black, at, to);
  }
  void staying(Finger finger, Point at, Marks& to) const {
    constexpr double kLine = 0.9;
    to.push_back(DiscMark{at.x, at.y, radius_ + kRing, Ink::paper, Ink::paper, 0.8});
    to.push_back(DiscMark{at.x, at.y, radius_ + kRing - kLine, Ink::paper, Ink::black, kLine});
    to.push_back(DiscMark{at.x, at.y, radius_, Ink::black, std::nullopt, 0});
    number(finger, Ink::paper, at, to);
  }
  // About both discs of a key that another finger takes over.
  void frame(Point above, Point below, Marks& to) const {
    const double side = radius_ + kRing - 0.5;
    const double over = radius_ + 1;
    const Box box{above.x - side, above.y - over, 2 * side, below.y - above.y + 2 * over};
    to.push_back(BoxMark{box, Ink::paper, Ink::black, 0.9});
  }

 private:
  void number(Finger finger, Ink ink, Point at, Marks& to) const {
    const TextMark text = set_text(std::to_string(finger.number()), font_, ink, 0, 0, measurer_);
    to.push_back(shifted(text, at.x - text.box.width / 2, at.y - text.box.top / 2));
  }

  double radius_;
  const TextMeasurer& measurer_;
  Font font_;
};

// An arrow with a hem of paper, so that it is seen on black keys too.
void arrow(Point from, Point to, Marks& marks) {
  constexpr double kLine = 1.3, kHem = 1.1, kHead = 5.2;
  constexpr double kTurn = 0.52;  // radians from the shaft to each side of the head
  const double length = std::hypot(to.x - from.x, to.y - from.y);
  if (length < 0.5) return;
  const double along = std::atan2(from.y - to.y, from.x - to.x);
  const double head = std::min(kHead, length);
  const auto side = [&](double turn, double by) {
    return Point{to.x + by * std::cos(along + turn), to.y + by * std::sin(along + turn)};
  };
  // A little beyond the tip, so that the two sides meet in a point.
  const Point tip{to.x - 0.4 * std::cos(along), to.y - 0.4 * std::sin(along)};
  for (const bool is_hem : {true, false}) {
    const double thickness = is_hem ? kLine + 2 * kHem : kLine;
    const Ink ink = is_hem ? Ink::paper : Ink::black;
    marks.push_back(RuleMark{from.x, from.y, to.x, to.y, thickness, ink});
    for (const double turn : {-kTurn, kTurn}) {
      const Point end = side(turn, head + (is_hem ? kHem : 0));
      marks.push_back(RuleMark{end.x, end.y, tip.x, tip.y, thickness, ink});
    }
  }
}

// From the rim of one disc to the rim of another.
void arrow_between(Point from, Point to, double radius, Marks& marks) {
  const double length = std::hypot(to.x - from.x, to.y - from.y);
  const double start = radius + 1.2;
  const double end = radius + 2.2;
  if (length <= start + end) return;
  const auto at = [&](double way) {
    return Point{from.x + (to.x - from.x) * way / length, from.y + (to.y - from.y) * way / length};
  };
  arrow(at(start), at(length - end), marks);
}

// Two shapes, and what is at a key or under a finger of one of them; nullptr: nothing.
struct Pair {
  const hand::Shape& from;
  const hand::Shape& to;

  static const ShapeNote* at(const hand::Shape& shape, PianoKey key) {
    for (const ShapeNote& note : shape.notes) {
      if (note.key() == key) return &note;
    }
    return nullptr;
  }
  static const ShapeNote* of(const hand::Shape& shape, Finger finger) {
    for (const ShapeNote& note : shape.notes) {
      if (note.finger == finger) return &note;
    }
    return nullptr;
  }
};

class MoveSetter {
 public:
  MoveSetter(const KeyWindow& window, double width, const SheetStyle& style,
             const TextMeasurer& measurer)
      : frame_{window, width, kNameBand, style.keyboard_height, kBlackPart},
        discs_(radius(frame_), style, measurer) {}

  KeyboardPicture picture(const Pair& pair, music::NoteNames names, const SheetStyle& style,
                          const TextMeasurer& measurer) const {
    KeyboardPicture out{keys_of(frame_), frame_.bottom() + kNameBand + 3};
    // Arrows lie over the frames that they lead into, and under all discs, so that none runs over a number.
    for (const ShapeNote& note : pair.from.notes) {
      const ShapeNote* held = Pair::at(pair.to, note.key());
      if (held != nullptr && held->finger != note.finger)
        discs_.frame(upper(note.key()), lower(note.key()), out.marks);
    }
    for (const ShapeNote& note : pair.from.notes) arrow_from(note, pair, out.marks);
    for (const ShapeNote& note : pair.to.notes) arrow_to_added(note, pair, out.marks);
    for (const ShapeNote& note : pair.from.notes) {
      const ShapeNote* held = Pair::at(pair.to, note.key());
      if (held == nullptr) discs_.filled(note.finger, before(note.key()), out.marks);
      if (held != nullptr) stays(note, *held, out.marks);
    }
    for (const ShapeNote& note : pair.to.notes) {
      if (Pair::at(pair.from, note.key()) != nullptr) continue;
      const bool is_added = Pair::of(pair.from, note.finger) == nullptr;
      const Point place = is_added ? lower(note.key()) : after(note.key());
      discs_.outlined(note.finger, place, out.marks);
    }
    append(out.marks, names_of(names_on_keys(pair, names), frame_, style, measurer), 0, 0);
    append(out.marks, middle_c_of(frame_), 0, 0);
    return out;
  }

 private:
  static double radius(const KeyboardFrame& frame) {
    const double half_length = frame.height * std::min(kBlackPart, 1 - kBlackPart);
    return std::min(
        {frame.white_width() / 2 - kRing - 0.6, (half_length - 2 * kEdge - 1) / 4, kLargestRadius});
  }

  // Two places on each key. Where fingers come from lies in the middle of the keyboard, where they go to at the end of
  // the keys: so an arrow from a white key to the black one beside it is as long as any.
  Point upper(PianoKey key) const {
    const double begin = key.is_black() ? frame_.top : frame_.top + frame_.black_length();
    return {frame_.x(key), begin + kEdge + discs_.radius()};
  }
  Point lower(PianoKey key) const {
    const double end = key.is_black() ? frame_.top + frame_.black_length() : frame_.bottom();
    return {frame_.x(key), end - kEdge - discs_.radius()};
  }
  Point before(PianoKey key) const { return key.is_black() ? lower(key) : upper(key); }
  Point after(PianoKey key) const { return key.is_black() ? upper(key) : lower(key); }
  Point middle(PianoKey key) const { return {frame_.x(key), (upper(key).y + lower(key).y) / 2}; }

  void arrow_from(const ShapeNote& note, const Pair& pair, Marks& to) const {
    const ShapeNote* next = Pair::of(pair.to, note.finger);
    if (next != nullptr) {
      if (next->key() != note.key())
        arrow_between(before(note.key()), after(next->key()), discs_.radius(), to);
    } else if (Pair::at(pair.to, note.key()) == nullptr) {
      const Point at = before(note.key());
      const double rim = at.y - discs_.radius() - 1.2;
      arrow({at.x, rim}, {at.x, rim - kUpAndDown}, to);
    }
  }

  // On a black key too the disc lies below: its arrow needs the room above.
  void arrow_to_added(const ShapeNote& note, const Pair& pair, Marks& to) const {
    const bool is_added =
        Pair::of(pair.from, note.finger) == nullptr && Pair::at(pair.from, note.key()) == nullptr;
    if (!is_added) return;
    const Point at = lower(note.key());
    const double rim = at.y - discs_.radius() - 2.2;
    arrow({at.x, rim - kUpAndDown}, {at.x, rim}, to);
  }

  void stays(const ShapeNote& before_it, const ShapeNote& after_it, Marks& to) const {
    const PianoKey key = before_it.key();
    if (before_it.finger == after_it.finger) {
      discs_.staying(before_it.finger, middle(key), to);
    } else {
      discs_.filled(before_it.finger, before(key), to);
      discs_.outlined(after_it.finger, after(key), to);
    }
  }

  // A held key that the chords spell differently has both names.
  static std::vector<NameOnKey> names_on_keys(const Pair& pair, music::NoteNames names) {
    std::vector<NameOnKey> out;
    for (const ShapeNote& note : pair.from.notes) {
      std::string name = music::display(note.pitch.name, names);
      const ShapeNote* held = Pair::at(pair.to, note.key());
      if (held != nullptr && held->pitch.name != note.pitch.name)
        name += " = " + music::display(held->pitch.name, names);
      out.push_back({std::move(name), note.key()});
    }
    for (const ShapeNote& note : pair.to.notes) {
      if (Pair::at(pair.from, note.key()) == nullptr)
        out.push_back({music::display(note.pitch.name, names), note.key()});
    }
    return out;
  }

  KeyboardFrame frame_;
  Discs discs_;
};

}  // namespace

KeyboardPicture move_picture(const KeyWindow& window, const hand::Shape& from,
                             const hand::Shape& to, music::NoteNames names, double width,
                             const SheetStyle& style, const TextMeasurer& measurer) {
  return MoveSetter(window, width, style, measurer).picture({from, to}, names, style, measurer);
}

Block set_moves_legend(music::NoteNames names, const SheetStyle& style,
                       const TextMeasurer& measurer) {
  const Discs discs(5.6, style, measurer);
  const double r = discs.radius();
  const double middle = -style.note.size * 0.35;
  const Finger thumb(1), second(2), third(3);
  std::vector<LegendItem> items;
  const auto add = [&](Marks sign, double width, std::string text, std::string says = {}) {
    items.push_back({std::move(sign), width, std::move(text), std::move(says)});
  };
  Marks going;
  const Point from{r, middle};
  const Point to{r + 28, middle};
  arrow_between(from, to, r, going);
  discs.filled(thumb, from, going);
  discs.outlined(thumb, to, going);
  add(std::move(going), 2 * r + 28, "goes there", "filled disc, arrow to an outlined disc");
  Marks staying;
  discs.staying(thumb, {r + kRing, middle}, staying);
  add(std::move(staying), 2 * (r + kRing), "stays", "filled disc in a ring");
  Marks taken;
  const Point earlier{r + kRing, middle - r - 0.9};
  const Point later{r + kRing, middle + r + 0.9};
  discs.frame(earlier, later, taken);
  discs.filled(third, earlier, taken);
  discs.outlined(second, later, taken);
  add(std::move(taken), 2 * (r + kRing), "key stays, another finger takes it",
      "filled and outlined disc in one frame");
  Marks lifted;
  arrow({r, middle + 2 - r}, {r, middle - r - 8}, lifted);
  discs.filled(third, {r, middle + 3}, lifted);
  add(std::move(lifted), 2 * r, "is lifted", "filled disc, arrow up");
  Marks added;
  arrow({r, middle - r - 9}, {r, middle + 1 - r}, added);
  discs.outlined(third, {r, middle + 3}, added);
  add(std::move(added), 2 * r, "is added", "outlined disc, arrow down");
  // The tallest sign stands about the middle of its line.
  const double row = 4 * r + 6;
  const double down = row / 2 + style.note.size * 0.35 - style.note.size;
  const Block tall = set_signs(items, style, measurer, row);
  items.clear();
  add({}, 0, "1 thumb, 5 little finger");
  add(middle_c_sign(2.4, middle - 2.8), 4.8, "middle C", "arrow-head under a key");
  const std::string words = names_in_words(names);
  if (!words.empty()) add({}, 0, words);
  const Block low = set_signs(items, style, measurer, style.note.size * 1.6);
  Stack stack;
  stack.space(down).add(tall.marks, tall.height).space(down);
  stack.add(low.marks, low.height);
  stack.space(6);
  return std::move(stack).done();
}

}  // namespace stillhand::write
