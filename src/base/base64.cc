#include "base/base64.h"

#include <algorithm>
#include <cstdint>

namespace stillhand {
namespace {

std::optional<std::uint32_t> value_of(char c) {
  if (c >= 'A' && c <= 'Z') return c - 'A';
  if (c >= 'a' && c <= 'z') return c - 'a' + 26;
  if (c >= '0' && c <= '9') return c - '0' + 52;
  if (c == '+') return 62;
  if (c == '/') return 63;
  return std::nullopt;
}

constexpr std::string_view kDigits =
    "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";

}  // namespace

std::string to_base64(std::string_view bytes) {
  std::string out;
  out.reserve((bytes.size() + 2) / 3 * 4);
  for (std::size_t i = 0; i < bytes.size(); i += 3) {
    const std::size_t given = std::min<std::size_t>(3, bytes.size() - i);
    std::uint32_t bits = 0;
    for (std::size_t j = 0; j < 3; ++j)
      bits = bits << 8U | (j < given ? static_cast<unsigned char>(bytes[i + j]) : 0U);
    for (std::size_t j = 0; j < 4; ++j)
      out += j <= given ? kDigits[bits >> (18 - 6 * j) & 0x3FU] : '=';
  }
  return out;
}

std::optional<std::string> from_base64(std::string_view text) {
  if (text.size() % 4 != 0) return std::nullopt;
  std::size_t padding = 0;
  while (padding < 2 && padding < text.size() && text[text.size() - 1 - padding] == '=') ++padding;
  std::string out;
  out.reserve(text.size() / 4 * 3);
  for (std::size_t i = 0; i < text.size(); i += 4) {
    const std::size_t missing = i + 4 == text.size() ? padding : 0;
    std::uint32_t bits = 0;
    for (std::size_t j = 0; j < 4; ++j) {
      const auto value = j < 4 - missing ? value_of(text[i + j]) : 0U;
      if (!value) return std::nullopt;
      bits = bits << 6U | *value;
    }
    // What the padding leaves over is zero, so that one content has one text.
    if ((missing == 1 && (bits & 0xC0U) != 0) || (missing == 2 && (bits & 0xF000U) != 0))
      return std::nullopt;
    for (std::size_t j = 0; j < 3 - missing; ++j)
      out += static_cast<char>(bits >> (16 - 8 * j) & 0xFFU);
  }
  return out;
}

}  // namespace stillhand
