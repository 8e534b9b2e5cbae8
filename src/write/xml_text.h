// Text for XML 1.0 files: the SVG of a sheet, the metadata of a PDF, MusicXML.
//
//   xml_text("a\nb") == "a b"            // for a writer that escapes by itself
//   xml_escaped("<Lamps> & \"more\"") == "&lt;Lamps&gt; &amp; &quot;more&quot;"
//
// What the standard does not allow (2.2, Characters) becomes U+FFFD.
#pragma once

#include <string>
#include <string_view>

namespace stillhand::write {

// Valid, on one line.
std::string xml_text(std::string_view text);

// The same as content or as an attribute.
std::string xml_escaped(std::string_view text);

}  // namespace stillhand::write
