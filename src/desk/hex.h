// Bytes as text.
//
//   in_hex(bytes) == "00ff"        two figures each, small letters
#pragma once

#include <span>
#include <string>

namespace stillhand::desk {

std::string in_hex(std::span<const unsigned char> bytes);

}  // namespace stillhand::desk
