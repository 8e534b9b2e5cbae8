#include "imports/imports.h"

namespace stillhand::imports {

Kind kind_of(std::string_view bytes) {
  if (bytes.starts_with("MThd")) return Kind::midi;
  if (bytes.starts_with("PK\x03\x04")) return Kind::compressed_musicxml;
  std::string_view text = bytes;
  if (text.starts_with("\xEF\xBB\xBF")) text.remove_prefix(3);
  const std::size_t first = text.find_first_not_of(" \t\r\n");
  // UTF-16 files of notation programs begin with a byte order mark.
  const bool is_utf16 = bytes.starts_with("\xFF\xFE") || bytes.starts_with("\xFE\xFF");
  if (is_utf16 || (first != std::string_view::npos && text[first] == '<')) return Kind::musicxml;
  return Kind::chord_lines;
}

Result<std::string> import_file(std::string_view bytes, const std::string& file) {
  if (bytes.size() > kLargestFile) {
    return failure(Fault::chart, file, "the file is larger than 16 MB", "is it a song?");
  }
  switch (kind_of(bytes)) {
    case Kind::chord_lines:
      return import_chord_lines(bytes, file);
    case Kind::musicxml:
      return import_musicxml(bytes, file);
    case Kind::compressed_musicxml:
      return import_compressed_musicxml(bytes, file);
    case Kind::midi:
      return import_midi(bytes, file);
  }
  return failure(Fault::chart, file, "not a file that can be read");
}

}  // namespace stillhand::imports
