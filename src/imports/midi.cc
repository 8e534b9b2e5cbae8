#include "imports/imports.h"

namespace stillhand::imports {
Result<std::string> import_midi(std::string_view, const std::string& file) {
  return failure(Fault::chart, file, "MIDI files are not read");
}
}  // namespace stillhand::imports
