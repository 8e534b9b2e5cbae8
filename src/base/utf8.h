// UTF-8 (RFC 3629): no overlong forms, no surrogates, nothing above U+10FFFF.
//
//   code_point("éa")->size == 2           code_point("\xFF") == nullopt
//   repaired("a\xFF") == "a\uFFFD"        characters("né") == 2
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

namespace stillhand {

struct CodePoint {
  char32_t value = 0;
  std::size_t size = 1;  // bytes
};

// At the front of `text`, which is not empty; nullopt where the bytes are not UTF-8.
std::optional<CodePoint> code_point(std::string_view text);

// Code points in valid UTF-8.
std::size_t characters(std::string_view utf8);

bool is_utf8(std::string_view text);
// Each bad byte replaced by U+FFFD.
std::string repaired(std::string_view text);
// The bytes read as ISO 8859-1, as older text files are.
std::string from_latin_1(std::string_view bytes);

}  // namespace stillhand
