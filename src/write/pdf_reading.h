// For the tests of this room: the structure of a PDF as another program finds it. C++17, as pdf_tags.h.
#pragma once

#include <string>
#include <vector>

namespace stillhand::write::test {

struct PdfElement {
  std::string kind;  // "/P"
  std::string says;  // its alternative text
  bool has_box = false;
  std::vector<int> content;
};

struct TaggedPdf {
  bool is_marked = false, shows_title = false;
  std::string language, metadata;
  std::vector<PdfElement> elements;  // the whole tree, parents before children
  // What is drawn but neither content nor artifact, tags that are not nested, content without an element or the other way
  // round, elements that do not know their parent or page.
  std::vector<std::string> faults;
};

TaggedPdf read_tags(const std::string& pdf);

}  // namespace stillhand::write::test
