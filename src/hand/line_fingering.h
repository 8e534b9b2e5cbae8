// Which fingers play a line of single notes: the published model of melodic fingering.
//
//   LineSpans spans = LineSpans::of(HandSize::medium());
//   auto line = easiest_line({C3, D3, E3, F3}, Hand::left, spans);   // fingers 4 3 2 1 or the like, and their points
//
// A fingering is scored by twelve rules over the finger pairs and triples of neighbouring notes; the points add up, and
// less is easier. A fingering is legal when every two neighbouring notes lie within the practical span of their fingers;
// a key struck again keeps its finger.
//
// Source: R. Parncutt, J. A. Sloboda, E. F. Clarke, M. Raekallio & P. Desain, "An ergonomic model of keyboard fingering
// for melodic fragments", Music Perception 14(4), 1997, 341-382, written for the right hand; the left is its mirror
// image (about D the keyboard mirrors itself). Spans: data/line_spans.tsv.
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <vector>

#include "hand/finger.h"
#include "hand/size.h"
#include "music/pitch.h"

namespace stillhand::hand {

// Semitones from the lower-numbered finger up to the higher-numbered one, right hand.
struct LineSpan {
  Semitones min_practical, min_comfortable, min_relaxed, max_relaxed, max_comfortable,
      max_practical;
};

class LineSpans {
 public:
  // The table nearest to the hand. A hand measured in millimetres reaches no farther than it can spread.
  static LineSpans of(const HandSize& size);
  const LineSpan& span(Finger low_numbered, Finger high_numbered) const&;
  const LineSpan& span(Finger, Finger) const&& = delete;  // it would dangle

 private:
  std::array<LineSpan, 10> spans_{};
};

// In the order of the paper.
enum class LineRule {
  stretch,
  small_span,
  large_span,
  position_change_count,
  position_change_size,
  weak_finger,
  three_four_five,
  three_to_four,
  four_on_black,
  thumb_on_black,
  five_on_black,
  thumb_passing,
};
inline constexpr std::size_t kLineRules = 12;

struct LineScore {
  std::array<int, kLineRules> points{};  // by rule
  int total() const;
  friend bool operator==(const LineScore&, const LineScore&) = default;
};

// Whether the line ends, or begins again with its first note.
enum class LineEnd { open, repeating };

// Precondition of both: one finger per key.
bool is_legal_line(const std::vector<PianoKey>& keys, const std::vector<Finger>& fingers, Hand hand,
                   const LineSpans& spans, LineEnd end = LineEnd::open);
LineScore score_line(const std::vector<PianoKey>& keys, const std::vector<Finger>& fingers,
                     Hand hand, const LineSpans& spans, LineEnd end = LineEnd::open);

struct LineFingering {
  std::vector<Finger> fingers;  // one per key
  int points = 0;               // no legal fingering has fewer
};

// The easiest legal fingering of an open line, exactly (dynamic programming over pairs of fingers); with `last` the
// easiest that ends on that finger. Among equals the one whose finger is nearer to the thumb at the first note where two
// differ. nullopt when no fingering is legal: a leap is wider than the hand, or leaves no finger to go on with.
std::optional<LineFingering> easiest_line(const std::vector<PianoKey>& keys, Hand hand,
                                          const LineSpans& spans,
                                          std::optional<Finger> last = std::nullopt);

// How many notes of the line, from its beginning, have a legal fingering together; all of them where easiest_line()
// finds one.
std::size_t playable_length(const std::vector<PianoKey>& keys, Hand hand, const LineSpans& spans);

}  // namespace stillhand::hand
