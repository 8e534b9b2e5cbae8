// What a PDF needs for those who have it read aloud, and what the drawing library (cairo 1.16) leaves out: that the document
// is tagged and in which language, its title in the window, what each picture says, and which marks say nothing.
//
//   std::string pdf = tagged(drawn, {.title = "Lamps Along the Quay", .pictures = {{"G: right hand, G thumb, B 3, D 5", 0, place}}});
//
// The drawn document has a structure of H1, H2, P and Figure; what stands under kUnsaid there becomes an artifact: rules,
// feet of pages. Pictures are told in the order of their Figures. The same input gives the same bytes with the same version
// of qpdf: the identifier is made from the content, and there are no dates.
//
// Source: ISO 32000-1:2008, 14.7 (structure), 14.8.2.2 (artifacts), 14.8.4.5 (figures), 14.9.2 (language), 14.9.3 (alternate
// descriptions); ISO 14289-1 asks for the same. There is no free validator of the latter in Debian, so no claim to it is made.
//
// Read and compiled as C++17: clang 14 with the library of GCC 12 cannot read qpdf's headers as C++20.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace stillhand::write {

// The structure tag under which marks are drawn that are no content.
inline constexpr const char* kUnsaid = "NonStruct";

// In points from the left top corner of the page.
struct PlaceOnPage {
  double left = 0, top = 0, right = 0, bottom = 0;
};

struct SaidPicture {
  std::string says;
  std::size_t page = 0;  // from 0
  PlaceOnPage place;
};

struct PdfTags {
  std::string title;
  std::string author;
  std::vector<SaidPicture> pictures;  // one for each Figure
};

// Precondition: `drawn` is a whole PDF with one structure tree. Throws std::exception where it cannot be read or written;
// draw_pdf() makes a Result of it.
std::string tagged(const std::string& drawn, const PdfTags& tags);

}  // namespace stillhand::write
