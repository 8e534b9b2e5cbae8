// Independent pieces of work on all cores.
//
//   std::vector<Page> pages(songs.size());
//   in_parallel(songs.size(), [&](std::size_t i) { pages[i] = set(songs[i]); });
//
// Each index is worked on exactly once, by one of at most `threads` threads, lower indices first; the call returns when
// all are done. Where each piece writes only to its own place the result is the same however many threads there are.
// Where the system starts fewer threads, fewer do it. An exception of a piece ends the call after the pieces in progress;
// the first one is thrown again.
#pragma once

#include <cstddef>
#include <functional>

namespace stillhand {

// The cores of this machine, at least 1.
std::size_t cores();

void in_parallel(std::size_t count, const std::function<void(std::size_t index)>& piece,
                 std::size_t threads = cores());

}  // namespace stillhand
