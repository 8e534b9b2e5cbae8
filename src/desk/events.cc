#include "desk/events.h"

#include <fmt/format.h>

#include <nlohmann/json.hpp>

namespace stillhand::desk {

std::string Events::Stream::next(std::chrono::milliseconds longest) {
  std::unique_lock lock(busy_);
  news_.wait_for(lock, longest, [&] { return closed_ || !waiting_.empty(); });
  if (waiting_.empty()) return "";
  std::string out = std::move(waiting_.front());
  waiting_.pop_front();
  return out;
}

bool Events::Stream::is_closed() const {
  const std::lock_guard lock(busy_);
  return closed_ && waiting_.empty();
}

std::shared_ptr<Events::Stream> Events::listen() {
  const std::lock_guard lock(busy_);
  std::erase_if(streams_, [](const auto& stream) { return stream.expired(); });
  if (closed_ || streams_.size() >= kMostStreams) return nullptr;
  auto stream = std::make_shared<Stream>();
  streams_.push_back(stream);
  return stream;
}

void Events::tell(std::string_view kind, const Json& data) {
  const std::string text = fmt::format("event: {}\ndata: {}\n\n", kind,
                                       data.dump(-1, ' ', false, Json::error_handler_t::replace));
  const std::lock_guard lock(busy_);
  for (const auto& weak : streams_) {
    const auto stream = weak.lock();
    if (!stream) continue;
    const std::lock_guard waiting(stream->busy_);
    if (stream->waiting_.size() >= kMostWaiting) {
      stream->waiting_.clear();
      stream->closed_ = true;
    } else if (!stream->closed_) {
      stream->waiting_.push_back(text);
    }
    stream->news_.notify_all();
  }
}

void Events::close() {
  const std::lock_guard lock(busy_);
  closed_ = true;
  for (const auto& weak : streams_) {
    const auto stream = weak.lock();
    if (!stream) continue;
    const std::lock_guard waiting(stream->busy_);
    stream->closed_ = true;
    stream->news_.notify_all();
  }
}

}  // namespace stillhand::desk
