#include "write/xml_text.h"

#include "write/sheet_text.h"

namespace stillhand::write {

std::string xml_text(std::string_view text) {
  std::string out = one_line(text);  // leaves two characters that XML refuses
  for (const std::string_view refused : {"\uFFFE", "\uFFFF"}) {
    for (auto at = out.find(refused); at != std::string::npos; at = out.find(refused)) {
      out.replace(at, refused.size(), "\uFFFD");
    }
  }
  return out;
}

std::string xml_escaped(std::string_view text) {
  std::string out;
  for (const char c : xml_text(text)) {
    switch (c) {
      case '&':
        out += "&amp;";
        break;
      case '<':
        out += "&lt;";
        break;
      case '>':
        out += "&gt;";
        break;
      case '"':
        out += "&quot;";
        break;
      default:
        out += c;
    }
  }
  return out;
}

}  // namespace stillhand::write
