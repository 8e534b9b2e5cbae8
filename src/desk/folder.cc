#include "desk/folder.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <openssl/evp.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <chrono>
#include <ctime>
#include <nlohmann/json.hpp>
#include <thread>
#include <utility>

#include "base/files.h"
#include "base/utf8.h"
#include "chart/chart.h"
#include "desk/body.h"
#include "desk/hex.h"

namespace stillhand::desk {
namespace {

namespace fs = std::filesystem;

constexpr std::string_view kChartEnding = ".stillhand";
constexpr std::size_t kLargestOther = 1 << 16;       // bytes of a student's or a manner's file
constexpr std::size_t kLargestAllChoices = 1 << 24;  // bytes (our judgement)
constexpr std::size_t kMostFiles = 20000;  // of a kind, listed; the first by name (our judgement)
constexpr auto kLongestWait = std::chrono::seconds(5);  // for another desk (our judgement)

// A plain file of this name: no link, no folder, no pipe.
bool is_plain_file(const fs::path& path) {
  struct stat found {};
  return ::lstat(path.c_str(), &found) == 0 && S_ISREG(found.st_mode);
}

// Nothing is there, not even a link that leads nowhere.
bool is_free(const fs::path& path) {
  struct stat found {};
  return ::lstat(path.c_str(), &found) != 0 && errno == ENOENT;
}

// One program at a time changes the folder.
class FolderLock {
 public:
  static Result<FolderLock> take(const fs::path& folder) {
    FolderLock lock(::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
    if (lock.fd_ < 0) return system_failure("open the folder", folder, errno);
    const auto end = std::chrono::steady_clock::now() + kLongestWait;
    while (::flock(lock.fd_, LOCK_EX | LOCK_NB) != 0) {
      if (errno != EWOULDBLOCK && errno != EINTR) break;  // there are no locks here
      if (std::chrono::steady_clock::now() > end) {
        return failure(Fault::file, folder.string(), "another program keeps this folder locked",
                       "end the other desk of this folder, and try again");
      }
      std::this_thread::sleep_for(std::chrono::milliseconds(2));
    }
    return lock;
  }
  FolderLock(FolderLock&& other) noexcept : fd_(std::exchange(other.fd_, -1)) {}
  FolderLock& operator=(FolderLock&&) = delete;
  FolderLock(const FolderLock&) = delete;
  FolderLock& operator=(const FolderLock&) = delete;
  ~FolderLock() {
    if (fd_ >= 0) ::close(fd_);
  }

 private:
  explicit FolderLock(int fd) : fd_(fd) {}
  int fd_;
};

struct ListedFile {
  std::string name;
  std::int64_t time = 0;
  std::int64_t bytes = 0;
};
struct Listing {
  std::vector<ListedFile> charts, students, manners;
};

std::optional<ListedFile> listed(const fs::path& path) {
  struct stat found {};
  if (::lstat(path.c_str(), &found) != 0 || !S_ISREG(found.st_mode)) return std::nullopt;
  return ListedFile{path.stem().string(),
                    std::int64_t{found.st_mtim.tv_sec} * 1'000'000'000 + found.st_mtim.tv_nsec,
                    found.st_size};
}

// The plain files of plain names, by name.
Result<Listing> listing(const fs::path& folder) {
  Listing out;
  std::error_code error;
  for (fs::directory_iterator it(folder, error), end; !error && it != end; it.increment(error)) {
    const fs::path& path = it->path();
    const fs::path ending = path.extension();
    std::vector<ListedFile>* kind = ending == kChartEnding ? &out.charts
                                    : ending == ".student" ? &out.students
                                    : ending == ".manner"  ? &out.manners
                                                           : nullptr;
    if (kind == nullptr || !is_plain_name(path.stem().string())) continue;
    if (auto file = listed(path)) kind->push_back(std::move(*file));
  }
  if (error) return system_failure("read the folder", folder, error.value());
  for (auto* kind : {&out.charts, &out.students, &out.manners}) {
    std::sort(kind->begin(), kind->end(),
              [](const ListedFile& a, const ListedFile& b) { return a.name < b.name; });
    if (kind->size() > kMostFiles) kind->resize(kMostFiles);
  }
  return out;
}

std::vector<std::string> names_of(const std::vector<ListedFile>& files) {
  std::vector<std::string> out;
  out.reserve(files.size());
  for (const ListedFile& file : files) out.push_back(file.name);
  return out;
}

tl::unexpected<Diagnostics> no_plain_name(const std::string& name) {
  return failure(Fault::file, name, "this is no name for a file here",
                 "use letters, figures, blanks and hyphens; no slash, no dot in front");
}

tl::unexpected<Diagnostics> in_the_way(const fs::path& path) {
  return failure(Fault::file, path.string(), "this is a link or a folder, not a chart",
                 "move it away, or choose another name");
}

// What follows `title` in its line, without the comment; the chart need not be right.
std::string title_in(std::string_view text) {
  for (std::size_t begin = 0; begin < text.size();) {
    std::size_t end = text.find('\n', begin);
    if (end == std::string_view::npos) end = text.size();
    std::string_view line = text.substr(begin, end - begin);
    begin = end + 1;
    const auto first = line.find_first_not_of(" \t");
    if (first == std::string_view::npos) continue;
    line.remove_prefix(first);
    if (line.starts_with("section") || line.starts_with('|')) break;
    if (!line.starts_with("title") || line.size() < 7 || (line[5] != ' ' && line[5] != '\t'))
      continue;
    line = line.substr(
        6, line.find(';') == std::string_view::npos ? std::string_view::npos : line.find(';') - 6);
    const auto from = line.find_first_not_of(" \t\r");
    if (from == std::string_view::npos) return "";
    return std::string(line.substr(from, line.find_last_not_of(" \t\r") - from + 1));
  }
  return "";
}

std::string local_time(const fs::path& path) {
  struct stat found {};
  if (::stat(path.c_str(), &found) != 0) return "";
  std::tm parts{};
  if (::localtime_r(&found.st_mtime, &parts) == nullptr) return "";
  std::array<char, 32> out{};
  const auto size = std::strftime(out.data(), out.size(), "%Y-%m-%dT%H:%M:%S", &parts);
  return {out.data(), size};
}

bool is_version_id(std::string_view id) {
  return !id.empty() && id.size() <= 9 &&
         std::all_of(id.begin(), id.end(), [](char c) { return c >= '0' && c <= '9'; });
}

// Earlier versions are not read through links either.
bool is_linked(const fs::path& versions) {
  std::error_code error;
  return fs::is_symlink(versions, error) || fs::is_symlink(versions.parent_path(), error);
}

// The numbers of the versions in a folder, rising.
std::vector<long> numbers_in(const fs::path& folder) {
  std::vector<long> out;
  std::error_code error;
  for (fs::directory_iterator it(folder, error), end; !error && it != end; it.increment(error)) {
    const std::string id = it->path().stem().string();
    if (it->path().extension() == kChartEnding && is_version_id(id)) out.push_back(std::stol(id));
  }
  std::sort(out.begin(), out.end());
  return out;
}

fs::path version_file(const fs::path& folder, long number) {
  return folder / fmt::format("{:06}{}", number, kChartEnding);
}

}  // namespace

std::string revision_of(std::string_view bytes) {
  std::array<unsigned char, EVP_MAX_MD_SIZE> digest{};
  unsigned int size = 0;
  EVP_Digest(bytes.data(), bytes.size(), digest.data(), &size, EVP_sha256(), nullptr);
  return in_hex({digest.data(), size});
}

bool is_plain_name(std::string_view name) {
  if (name.empty() || name.size() > kLongestName || name.front() == '.' || name.front() == ' ' ||
      name.back() == ' ' || !is_utf8(name))
    return false;
  return std::all_of(name.begin(), name.end(), [](char c) {
    const auto byte = static_cast<unsigned char>(c);
    return byte >= 0x20 && byte != 0x7f && c != '/' && c != '\\';
  });
}

Result<std::unique_ptr<ChartFolder>> ChartFolder::open(const fs::path& folder) {
  std::error_code error;
  const fs::path path = fs::canonical(folder, error);
  if (error) return system_failure("open the folder", folder, error.value());
  if (!fs::is_directory(path, error)) return system_failure("open the folder", folder, ENOTDIR);
  if (::access(path.c_str(), R_OK | W_OK | X_OK) != 0)
    return system_failure("write into the folder", folder, errno);
  return std::unique_ptr<ChartFolder>(new ChartFolder(path));
}

fs::path ChartFolder::file(const std::string& name) const {
  return path_ / (name + std::string(kChartEnding));
}

std::vector<std::string> ChartFolder::students() const {
  const auto all = listing(path_);
  return all ? names_of(all->students) : std::vector<std::string>();
}

std::vector<std::string> ChartFolder::manners() const {
  const auto all = listing(path_);
  return all ? names_of(all->manners) : std::vector<std::string>();
}

Result<std::vector<ListedChart>> ChartFolder::charts() const {
  const auto all = listing(path_);
  if (!all) return tl::unexpected(all.error());
  std::vector<ListedChart> out;
  out.reserve(all->charts.size());
  for (const ListedFile& found : all->charts) {
    const auto text = read_file(file(found.name).string(), chart::kLargestChart);
    out.push_back({found.name, text ? repaired(title_in(*text)) : ""});
  }
  return out;
}

Result<std::optional<ChartFile>> ChartFolder::read(const std::string& name) const {
  if (!is_plain_name(name)) return std::nullopt;
  const fs::path path = file(name);
  struct stat found {};
  if (::lstat(path.c_str(), &found) != 0) {
    const int error = errno;
    if (error != ENOENT) return system_failure("read", path, error);
    // Not the chart has gone, but all of them.
    if (::stat(path_.c_str(), &found) != 0) return system_failure("open the folder", path_, errno);
    return std::nullopt;
  }
  if (!S_ISREG(found.st_mode)) return in_the_way(path);
  auto text = read_file(path.string(), chart::kLargestChart);
  if (!text) return tl::unexpected(text.error());
  std::string revision = revision_of(*text);
  return ChartFile{std::move(*text), std::move(revision)};
}

Result<std::variant<Saved, Overtaken>> ChartFolder::save(const std::string& name,
                                                         const std::string& text,
                                                         const std::optional<std::string>& base) {
  using Outcome = std::variant<Saved, Overtaken>;
  if (!is_plain_name(name)) return no_plain_name(name);
  const std::lock_guard lock(busy_);
  const auto alone = FolderLock::take(path_);
  if (!alone) return tl::unexpected(alone.error());
  auto there = read(name);
  if (!there) return tl::unexpected(there.error());
  const std::string revision = revision_of(text);
  if (*there && (*there)->revision == revision) return Outcome(Saved{revision});
  const bool is_overtaken = *there ? !base || *base != (*there)->revision : base.has_value();
  if (is_overtaken) return Outcome(Overtaken{std::move(*there)});
  if (*there) {
    if (auto kept = keep(name, (*there)->text); !kept) return tl::unexpected(kept.error());
  }
  if (auto written = write_file(file(name), text); !written) return tl::unexpected(written.error());
  if (const auto now = listed(file(name))) seen_[name] = {now->time, now->bytes, revision};
  return Outcome(Saved{revision});
}

// Among the earlier versions, synced.
Result<void> ChartFolder::keep(const std::string& name, std::string_view text) {
  const fs::path earlier = path_ / "earlier";
  const fs::path folder = earlier / name;
  for (const fs::path& part : {earlier, folder}) {
    std::error_code error;
    if (fs::is_symlink(part, error)) return in_the_way(part);
  }
  if (auto made = make_folder(folder); !made) return made;
  const std::vector<long> numbers = numbers_in(folder);
  const long next = numbers.empty() ? 1 : numbers.back() + 1;
  if (auto written = write_file(version_file(folder, next), text); !written) return written;
  thin(folder);
  return {};
}

void ChartFolder::thin(const fs::path& folder) const {
  const std::vector<long> numbers = numbers_in(folder);
  for (const long number : numbers) {
    const long age = numbers.back() - number;
    const long every = age < 100 ? 1 : age < 1000 ? 10 : 100;
    std::error_code error;
    if (number % every != 0) fs::remove(version_file(folder, number), error);
  }
}

Result<bool> ChartFolder::move(const std::string& from, const std::string& to) {
  if (!is_plain_name(from)) return false;
  if (!is_plain_name(to)) return no_plain_name(to);
  const std::lock_guard lock(busy_);
  const auto alone = FolderLock::take(path_);
  if (!alone) return tl::unexpected(alone.error());
  if (!is_plain_file(file(from)) || !is_free(file(to))) return false;
  const fs::path earlier = path_ / "earlier";
  if (is_linked(earlier / from)) return in_the_way(earlier);
  // A link first: it fails where the name has been taken in between.
  if (::link(file(from).c_str(), file(to).c_str()) != 0)
    return errno == EEXIST ? Result<bool>(false) : system_failure("rename", file(from), errno);
  if (::unlink(file(from).c_str()) != 0) return system_failure("rename", file(from), errno);
  std::error_code error;
  if (fs::exists(earlier / from, error) && !fs::exists(earlier / to, error))
    fs::rename(earlier / from, earlier / to, error);
  if (const auto seen = seen_.extract(from)) seen_[to] = seen.mapped();
  auto all = all_choices();
  if (all && all->contains(from)) {
    (*all)[to] = (*all)[from];
    all->erase(from);
    if (auto written = write_file(path_ / "choices.json", all->dump(2) + "\n"); !written)
      return tl::unexpected(written.error());
  }
  return true;
}

Result<bool> ChartFolder::remove(const std::string& name) {
  if (!is_plain_name(name)) return false;
  const std::lock_guard lock(busy_);
  const auto alone = FolderLock::take(path_);
  if (!alone) return tl::unexpected(alone.error());
  const auto there = read(name);
  if (!there) return tl::unexpected(there.error());
  if (!*there) return false;
  if (auto kept = keep(name, (*there)->text); !kept) return tl::unexpected(kept.error());
  if (::unlink(file(name).c_str()) != 0) return system_failure("remove", file(name), errno);
  seen_.erase(name);
  return true;
}

Result<std::vector<Version>> ChartFolder::versions(const std::string& name) const {
  std::vector<Version> out;
  if (!is_plain_name(name)) return out;
  const std::lock_guard lock(busy_);
  const fs::path folder = path_ / "earlier" / name;
  if (is_linked(folder)) return out;
  for (const long number : numbers_in(folder)) {
    const fs::path path = version_file(folder, number);
    std::error_code error;
    const auto bytes = fs::file_size(path, error);
    if (!error) out.push_back({path.stem().string(), local_time(path), bytes});
  }
  std::reverse(out.begin(), out.end());
  return out;
}

Result<std::optional<std::string>> ChartFolder::version(const std::string& name,
                                                        const std::string& id) const {
  if (!is_plain_name(name) || !is_version_id(id)) return std::nullopt;
  const fs::path path = path_ / "earlier" / name / (id + std::string(kChartEnding));
  if (is_linked(path.parent_path()) || !is_plain_file(path)) return std::nullopt;
  auto text = read_file(path.string(), chart::kLargestChart);
  if (!text) return tl::unexpected(text.error());
  return std::move(*text);
}

Result<Json> ChartFolder::all_choices() const {
  const fs::path path = path_ / "choices.json";
  if (is_free(path)) return Json::object();
  if (!is_plain_file(path)) return in_the_way(path);
  const auto text = read_file(path.string(), kLargestAllChoices);
  if (!text) return tl::unexpected(text.error());
  auto all = object_in(*text);
  if (!all) {
    return failure(Fault::file, path.string(), "this is no list of choices any more",
                   "mend the file, or move it away and choose again");
  }
  return std::move(*all);
}

Json ChartFolder::choices(const std::string& name) const {
  const std::lock_guard lock(busy_);
  const auto all = all_choices();
  if (!all || !all->contains(name) || !(*all)[name].is_object()) return Json::object();
  return (*all)[name];
}

Result<void> ChartFolder::choose(const std::string& name, const Json& choices) {
  if (!is_plain_name(name)) return no_plain_name(name);
  const std::lock_guard lock(busy_);
  const auto alone = FolderLock::take(path_);
  if (!alone) return tl::unexpected(alone.error());
  auto all = all_choices();
  if (!all) return tl::unexpected(all.error());
  (*all)[name] = choices;
  const std::string text = all->dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
  if (text.size() > kLargestAllChoices) {
    return failure(Fault::file, (path_ / "choices.json").string(),
                   "the choices of all charts together are too large",
                   "take out those of charts that are here no more");
  }
  return write_file(path_ / "choices.json", text);
}

Result<std::string> ChartFolder::student(const std::string& name) const {
  if (!is_plain_name(name)) return no_plain_name(name);
  const fs::path path = path_ / (name + ".student");
  if (!is_plain_file(path)) return system_failure("read", path.filename(), ENOENT);
  return read_file(path.string(), kLargestOther);
}

Result<std::string> ChartFolder::manner(const std::string& name) const {
  if (!is_plain_name(name)) return no_plain_name(name);
  const fs::path path = path_ / (name + ".manner");
  if (!is_plain_file(path)) return system_failure("read", path.filename(), ENOENT);
  return read_file(path.string(), kLargestOther);
}

ChartFolder::Changes ChartFolder::look() {
  const std::lock_guard lock(busy_);
  Changes out;
  const auto all = listing(path_);
  if (!all) return out;
  std::vector<std::string> others = names_of(all->students);
  for (const ListedFile& manner : all->manners) others.push_back(manner.name + " manner");
  std::map<std::string, Seen> now;
  for (const ListedFile& found : all->charts) {
    const std::string& name = found.name;
    Seen seen{found.time, found.bytes, ""};
    const auto before = seen_.find(name);
    if (before != seen_.end() && before->second.time == seen.time &&
        before->second.bytes == seen.bytes) {
      seen.revision = before->second.revision;
    } else if (const auto text = read_file(file(name).string(), chart::kLargestChart)) {
      seen.revision = revision_of(*text);
      if (before == seen_.end()) out.list = true;
      if (before == seen_.end() || before->second.revision != seen.revision)
        out.charts[name] = seen.revision;
    } else {
      continue;
    }
    now[name] = std::move(seen);
  }
  for (const auto& [name, seen] : seen_) {
    if (now.contains(name)) continue;
    out.charts[name] = std::nullopt;
    out.list = true;
  }
  out.list = out.list || others != others_;
  seen_ = std::move(now);
  others_ = std::move(others);
  if (!std::exchange(has_looked_, true)) return {};
  return out;
}

}  // namespace stillhand::desk
