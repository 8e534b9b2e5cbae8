// Lessons being made for the folder: one thread each, told to every page, to be cancelled at any time.
//
//   Exports exports("songs", events, piano);
//   Answer a = exports.start(body, shelf);      an Export (web/desk/api.ts), running
//   exports.cancel("1");                        it ends within a second, or when the piano is rendered; nothing is left half-written
//
// What is made goes into FOLDER/lessons/NAME (write/pack.h). At most one runs for a chart and kMostExports together; the last
// kExportsKept that have ended can still be asked for. The destructor cancels and waits. May be called by several threads at
// once.
#pragma once

#include <atomic>
#include <deque>
#include <filesystem>
#include <memory>
#include <mutex>
#include <string>
#include <string_view>

#include "desk/answer.h"
#include "desk/events.h"
#include "desk/piano.h"

namespace stillhand::desk {

inline constexpr std::size_t kMostExports = 4;   // at once (our judgement)
inline constexpr std::size_t kExportsKept = 32;  // (our judgement)

class Exports {
 public:
  Exports(std::filesystem::path folder, Events& events, Piano& piano);
  ~Exports();
  Exports(const Exports&) = delete;
  Exports& operator=(const Exports&) = delete;

  Answer start(const Json& body, const Shelf& shelf);
  Answer state(std::string_view id);
  Answer cancel(std::string_view id);
  // A file of its list: application/octet-stream. Of one that was cancelled or failed the list is what is whole in its folder,
  // earlier runs' too.
  Answer file(std::string_view id, std::string_view name);

 private:
  struct Job;
  void make(Job& job);
  std::shared_ptr<Job> find(std::string_view id);
  static Json in_json(const Job& job);  // with busy_ held
  void tell(const Job& job);

  std::filesystem::path folder_;
  Events& events_;
  Piano& piano_;
  std::mutex busy_;
  std::deque<std::shared_ptr<Job>> jobs_;
  int last_id_ = 0;
  bool is_ending_ = false;
};

}  // namespace stillhand::desk
