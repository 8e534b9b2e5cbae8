// Base64 (RFC 4648, section 4): with padding, without line breaks.
//
//   to_base64("Still") == "U3RpbGw="
//   from_base64("U3RpbGw=") == "Still"        from_base64("U3RpbGw") == nullopt
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace stillhand {

std::string to_base64(std::string_view bytes);
std::optional<std::string> from_base64(std::string_view text);

}  // namespace stillhand
