// The teacher's folder: charts, their earlier versions, what was chosen for each. Nothing that was acknowledged is lost.
//
//   auto folder = ChartFolder::open("songs");
//   Saved saved = *(*folder)->save("Quay", text, {.base = revision});     // on the disk before it returns
//
// FOLDER/NAME.stillhand            the chart
// FOLDER/earlier/NAME/000123.stillhand   what a save replaced, numbered upwards. Written and synced before the chart itself,
//                                  so that a program killed at any moment loses neither. All of the last 100 are kept,
//                                  of the last 1,000 every 10th, of older ones every 100th (our judgement).
// FOLDER/choices.json              manner, hand, pattern … of each chart (web/desk/api.ts, Choices)
//
// Names are plain: no slash, no dot in front, no control characters, valid UTF-8, 1–120 bytes. Links are not followed. All functions may be
// called by several threads at once, and by several programs: who changes something holds a lock on the folder meanwhile
// (flock; where a file system has none, a second desk there is not kept out). Errors are Fault::file with the system's reason; a chart that is not there is nullopt.
#pragma once

#include <cstdint>
#include <filesystem>
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "base/result.h"
#include "desk/answer.h"

namespace stillhand::desk {

// Equal bytes, equal revision: SHA-256 (FIPS 180-4) in hexadecimal.
std::string revision_of(std::string_view bytes);

inline constexpr std::size_t kLargestChoices =
    1 << 14;                                      // bytes of JSON, of one chart (our judgement)
inline constexpr std::size_t kLongestName = 120;  // bytes (our judgement: file systems allow 255)
bool is_plain_name(std::string_view name);

struct ChartFile {
  std::string text;
  std::string revision;
};

struct ListedChart {
  std::string name;
  std::string title;  // "" where the chart has none
};

struct Version {
  std::string id;     // "000123"
  std::string saved;  // local time, "2026-03-01T18:20:05"
  std::uintmax_t bytes = 0;
};

// What came of a wish to save. `there` is what stands on the disk when another revision does; nothing was written then.
struct Saved {
  std::string revision;
};
struct Overtaken {
  std::optional<ChartFile> there;  // nullopt: the file has gone
};

class ChartFolder : public Shelf {
 public:
  // Fails where it is no folder that can be read and written.
  static Result<std::unique_ptr<ChartFolder>> open(const std::filesystem::path& folder);

  const std::filesystem::path& path() const { return path_; }
  // Fails where the folder has gone or cannot be read.
  Result<std::vector<ListedChart>> charts() const;
  std::vector<std::string> students() const;
  std::vector<std::string> manners() const;

  Result<std::optional<ChartFile>> read(const std::string& name) const;
  // `base`: the revision that the text was made from; nullopt: no chart of this name may be there.
  Result<std::variant<Saved, Overtaken>> save(const std::string& name, const std::string& text,
                                              const std::optional<std::string>& base);
  // False where another chart has that name, or this one is not there.
  Result<bool> move(const std::string& from, const std::string& to);
  Result<bool> remove(const std::string& name);

  Result<std::vector<Version>> versions(const std::string& name) const;  // the newest first
  Result<std::optional<std::string>> version(const std::string& name, const std::string& id) const;

  Json choices(const std::string& name) const;  // {} where nothing was chosen
  Result<void> choose(const std::string& name, const Json& choices);

  Result<std::string> student(const std::string& name) const override;
  Result<std::string> manner(const std::string& name) const override;

  // What other programs have done since the last call: charts whose bytes are no longer those this object wrote or last saw.
  struct Changes {
    std::map<std::string, std::optional<std::string>> charts;  // name, revision; nullopt: gone
    bool list = false;  // charts, students or manners have come or gone
  };
  // While the folder cannot be read nothing has changed: a disk that is away for a moment takes no chart with it.
  Changes look();

 private:
  explicit ChartFolder(std::filesystem::path path) : path_(std::move(path)) {}
  std::filesystem::path file(const std::string& name) const;
  Result<void> keep(const std::string& name, std::string_view text);
  void thin(const std::filesystem::path& folder) const;
  Result<Json> all_choices() const;

  struct Seen {
    std::int64_t time = 0;  // last written, in nanoseconds
    std::int64_t bytes = 0;
    std::string revision;
  };
  std::filesystem::path path_;
  mutable std::mutex busy_;
  std::map<std::string, Seen> seen_;
  std::vector<std::string> others_;  // students and manners
  bool has_looked_ = false;
};

}  // namespace stillhand::desk
