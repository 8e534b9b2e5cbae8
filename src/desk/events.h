// What happens on the desk, told to every open page.
//
//   Events events;
//   auto stream = events.listen();               // nullptr where there are kMostStreams already
//   events.tell("chart", {{"name", "Quay"}, …});
//   stream->next(15s);                           // "event: chart\ndata: {…}\n\n"; "" when the time is over or all is closed
//
// Text as in server-sent events (WHATWG HTML, 9.2). May be used by several threads.
#pragma once

#include <chrono>
#include <condition_variable>
#include <deque>
#include <memory>
#include <mutex>
#include <string>
#include <string_view>
#include <vector>

#include "desk/answer.h"

namespace stillhand::desk {

inline constexpr std::size_t kMostStreams =
    16;  // each holds a thread of the server (our judgement)
inline constexpr std::size_t kMostWaiting =
    10'000;  // events of a page that does not read; then it is closed

class Events {
 public:
  class Stream {
   public:
    std::string next(std::chrono::milliseconds longest);
    bool is_closed() const;

   private:
    friend class Events;
    mutable std::mutex busy_;
    std::condition_variable news_;
    std::deque<std::string> waiting_;
    bool closed_ = false;
  };

  std::shared_ptr<Stream> listen();
  void tell(std::string_view kind, const Json& data);
  // Ends every stream; there are no new ones after it.
  void close();

 private:
  std::mutex busy_;
  std::vector<std::weak_ptr<Stream>> streams_;
  bool closed_ = false;
};

}  // namespace stillhand::desk
