// The desk on this machine's own network address, for its browser.
//
//   Result<std::unique_ptr<Server>> server = Server::start(desk, pages, {.token = token});
//   server->address()          "http://127.0.0.1:8437/#4f…"
//   server->run();             until stop(), which a signal handler's thread may call
//
// It listens on 127.0.0.1 alone, at the port asked for or the next free one of ten. 64 threads; each request closes its connection, so that
// a client that keeps still holds a thread for kPatience at most. Answers carry a strict content security policy; pages of the
// desk itself get a nonce for the editor's styles, in the place of @NONCE@.
#pragma once

#include <chrono>
#include <memory>
#include <string>
#include <vector>

#include "base/result.h"
#include "desk/assets.h"
#include "desk/desk.h"
#include "desk/gate.h"
#include "desk/pace.h"

namespace stillhand::desk {

inline constexpr int kUsualPort = 8437;  // free in IANA's list as far as we know; our choice
inline constexpr int kPortsTried = 10;
inline constexpr std::chrono::seconds kPatience{
    10};  // for a client that sends or takes nothing (our judgement)

struct ServerOptions {
  Port port{kUsualPort};
  std::string token;
  PaceLimits pace = {};
};

class Server {
 public:
  // Errors (Fault::file): no port is free.
  static Result<std::unique_ptr<Server>> start(Desk& desk, std::vector<Asset> assets,
                                               const ServerOptions& options);
  ~Server();
  Port port() const;
  std::string address() const;
  void run();
  // Waits until run() has begun, which must come then or have been.
  void stop();

 private:
  struct State;
  explicit Server(std::unique_ptr<State> state);
  std::unique_ptr<State> state_;
};

}  // namespace stillhand::desk
