// Compressed MusicXML (.mxl): a zip archive whose META-INF/container.xml names the score.
#include <fmt/format.h>
#include <zip.h>

#include <memory>
#include <optional>
#include <pugixml.hpp>
#include <string>

#include "imports/imports.h"

namespace stillhand::imports {
namespace {

constexpr zip_int64_t kMostEntries = 1000;
constexpr zip_uint64_t kLargestInside = zip_uint64_t{64} << 20;  // bytes, inflated

struct CloseArchive {
  void operator()(zip_t* archive) const { zip_discard(archive); }
};
struct CloseEntry {
  void operator()(zip_file_t* entry) const { zip_fclose(entry); }
};

tl::unexpected<Diagnostics> broken(const std::string& file, std::string what) {
  return failure(Fault::chart, file, std::move(what), "export the score again");
}

// What the directory says about sizes is not believed: reading stops at the limit.
Result<std::string> read_entry(zip_t* archive, const std::string& name, const std::string& file) {
  const std::unique_ptr<zip_file_t, CloseEntry> entry(zip_fopen(archive, name.c_str(), 0));
  if (!entry) return broken(file, fmt::format("the archive holds no {}", name));
  std::string out;
  char buffer[1 << 14];
  for (;;) {
    const zip_int64_t got = zip_fread(entry.get(), buffer, sizeof buffer);
    if (got < 0) return broken(file, fmt::format("{} in the archive is damaged", name));
    if (got == 0) return out;
    out.append(buffer, static_cast<std::size_t>(got));
    if (out.size() > kLargestInside)
      return broken(file, fmt::format("{} in the archive is larger than 64 MB", name));
  }
}

}  // namespace

Result<std::string> import_compressed_musicxml(std::string_view bytes, const std::string& file) {
  zip_error_t error;
  zip_error_init(&error);
  zip_source_t* source = zip_source_buffer_create(bytes.data(), bytes.size(), 0, &error);
  const std::unique_ptr<zip_t, CloseArchive> archive(
      source == nullptr ? nullptr
                        : zip_open_from_source(source, ZIP_RDONLY | ZIP_CHECKCONS, &error));
  if (!archive) {
    if (source != nullptr) zip_source_free(source);
    zip_error_fini(&error);
    return broken(file, "the archive is damaged");
  }
  zip_error_fini(&error);
  if (zip_get_num_entries(archive.get(), 0) > kMostEntries)
    return broken(file, "the archive has more than 1,000 entries");
  const Result<std::string> container = read_entry(archive.get(), "META-INF/container.xml", file);
  if (!container) return tl::unexpected(container.error());
  pugi::xml_document document;
  if (!document.load_buffer(container->data(), container->size()))
    return broken(file, "META-INF/container.xml in the archive is no well-formed XML");
  const std::string score = document.child("container")
                                .child("rootfiles")
                                .child("rootfile")
                                .attribute("full-path")
                                .as_string();
  if (score.empty()) return broken(file, "the archive does not say which score it holds");
  const Result<std::string> xml = read_entry(archive.get(), score, file);
  if (!xml) return tl::unexpected(xml.error());
  return import_musicxml(*xml, file);
}

}  // namespace stillhand::imports
