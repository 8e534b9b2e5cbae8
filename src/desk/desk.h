// The desk behind its server: one request in, one answer out. Knows no sockets.
//
//   Desk desk(*folder, {.program = "Stillhand 0.1.0"});
//   Answer a = desk.answer({Method::get, "/api/charts/Quay", "", ""});
//
// web/desk/api.ts names every request. May be called by several threads at once.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <string_view>

#include "desk/answer.h"
#include "desk/events.h"
#include "desk/exports.h"
#include "desk/folder.h"
#include "desk/piano.h"

namespace stillhand::desk {

enum class Method { get, put, post, remove, other };

struct Request {
  Method method = Method::get;
  std::string path;  // decoded, from "/api" on
  std::string body;
};

// Bytes of a body: of an import, and of everything else.
inline constexpr std::size_t kLargestImport = std::size_t{23}
                                              << 20;  // 16 MB in base64, and what is around it
inline constexpr std::size_t kLargestBody = std::size_t{7}
                                            << 20;  // a chart of 1 MB, each byte as \u0000 at worst
std::size_t largest_body(std::string_view path);

struct DeskOptions {
  std::string program;  // "Stillhand 0.1.0"
};

class Desk {
 public:
  Desk(ChartFolder& folder, DeskOptions options);
  ~Desk();
  Desk(const Desk&) = delete;
  Desk& operator=(const Desk&) = delete;

  Answer answer(const Request& request);
  Events& events() { return events_; }
  // Looks whether other programs have changed the folder, and tells the pages.
  void look();

 private:
  Answer of_chart(Method method, const std::string& name, std::string_view rest, const Json& body);
  Answer of_export(const Request& request, const Json& body);
  Answer folder_list();
  Answer read(const std::string& name);
  Answer save(const std::string& name, const Json& body);
  Answer move(const std::string& name, const Json& body);
  Answer remove(const std::string& name);
  Answer choose(const std::string& name, const Json& body);
  Answer versions(const std::string& name, std::string_view id);

  ChartFolder& folder_;
  DeskOptions options_;
  Events events_;
  Piano piano_;
  Exports exports_;  // ends before the events that it tells
};

}  // namespace stillhand::desk
