#include <fmt/format.h>
#include <sys/types.h>
#include <unistd.h>

#include <CLI/CLI.hpp>
#include <charconv>
#include <csignal>
#include <thread>

#include "base/files.h"
#include "cli/commands.h"
#include "desk/server.h"
#include "desk/token.h"

namespace stillhand::cli {
namespace {

// Ctrl-C and a polite request to end stop the server; saves in progress are finished.
class EndSignals {
 public:
  EndSignals() {
    ::sigemptyset(&set_);
    ::sigaddset(&set_, SIGINT);
    ::sigaddset(&set_, SIGTERM);
    ::sigaddset(&set_, SIGHUP);
    // Before any thread is started, so that all of them leave these signals to the one that waits.
    ::pthread_sigmask(SIG_BLOCK, &set_, nullptr);
  }
  void wait() const {
    int number = 0;
    ::sigwait(&set_, &number);
  }
  // Not undone: after the server has ended the program does.
 private:
  sigset_t set_{};
};

// Does nothing where there is no such program: the address has been printed.
void open_browser(const std::string& address) {
  const pid_t child = ::fork();
  if (child != 0) return;
  sigset_t none{};
  ::sigemptyset(&none);
  ::pthread_sigmask(SIG_SETMASK, &none, nullptr);
  ::setsid();
  if (std::freopen("/dev/null", "w", stdout) == nullptr ||
      std::freopen("/dev/null", "w", stderr) == nullptr)
    ::_exit(1);
  ::execlp("xdg-open", "xdg-open", address.c_str(), static_cast<char*>(nullptr));
  ::_exit(1);
}

class DeskCommand : public Command {
 public:
  std::string_view name() const override { return "desk"; }
  std::string_view about() const override {
    return "open the desk: write, hear and give out songs in the browser";
  }

  void declare(CLI::App& app) override {
    app.add_option("FOLDER", folder_, "where the charts are; this folder if not given")
        ->type_name("");
    app.add_option(
           "--port", port_,
           fmt::format("the port to listen at, or one of the nine after it; {} if not given, "
                       "0 for any",
                       desk::kUsualPort))
        ->type_name("N");
    app.add_flag("--no-browser", no_browser_, "only print the address");
    app.add_option("--page", page_, "take the page's files from this folder: for work on the page")
        ->type_name("DIR")
        ->group("");  // CONTRIBUTING.md has it
    app.footer(
        "The desk runs on this machine alone: nothing goes out, and nobody else comes in. It ends\n"
        "with Ctrl-C. Every change is kept at once; what it replaced stays in FOLDER/earlier.\n"
        "Lessons go to FOLDER/lessons. docs/desk.md says more.");
  }

  Result<void> run(Terminal& terminal) override {
    const Result<desk::Port> port = read_port();
    if (!port) return tl::unexpected(port.error());
    auto folder = desk::ChartFolder::open(folder_.empty() ? "." : folder_);
    if (!folder) return tl::unexpected(folder.error());
    auto token = desk::kept_token(desk::state_folder());
    if (!token) return tl::unexpected(token.error());
    std::vector<desk::Asset> assets = desk::built_in_assets();
    std::vector<std::string> texts(assets.size());  // the assets point into it
    if (auto read = read_page(assets, texts); !read) return read;

    EndSignals signals;
    desk::Desk desk(**folder, {.program = "Stillhand " STILLHAND_VERSION});
    auto server = desk::Server::start(desk, std::move(assets), {.port = *port, .token = *token});
    if (!server) return tl::unexpected(server.error());
    const std::string address = (*server)->address();
    auto printed = terminal.print(fmt::format("The desk of {} is open at\n  {}\nCtrl-C ends it.\n",
                                              (*folder)->path().string(), address));
    if (!printed) return printed;
    if (!no_browser_) open_browser(address);
    std::thread end([&] {
      signals.wait();
      (*server)->stop();
    });
    (*server)->run();
    ::kill(::getpid(), SIGTERM);  // wakes that thread, should the server have ended by itself
    end.join();
    return {};
  }

 private:
  Result<desk::Port> read_port() const {
    if (port_.empty()) return desk::Port{desk::kUsualPort};
    int number = -1;
    const auto [end, error] = std::from_chars(port_.data(), port_.data() + port_.size(), number);
    if (error != std::errc{} || end != port_.data() + port_.size() || number < 0 || number > 65535)
      return wrong_call(fmt::format("--port {}: no such port", port_),
                        "ports are 1024 to 65535, or 0 for any");
    return desk::Port{number};
  }

  Result<void> read_page(std::vector<desk::Asset>& assets, std::vector<std::string>& texts) const {
    if (page_.empty()) return {};
    constexpr std::size_t kLargest = std::size_t{8} << 20;
    for (std::size_t i = 0; i < assets.size(); ++i) {
      const std::string name = assets[i].path == "/" ? "index.html" : assets[i].path.substr(1);
      auto text = read_file((std::filesystem::path(page_) / name).string(), kLargest);
      if (!text) return tl::unexpected(text.error());
      texts[i] = std::move(*text);
      assets[i].bytes = texts[i];
    }
    return {};
  }

  std::string folder_;
  std::string port_;
  std::string page_;
  bool no_browser_ = false;
};

}  // namespace

std::unique_ptr<Command> desk_command() { return std::make_unique<DeskCommand>(); }

}  // namespace stillhand::cli
