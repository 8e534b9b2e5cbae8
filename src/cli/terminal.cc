#include "cli/terminal.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <cerrno>
#include <csignal>
#include <cstdlib>
#include <cstring>

namespace stillhand::cli {
namespace {

// 0, or the system's error.
int write_all(int fd, std::string_view text) {
  while (!text.empty()) {
    const ssize_t put = ::write(fd, text.data(), text.size());
    if (put < 0) {
      if (errno == EINTR) continue;
      return errno;
    }
    text.remove_prefix(static_cast<std::size_t>(put));
  }
  return 0;
}

// A closed standard stream gets /dev/null, opened the wrong way round so that using it still fails.
void take_descriptor(int fd) {
  if (::fcntl(fd, F_GETFD) != -1) return;
  (void)::open("/dev/null", fd == STDIN_FILENO ? O_WRONLY : O_RDONLY);
}

bool wants_no_colour() {
  const char* value = std::getenv("NO_COLOR");
  return value != nullptr && *value != '\0';
}

std::string coloured(std::string text) {
  constexpr std::string_view mark = ": error: ";
  const std::size_t at = text.find(mark);
  if (at == std::string::npos || text.find('\n') < at) return text;
  return text.replace(at + 2, 6, "\x1b[1;31merror:\x1b[0m");
}

}  // namespace

Terminal::Terminal() {
  for (const int fd : {STDIN_FILENO, STDOUT_FILENO, STDERR_FILENO}) take_descriptor(fd);
  (void)std::signal(SIGPIPE, SIG_IGN);
  // A limit on file sizes then shows as an error of write(2), like a full disk.
  (void)std::signal(SIGXFSZ, SIG_IGN);
  watched_ = ::isatty(STDERR_FILENO) == 1;
  coloured_ = watched_ && !wants_no_colour();
}

Result<void> Terminal::print(std::string_view text) {
  end_progress();
  const int error = write_all(STDOUT_FILENO, text);
  if (error == 0) return {};
  if (error == EPIPE) return failure(Fault::file, "", "");
  return failure(Fault::file, "standard output",
                 fmt::format("cannot write: {}", std::strerror(error)),
                 "send the output somewhere that takes it");
}

void Terminal::report(const Diagnostics& diagnostics) {
  end_progress();
  for (const Diagnostic& diagnostic : diagnostics) {
    if (diagnostic.message.empty()) continue;
    std::string text = render(diagnostic);
    if (diagnostic.file.empty()) text = "stillhand: " + text;
    if (coloured_) text = coloured(std::move(text));
    (void)write_all(STDERR_FILENO, text + "\n");
  }
}

void Terminal::progress(std::string_view what, int percent) {
  if (!watched_) return;
  std::string line = fmt::format("{} {} %", what, percent);
  const std::size_t length = line.size();
  if (length < shown_) line.append(shown_ - length, ' ');
  shown_ = length;
  (void)write_all(STDERR_FILENO, "\r" + line);
}

void Terminal::end_progress() {
  if (shown_ == 0) return;
  (void)write_all(STDERR_FILENO, "\r" + std::string(shown_, ' ') + "\r");
  shown_ = 0;
}

}  // namespace stillhand::cli
