// What `stillhand arrange` prints: for people, and for machines.
#pragma once

#include <string>
#include <vector>

#include "arrange/arrange.h"
#include "teach/lesson.h"

namespace stillhand::cli {

// The prices of one chord's shapes, on request.
struct PriceList {
  music::Chord chord;
  std::vector<arrange::Price> prices;
};

// `prices` may be nullptr in both.
std::string arrange_text(const teach::Lesson& lesson, const PriceList* prices);

// One object and a newline; docs/arrange-json.md names every field.
std::string arrange_json(const arrange::Arrangement& arrangement, const teach::Lesson& lesson,
                         const PriceList* prices);

// "G to D (2.25 bits in 1.9 s)"
std::string hardest_move_text(const teach::Lesson& lesson, const teach::Move& move);

}  // namespace stillhand::cli
