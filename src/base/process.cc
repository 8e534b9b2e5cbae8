#include "base/process.h"

#include <fcntl.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cassert>
#include <cerrno>
#include <cstring>

extern char** environ;

namespace stillhand {
namespace {

tl::unexpected<Diagnostics> cannot_run(const std::string& program, int error) {
  return failure(Fault::file, program, std::string("cannot run it: ") + std::strerror(error));
}

}  // namespace

Result<std::string> output_of(const std::vector<std::string>& command) {
  assert(!command.empty());
  std::array<int, 2> ends{};
  if (::pipe2(ends.data(), O_CLOEXEC) != 0) return cannot_run(command.front(), errno);
  posix_spawn_file_actions_t files;
  ::posix_spawn_file_actions_init(&files);
  ::posix_spawn_file_actions_addopen(&files, STDIN_FILENO, "/dev/null", O_RDONLY, 0);
  ::posix_spawn_file_actions_adddup2(&files, ends[1], STDOUT_FILENO);
  ::posix_spawn_file_actions_addopen(&files, STDERR_FILENO, "/dev/null", O_WRONLY, 0);
  std::vector<std::string> words = command;
  std::vector<char*> arguments;
  for (std::string& word : words) arguments.push_back(word.data());
  arguments.push_back(nullptr);
  pid_t child = 0;
  const int refused =
      ::posix_spawnp(&child, arguments.front(), &files, nullptr, arguments.data(), environ);
  ::posix_spawn_file_actions_destroy(&files);
  ::close(ends[1]);
  if (refused != 0) {
    ::close(ends[0]);
    return cannot_run(command.front(), refused);
  }
  std::string out;
  std::array<char, 65536> piece{};
  for (;;) {
    const ssize_t read = ::read(ends[0], piece.data(), piece.size());
    if (read < 0 && errno == EINTR) continue;
    if (read <= 0) break;
    out.append(piece.data(), static_cast<std::size_t>(read));
  }
  ::close(ends[0]);
  int status = 0;
  while (::waitpid(child, &status, 0) < 0 && errno == EINTR) {
  }
  if (!WIFEXITED(status) || WEXITSTATUS(status) != 0)
    return failure(Fault::file, command.front(), "it ended with an error");
  return out;
}

}  // namespace stillhand
