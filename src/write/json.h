// lesson.json: the whole lesson for other programs.
//
//   std::string text = write::lesson_json(lesson);    // 2 spaces indent, ends in a newline
//
// Every field with its unit and range: docs/lesson.schema.json (JSON Schema 2020-12). Keys keep one
// order, so the same lesson gives the same bytes. Notes are written "F#3" (C4 = middle C = MIDI
// 60); times are ticks, 960 to the quarter note; tempo is counts a minute. Text that is no valid
// UTF-8 has its bad bytes replaced by U+FFFD.
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>

#include "teach/lesson.h"

namespace stillhand::write {

std::string lesson_json(const teach::Lesson& lesson);

// The same as a value, all but `performance`: what is read, without what is heard.
nlohmann::ordered_json read_part_json(const teach::Lesson& lesson);

}  // namespace stillhand::write
