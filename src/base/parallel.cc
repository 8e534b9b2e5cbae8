#include "base/parallel.h"

#include <algorithm>
#include <atomic>
#include <exception>
#include <mutex>
#include <system_error>
#include <thread>
#include <vector>

namespace stillhand {

std::size_t cores() { return std::max<std::size_t>(1, std::thread::hardware_concurrency()); }

void in_parallel(std::size_t count, const std::function<void(std::size_t)>& piece,
                 std::size_t threads) {
  std::atomic<std::size_t> next{0};
  std::exception_ptr first;
  std::mutex first_guard;
  const auto work = [&] {
    for (std::size_t i = next++; i < count; i = next++) {
      try {
        piece(i);
      } catch (...) {
        const std::lock_guard lock(first_guard);
        if (!first) first = std::current_exception();
        next = count;
      }
    }
  };
  {
    // The calling thread works too.
    std::vector<std::jthread> helpers;
    const std::size_t wanted = std::min(std::max<std::size_t>(1, threads), count);
    for (std::size_t i = 1; i < wanted; ++i) {
      try {
        helpers.emplace_back(work);
      } catch (const std::system_error&) {
        break;  // those that there are do it all
      }
    }
    work();
  }
  if (first) std::rethrow_exception(first);
}

}  // namespace stillhand
