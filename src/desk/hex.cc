#include "desk/hex.h"

namespace stillhand::desk {

std::string in_hex(std::span<const unsigned char> bytes) {
  constexpr const char* kFigures = "0123456789abcdef";
  std::string out;
  for (const unsigned char byte : bytes) {
    out += kFigures[byte >> 4U];
    out += kFigures[byte & 15U];
  }
  return out;
}

}  // namespace stillhand::desk
