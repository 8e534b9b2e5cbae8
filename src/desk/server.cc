#include "desk/server.h"

#include <fmt/format.h>
#include <httplib.h>
#include <sys/socket.h>

#include <atomic>
#include <condition_variable>
#include <mutex>
#include <nlohmann/json.hpp>
#include <thread>

#include "desk/token.h"

namespace stillhand::desk {
namespace {

using namespace std::chrono_literals;

constexpr std::size_t kThreads = 64;
constexpr auto kLookEvery = 500ms;  // for changes by other programs (our judgement)
constexpr auto kStreamBeat = 15s;   // web/desk/api.ts
constexpr auto kStreamTurn = 1s;    // how soon a stream sees that its page has gone

Method method_of(const std::string& name) {
  if (name == "GET") return Method::get;
  if (name == "PUT") return Method::put;
  if (name == "POST") return Method::post;
  return name == "DELETE" ? Method::remove : Method::other;
}

std::optional<std::string> header(const httplib::Request& request, const char* name) {
  if (!request.has_header(name)) return std::nullopt;
  return request.get_header_value(name);
}

RequestHead head_of(const httplib::Request& request) {
  RequestHead out;
  out.method = method_of(request.method);
  out.path = request.path;
  out.host = header(request, "Host");
  out.origin = header(request, "Origin");
  out.fetch_site = header(request, "Sec-Fetch-Site");
  out.authorization = header(request, "Authorization");
  out.content_length = header(request, "Content-Length");
  out.content_type = header(request, "Content-Type");
  out.transfer_encoding = header(request, "Transfer-Encoding");
  for (const char* name : {"Host", "Origin", "Authorization", "Content-Length", "Content-Type"})
    out.has_doubled_header = out.has_doubled_header || request.get_header_value_count(name) > 1;
  return out;
}

void secure(httplib::Response& response) {
  response.set_header("X-Content-Type-Options", "nosniff");
  response.set_header("Referrer-Policy", "no-referrer");
  response.set_header("Cross-Origin-Opener-Policy", "same-origin");
  response.set_header("Cross-Origin-Resource-Policy", "same-origin");
  response.set_header("Cache-Control", "no-store");
}

// As it is. The library's own way compresses what a browser takes so, with the slowest setting: 100 ms for one arrangement, to
// save nothing on the way to the same machine.
void put_body(std::string body, const std::string& type, httplib::Response& response) {
  const std::size_t size = body.size();
  if (size == 0) return response.set_content("", type);
  response.set_content_provider(
      size, type,
      [text = std::move(body)](std::size_t offset, std::size_t length, httplib::DataSink& sink) {
        return sink.write(text.data() + offset, length);
      });
}

void send(const Answer& answer, httplib::Response& response) {
  secure(response);
  response.set_header("Content-Security-Policy", "default-src 'none'; frame-ancestors 'none'");
  response.status = static_cast<int>(answer.status);
  put_body(answer.body, answer.type, response);
}

std::string policy(const std::string& nonce) {
  return fmt::format(
      "default-src 'none'; script-src 'self'; style-src 'self' 'nonce-{}'; img-src 'self' blob:; "
      "connect-src 'self'; font-src 'self'; media-src 'self' blob:; base-uri 'none'; "
      "form-action 'none'; frame-ancestors 'none'",
      nonce);
}

void send(const Asset& asset, httplib::Response& response) {
  constexpr std::size_t kNonceBytes = 16;  // 128 bits, as Content Security Policy Level 3 wants
  const auto nonce = random_hex(kNonceBytes);
  if (!nonce) return send(problem(nonce.error()), response);
  secure(response);
  response.set_header("Content-Security-Policy", policy(*nonce));
  std::string bytes(asset.bytes);
  constexpr std::string_view kPlace = "@NONCE@";
  if (asset.type.starts_with("text/html")) {
    for (auto at = bytes.find(kPlace); at != std::string::npos; at = bytes.find(kPlace, at))
      bytes.replace(at, kPlace.size(), *nonce);
  }
  put_body(std::move(bytes), asset.type, response);
}

}  // namespace

struct Server::State {
  State(Desk& given, std::vector<Asset> pages, PaceLimits limits)
      : desk(given), assets(std::move(pages)), pace(limits) {}

  Desk& desk;
  std::vector<Asset> assets;
  Gate gate;
  Pace pace;
  httplib::Server http;
  std::mutex busy;
  std::condition_variable stopping;
  bool is_stopping = false;
  std::atomic<bool> has_ended = false;

  void set_up() {
    http.new_task_queue = [] { return new httplib::ThreadPool(kThreads); };
    // Not SO_REUSEPORT, the library's habit: with it two desks would share one port.
    http.set_socket_options([](socket_t socket) {
      const int yes = 1;
      ::setsockopt(socket, SOL_SOCKET, SO_REUSEADDR, &yes, sizeof yes);
    });
    http.set_tcp_nodelay(true);
    http.set_keep_alive_max_count(1);
    http.set_read_timeout(kPatience);
    http.set_write_timeout(kPatience);
    http.set_payload_max_length(kLargestImport);
    http.set_pre_routing_handler([this](const httplib::Request& in, httplib::Response& out) {
      const RequestHead head = head_of(in);
      if (const auto refused = gate.refusal(head)) {
        send(*refused, out);
        return httplib::Server::HandlerResponse::Handled;
      }
      if (!is_api(head.path)) return httplib::Server::HandlerResponse::Unhandled;
      if (const auto wait = pace.refusal(Pace::Clock::now())) {
        send(problem(Status::too_many, "the desk gets more requests than it takes",
                     "wait a moment and ask again"),
             out);
        out.set_header("Retry-After", std::to_string(wait->count()));  // RFC 9110, 10.2.3
        return httplib::Server::HandlerResponse::Handled;
      }
      return httplib::Server::HandlerResponse::Unhandled;
    });
    http.set_error_handler([](const httplib::Request&, httplib::Response& out) {
      if (out.has_header("Content-Security-Policy")) return;  // an answer of our own
      const auto status = static_cast<Status>(out.status);
      if (status == Status::too_large) {
        send(problem(status, "this is too large", "a chart has at most 1 MB"), out);
      } else if (status == Status::not_found) {
        send(problem(status, "the desk has nothing of this name", "see the list of requests"), out);
      } else {
        send(problem(Status::not_understood, "the request is not understood",
                     "see the list of requests"),
             out);
      }
    });
    http.set_exception_handler(
        [](const httplib::Request&, httplib::Response& out, const std::exception_ptr&) {
          send(problem(Status::own_fault, "the desk has a fault of its own",
                       "your text is kept; try again"),
               out);
        });
    const auto any = [this](const httplib::Request& in, httplib::Response& out) { reply(in, out); };
    for (const char* path : {"/", "/.*"}) {
      http.Get(path, any);
      http.Post(path, any);
      http.Put(path, any);
      http.Delete(path, any);
    }
  }

  void reply(const httplib::Request& in, httplib::Response& out) {
    if (in.path == "/api/events" && in.method == "GET") return stream(out);
    if (in.path.starts_with("/api/") || in.path == "/api")
      return send(desk.answer({method_of(in.method), in.path, in.body}), out);
    for (const Asset& asset : assets) {
      if (asset.path == in.path) return send(asset, out);
    }
    send(problem(Status::not_found, "the desk has nothing of this name", "open its first page"),
         out);
  }

  void stream(httplib::Response& out) {
    auto listening = desk.events().listen();
    if (!listening) {
      return send(
          problem(Status::too_many, "too many pages of the desk are open", "close some of them"),
          out);
    }
    secure(out);
    out.set_chunked_content_provider(
        "text/event-stream", [listening, last = std::chrono::steady_clock::now(), greeted = false](
                                 std::size_t, httplib::DataSink& sink) mutable {
          std::string text = greeted ? listening->next(kStreamTurn) : ": here\n\n";
          greeted = true;
          if (listening->is_closed()) {
            sink.done();
            return true;
          }
          const auto now = std::chrono::steady_clock::now();
          if (text.empty() && now - last >= kStreamBeat) text = ": beat\n\n";
          if (text.empty()) return sink.is_writable();
          last = now;
          return sink.write(text.data(), text.size());
        });
  }

  void watch() {
    std::unique_lock lock(busy);
    while (!stopping.wait_for(lock, kLookEvery, [this] { return is_stopping; })) {
      lock.unlock();
      desk.look();
      lock.lock();
    }
  }
};

Server::Server(std::unique_ptr<State> state) : state_(std::move(state)) {}
Server::~Server() = default;

Result<std::unique_ptr<Server>> Server::start(Desk& desk, std::vector<Asset> assets,
                                              const ServerOptions& options) {
  auto state = std::make_unique<State>(desk, std::move(assets), options.pace);
  state->set_up();
  state->gate.token = options.token;
  const bool any = options.port.number == 0;
  if (any) {
    state->gate.port.number = state->http.bind_to_any_port("127.0.0.1");
    if (state->gate.port.number > 0) return std::unique_ptr<Server>(new Server(std::move(state)));
  }
  for (int i = 0; !any && i < kPortsTried; ++i) {
    const int number = options.port.number + i;
    if (number > 65535 || !state->http.bind_to_port("127.0.0.1", number)) continue;
    state->gate.port.number = number;
    return std::unique_ptr<Server>(new Server(std::move(state)));
  }
  return failure(Fault::file, "",
                 fmt::format("no port from {} to {} is free", options.port.number,
                             options.port.number + kPortsTried - 1),
                 "end other desks, or choose another with --port");
}

Port Server::port() const { return state_->gate.port; }

std::string Server::address() const {
  return fmt::format("http://127.0.0.1:{}/#{}", port().number, state_->gate.token);
}

void Server::run() {
  std::thread watcher([this] { state_->watch(); });
  state_->http.listen_after_bind();
  {
    const std::lock_guard lock(state_->busy);
    state_->is_stopping = true;
  }
  state_->stopping.notify_all();
  watcher.join();
  state_->has_ended = true;
}

void Server::stop() {
  state_->desk.events().close();
  // The library forgets a wish to stop that comes before it listens.
  while (!state_->http.is_running() && !state_->has_ended) std::this_thread::sleep_for(1ms);
  state_->http.stop();
}

}  // namespace stillhand::desk
