#include "hand/line_fingering.h"

#include <algorithm>
#include <cassert>
#include <limits>
#include <numeric>
#include <string_view>

#include "hand/embedded.h"
#include "hand/span_table.h"

namespace stillhand::hand {
namespace {

constexpr int kMirror = 124;  // D4 (62) stays
constexpr int kImpossible = std::numeric_limits<int>::max() / 2;

// A measured hand carries the table of a named one, all but what its width changes.
std::string_view table_of(const HandSize& size) {
  for (const std::string_view name : {"small", "medium", "large"}) {
    const Span& own = size.span(Finger(1), Finger(2));
    const HandSize named = *HandSize::named(name);
    const Span& published = named.span(Finger(1), Finger(2));
    if (own.min_practical == published.min_practical) return name;
  }
  return "medium";
}

Semitones semitones_within(SpanUnits units) { return Semitones(units.value() * 12 / 14); }

// ---- the rules, for the right hand

// A stroke of the line.
struct Stroke {
  int key = 0;
  int finger = 1;
  bool is_black() const { return PianoKey(key).is_black(); }
};

// How far a pair of fingers is spread, upwards from the lower-numbered one, with what it may be.
struct Spread {
  int semitones = 0;
  LineSpan span;  // all 0 for one finger
  bool has_thumb = false;

  int beyond(Semitones least, Semitones most) const {
    return std::max({0, least.value() - semitones, semitones - most.value()});
  }
};

Spread spread(const Stroke& a, const Stroke& b, const LineSpans& spans) {
  if (a.finger == b.finger) return {b.key - a.key, {}, a.finger == 1};
  if (a.finger > b.finger) return spread(b, a, spans);
  return {b.key - a.key, spans.span(Finger(a.finger), Finger(b.finger)), a.finger == 1};
}

bool is_legal_pair(const Stroke& a, const Stroke& b, const LineSpans& spans) {
  if ((a.key == b.key) != (a.finger == b.finger)) return false;
  const Spread s = spread(a, b, spans);
  return s.beyond(s.span.min_practical, s.span.max_practical) == 0;
}

int& at(LineScore& score, LineRule rule) { return score.points[static_cast<std::size_t>(rule)]; }

void add_stroke(const Stroke& stroke, LineScore& score) {
  if (stroke.finger >= 4) at(score, LineRule::weak_finger) += 1;
  if (stroke.finger == 1 && stroke.is_black()) at(score, LineRule::thumb_on_black) += 1;
}

// A black key beside a white one, the rest of rules 10 and 11.
void add_black(const Stroke& stroke, const Stroke& neighbour, LineScore& score) {
  if (!stroke.is_black() || neighbour.is_black()) return;
  if (stroke.finger == 1) at(score, LineRule::thumb_on_black) += 2;
  if (stroke.finger == 5) at(score, LineRule::five_on_black) += 2;
}

void add_thumb_passing(const Stroke& thumb, const Stroke& other, LineScore& score) {
  if (thumb.finger != 1 || other.finger == 1 || thumb.key <= other.key) return;
  if (thumb.is_black() == other.is_black()) at(score, LineRule::thumb_passing) += 1;
  if (thumb.is_black() && !other.is_black()) at(score, LineRule::thumb_passing) += 3;
}

void add_pair(const Stroke& a, const Stroke& b, const LineSpans& spans, LineScore& score) {
  add_black(a, b, score);
  add_black(b, a, score);
  if (a.finger == b.finger) return;
  const Spread s = spread(a, b, spans);
  const int weight = s.has_thumb ? 1 : 2;
  at(score, LineRule::stretch) += 2 * s.beyond(s.span.min_comfortable, s.span.max_comfortable);
  at(score, LineRule::small_span) += weight * std::max(0, s.span.min_relaxed.value() - s.semitones);
  at(score, LineRule::large_span) += weight * std::max(0, s.semitones - s.span.max_relaxed.value());
  if (a.finger == 3 && b.finger == 4) at(score, LineRule::three_to_four) += 1;
  const Stroke& third = a.finger == 3 ? a : b;
  const Stroke& fourth = a.finger == 3 ? b : a;
  if (third.finger == 3 && fourth.finger == 4 && !third.is_black() && fourth.is_black())
    at(score, LineRule::four_on_black) += 1;
  add_thumb_passing(a, b, score);
  add_thumb_passing(b, a, score);
}

void add_position_change(const Stroke& a, const Stroke& b, const Stroke& c, const LineSpans& spans,
                         LineScore& score) {
  if (a.key == c.key) {
    if (a.finger != c.finger) at(score, LineRule::position_change_count) += 1;
    return;
  }
  const Spread s = spread(a, c, spans);
  const int size = s.beyond(s.span.min_comfortable, s.span.max_comfortable);
  if (size == 0) return;
  const bool is_between = std::min(a.key, c.key) < b.key && b.key < std::max(a.key, c.key);
  const bool is_full =
      b.finger == 1 && is_between && s.beyond(s.span.min_practical, s.span.max_practical) > 0;
  at(score, LineRule::position_change_count) += is_full ? 2 : 1;
  at(score, LineRule::position_change_size) += size;
}

void add_triple(const Stroke& a, const Stroke& b, const Stroke& c, const LineSpans& spans,
                LineScore& score) {
  add_position_change(a, b, c, spans, score);
  std::array<int, 3> fingers{a.finger, b.finger, c.finger};
  std::sort(fingers.begin(), fingers.end());
  if (fingers == std::array<int, 3>{3, 4, 5}) at(score, LineRule::three_four_five) += 1;
}

int right_hand_key(PianoKey key, Hand hand) {
  return hand == Hand::right ? key.number() : kMirror - key.number();
}

std::vector<Stroke> strokes(const std::vector<PianoKey>& keys, const std::vector<Finger>& fingers,
                            Hand hand) {
  assert(keys.size() == fingers.size());
  std::vector<Stroke> out;
  for (std::size_t i = 0; i < keys.size(); ++i)
    out.push_back({right_hand_key(keys[i], hand), fingers[i].number()});
  return out;
}

// ---- the easiest line

// Least points to go from the last two strokes of a beginning, by their fingers; one note earlier in each step back.
class LineSearch {
 public:
  LineSearch(const std::vector<PianoKey>& keys, Hand hand, const LineSpans& spans,
             std::optional<Finger> last)
      : spans_(spans), last_(last) {
    for (const PianoKey key : keys) keys_.push_back(right_hand_key(key, hand));
  }

  std::optional<LineFingering> run() {
    if (keys_.empty()) return LineFingering{};
    if (keys_.size() == 1) return single();
    find_points_to_go();
    return trace();
  }

 private:
  // Points by finger and next finger, each 1–5.
  using Pairs = std::array<std::array<int, 6>, 6>;

  Stroke stroke(std::size_t note, int finger) const { return {keys_[note], finger}; }

  // What a stroke and its pair with the stroke before add.
  int pair_points(std::size_t second, int before, int finger) const {
    if (last_ && second + 1 == keys_.size() && finger != last_->number()) return kImpossible;
    const Stroke a = stroke(second - 1, before);
    const Stroke b = stroke(second, finger);
    if (!is_legal_pair(a, b, spans_)) return kImpossible;
    LineScore score;
    add_stroke(b, score);
    add_pair(a, b, spans_, score);
    return score.total();
  }

  int first_points(int finger) const {
    LineScore score;
    add_stroke(stroke(0, finger), score);
    return score.total();
  }

  int next_points(std::size_t second, int a, int b, int c) const {
    const int pair = pair_points(second + 1, b, c);
    if (pair >= kImpossible) return kImpossible;
    LineScore score;
    add_triple(stroke(second - 1, a), stroke(second, b), stroke(second + 1, c), spans_, score);
    return pair + score.total();
  }

  // From the pair ending at note `second`, playing `c` next.
  int through(std::size_t second, int a, int b, int c) const {
    const int to_go = to_go_[second + 1][static_cast<std::size_t>(b)][static_cast<std::size_t>(c)];
    if (to_go >= kImpossible) return kImpossible;
    return std::min(kImpossible, next_points(second, a, b, c) + to_go);
  }

  void find_points_to_go() {
    to_go_.assign(keys_.size(), {});
    for (std::size_t second = keys_.size() - 1; second-- > 1;) {
      for (int a = 1; a <= 5; ++a) {
        for (int b = 1; b <= 5; ++b) {
          int best = kImpossible;
          for (int c = 1; c <= 5; ++c) best = std::min(best, through(second, a, b, c));
          to_go_[second][static_cast<std::size_t>(a)][static_cast<std::size_t>(b)] = best;
        }
      }
    }
  }

  std::optional<LineFingering> single() const {
    std::optional<LineFingering> best;
    for (int finger = 1; finger <= 5; ++finger) {
      if (last_ && finger != last_->number()) continue;
      const int points = first_points(finger);
      if (!best || points < best->points) best = LineFingering{{Finger(finger)}, points};
    }
    return best;
  }

  std::optional<LineFingering> trace() const {
    int least = kImpossible;
    int a = 1;
    int b = 1;
    for (int first = 1; first <= 5; ++first) {
      for (int second = 1; second <= 5; ++second) {
        const int points = opening(first, second);
        if (points >= least) continue;
        least = points;
        a = first;
        b = second;
      }
    }
    if (least >= kImpossible) return std::nullopt;
    LineFingering line{{Finger(a), Finger(b)}, least};
    for (std::size_t second = 1; second + 1 < keys_.size(); ++second) {
      const int next = best_next(second, a, b);
      line.fingers.emplace_back(next);
      a = b;
      b = next;
    }
    return line;
  }

  int opening(int first, int second) const {
    const int pair = pair_points(1, first, second);
    const int to_go = to_go_[1][static_cast<std::size_t>(first)][static_cast<std::size_t>(second)];
    if (pair >= kImpossible || to_go >= kImpossible) return kImpossible;
    return first_points(first) + pair + to_go;
  }

  int best_next(std::size_t second, int a, int b) const {
    int best = 1;
    int least = kImpossible;
    for (int c = 1; c <= 5; ++c) {
      const int points = through(second, a, b, c);
      if (points >= least) continue;
      least = points;
      best = c;
    }
    return best;
  }

  const LineSpans& spans_;
  std::optional<Finger> last_;
  std::vector<int> keys_;
  std::vector<Pairs> to_go_;  // by the second note of the pair; zero at the last
};

}  // namespace

LineSpans LineSpans::of(const HandSize& size) {
  LineSpans out;
  const std::string_view table = table_of(size);
  out.spans_ = read_spans<LineSpan, Semitones>(data::line_spans_tsv, table);
  if (HandSize::named(size.name())) return out;
  const Span& widest = size.span(kThumb, kLittleFinger);
  const Semitones practical = semitones_within(widest.max_practical);
  const Semitones comfortable = semitones_within(widest.max_comfortable);
  for (LineSpan& span : out.spans_) {
    span.max_practical = std::min(span.max_practical, practical);
    span.max_comfortable = std::min(span.max_comfortable, comfortable);
    span.max_relaxed = std::min(span.max_relaxed, span.max_comfortable);
    span.min_relaxed = std::min(span.min_relaxed, span.max_relaxed);
  }
  return out;
}

const LineSpan& LineSpans::span(Finger low_numbered, Finger high_numbered) const& {
  assert(low_numbered < high_numbered);
  return spans_[pair_index(low_numbered.number(), high_numbered.number())];
}

int LineScore::total() const { return std::accumulate(points.begin(), points.end(), 0); }

bool is_legal_line(const std::vector<PianoKey>& keys, const std::vector<Finger>& fingers, Hand hand,
                   const LineSpans& spans, LineEnd end) {
  const std::vector<Stroke> line = strokes(keys, fingers, hand);
  for (std::size_t i = 1; i < line.size(); ++i) {
    if (!is_legal_pair(line[i - 1], line[i], spans)) return false;
  }
  return end == LineEnd::open || line.empty() || is_legal_pair(line.back(), line.front(), spans);
}

LineScore score_line(const std::vector<PianoKey>& keys, const std::vector<Finger>& fingers,
                     Hand hand, const LineSpans& spans, LineEnd end) {
  const std::vector<Stroke> line = strokes(keys, fingers, hand);
  const std::size_t n = line.size();
  const bool repeats = end == LineEnd::repeating;
  LineScore score;
  for (const Stroke& stroke : line) add_stroke(stroke, score);
  for (std::size_t i = 0; i + 1 < n + (repeats ? 1 : 0); ++i)
    add_pair(line[i], line[(i + 1) % n], spans, score);
  for (std::size_t i = 0; i + 2 < n + (repeats ? 2 : 0); ++i)
    add_triple(line[i], line[(i + 1) % n], line[(i + 2) % n], spans, score);
  return score;
}

std::optional<LineFingering> easiest_line(const std::vector<PianoKey>& keys, Hand hand,
                                          const LineSpans& spans, std::optional<Finger> last) {
  return LineSearch(keys, hand, spans, last).run();
}

std::size_t playable_length(const std::vector<PianoKey>& keys, Hand hand, const LineSpans& spans) {
  std::array<bool, 6> can_be{false, true, true,
                             true,  true, true};  // by the finger of the note before
  for (std::size_t i = 1; i < keys.size(); ++i) {
    std::array<bool, 6> next{};
    for (int a = 1; a <= 5; ++a) {
      for (int b = 1; b <= 5; ++b) {
        const bool is_legal = is_legal_pair({right_hand_key(keys[i - 1], hand), a},
                                            {right_hand_key(keys[i], hand), b}, spans);
        if (can_be[static_cast<std::size_t>(a)] && is_legal)
          next[static_cast<std::size_t>(b)] = true;
      }
    }
    if (std::find(next.begin(), next.end(), true) == next.end()) return i;
    can_be = next;
  }
  return keys.size();
}

}  // namespace stillhand::hand
