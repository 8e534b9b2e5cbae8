// The whole desk over real sockets: what friends get, and what everybody else does not.
#include "desk/server.h"

#include <arpa/inet.h>
#include <fmt/format.h>
#include <gtest/gtest.h>
#include <netinet/in.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <atomic>
#include <csignal>
#include <nlohmann/json.hpp>
#include <random>
#include <set>
#include <thread>

#include "base/files.h"
#include "desk/token.h"

namespace stillhand::desk {
namespace {

namespace fs = std::filesystem;
using namespace std::chrono_literals;

const std::string kChart = "title Quay\nkey C\nsection A\n| C | G | Am F | C |\n";
const std::string kSecret = "what nobody may read";
const std::string kToken(64, 'a');

// A client's end of a connection. Nothing that it waits for takes longer than a minute.
class Line {
 public:
  explicit Line(int port) : socket_(::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0)) {
    const timeval patience{60, 0};
    ::setsockopt(socket_, SOL_SOCKET, SO_RCVTIMEO, &patience, sizeof patience);
    sockaddr_in to{};
    to.sin_family = AF_INET;
    to.sin_port = htons(static_cast<std::uint16_t>(port));
    to.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    is_open_ = ::connect(socket_, reinterpret_cast<const sockaddr*>(&to), sizeof to) == 0;
  }
  ~Line() { ::close(socket_); }
  Line(const Line&) = delete;
  Line& operator=(const Line&) = delete;

  bool is_open() const { return is_open_; }
  void say(std::string_view bytes) const {
    while (!bytes.empty()) {
      const auto sent = ::send(socket_, bytes.data(), bytes.size(), MSG_NOSIGNAL);
      if (sent <= 0) return;
      bytes.remove_prefix(static_cast<std::size_t>(sent));
    }
  }
  void hang_up() const { ::shutdown(socket_, SHUT_WR); }
  std::string all() { return until("\1never\1"); }
  // Everything so far, once it holds `wanted` or the other end has closed.
  std::string until(std::string_view wanted) {
    std::array<char, 4096> piece{};
    while (heard_.find(wanted) == heard_.npos) {
      const auto got = ::recv(socket_, piece.data(), piece.size(), 0);
      if (got <= 0) break;
      heard_.append(piece.data(), static_cast<std::size_t>(got));
    }
    return heard_;
  }

 private:
  int socket_;
  bool is_open_ = false;
  std::string heard_;
};

struct Reply {
  int status = 0;  // 0: the connection was closed without a word
  std::string head;
  std::string body;
  Json json() const { return Json::parse(body, nullptr, false); }
};

Reply reply_in(const std::string& heard) {
  Reply out;
  if (heard.starts_with("HTTP/1.1 ") && heard.size() > 12)
    out.status = std::stoi(heard.substr(9, 3));
  const auto end = heard.find("\r\n\r\n");
  out.head = heard.substr(0, end);
  if (end != heard.npos) out.body = heard.substr(end + 4);
  return out;
}

class DeskServer : public ::testing::Test {
 protected:
  explicit DeskServer(PaceLimits pace = {}) {
    std::string name = (fs::temp_directory_path() / "stillhand-server-XXXXXX").string();
    above_ = ::mkdtemp(name.data());
    path_ = above_ / "songs";
    fs::create_directory(path_);
    EXPECT_TRUE(write_file(above_ / "secret.stillhand", kSecret));
    EXPECT_TRUE(write_file(path_ / ".hidden.stillhand", kSecret));
    EXPECT_TRUE(write_file(path_ / "Quay.stillhand", kChart));
    fs::create_symlink(above_ / "secret.stillhand", path_ / "Link.stillhand");
    folder_ = *ChartFolder::open(path_);
    desk_ = std::make_unique<Desk>(*folder_, DeskOptions{"Stillhand 0"});
    server_ = *Server::start(*desk_, {{"/", "text/html; charset=utf-8", "<p nonce='@NONCE@'>"}},
                             {Port{0}, kToken, pace});
    port_ = server_->port().number;
    runs_ = std::thread([this] { server_->run(); });
  }
  ~DeskServer() override {
    server_->stop();
    runs_.join();
    server_.reset();
    desk_.reset();
    fs::remove_all(above_);
  }

  std::string host() const { return fmt::format("Host: 127.0.0.1:{}\r\n", port_); }
  static std::string token() { return "Authorization: Bearer " + kToken + "\r\n"; }

  Reply said(const std::string& bytes) const {
    Line line(port_);
    EXPECT_TRUE(line.is_open());
    line.say(bytes);
    return reply_in(line.all());
  }
  // `headers` in place of the usual ones.
  Reply with(const std::string& request, const std::string& headers,
             const std::string& body = {}) const {
    return said(request + " HTTP/1.1\r\n" + headers + "\r\n" + body);
  }
  Reply ask(const std::string& request) const { return with(request, host() + token()); }
  Reply send(const std::string& request, const Json& body) const {
    const std::string bytes = body.dump();
    return with(
        request,
        host() + token() +
            fmt::format("Content-Type: application/json\r\nContent-Length: {}\r\n", bytes.size()),
        bytes);
  }
  Reply put(const std::string& name, const std::string& text, const Json& base,
            const std::string& window = "w") const {
    return send("PUT /api/charts/" + name, {{"text", text}, {"base", base}, {"window", window}});
  }
  std::unique_ptr<Line> events() const {
    auto line = std::make_unique<Line>(port_);
    line->say("GET /api/events?window=w HTTP/1.1\r\n" + host() + token() + "\r\n");
    return line;
  }
  // What an export has come to when it has ended.
  Json ended(const std::string& id) const {
    for (int i = 0; i < 3000; ++i) {
      const Json now = ask("GET /api/exports/" + id).json();
      if (now["state"] != "running") return now;
      std::this_thread::sleep_for(20ms);
    }
    return {};
  }

  fs::path above_;
  fs::path path_;
  std::unique_ptr<ChartFolder> folder_;
  std::unique_ptr<Desk> desk_;
  std::unique_ptr<Server> server_;
  std::thread runs_;
  int port_ = 0;
};

TEST_F(DeskServer, GivesThePageToAnybodyHereUnderAStrictPolicy) {
  const Reply page = with("GET /", host());
  EXPECT_EQ(page.status, 200);
  EXPECT_EQ(page.body.find("@NONCE@"), page.body.npos);
  const std::string nonce = page.body.substr(10, 32);
  for (const std::string& header :
       {std::string("default-src 'none'"), "style-src 'self' 'nonce-" + nonce + "'",
        std::string("frame-ancestors 'none'"), std::string("X-Content-Type-Options: nosniff"),
        std::string("Referrer-Policy: no-referrer"),
        std::string("Cross-Origin-Opener-Policy: same-origin"),
        std::string("Cross-Origin-Resource-Policy: same-origin")})
    EXPECT_NE(page.head.find(header), page.head.npos) << header << "\n" << page.head;
  EXPECT_NE(with("GET /", host()).body, page.body) << "a nonce is used once";
  EXPECT_EQ(with("GET /", host()).body.find(kToken), std::string::npos);
  EXPECT_EQ(ask("GET /desk.js").status, 404);
}

TEST_F(DeskServer, CompressesNothing) {
  // Browsers offer it; on one machine it only costs time.
  const Reply page = with("GET /", host() + "Accept-Encoding: gzip, deflate, br\r\n");
  EXPECT_EQ(page.status, 200);
  EXPECT_EQ(page.head.find("Content-Encoding"), std::string::npos) << page.head;
  EXPECT_NE(page.head.find("Content-Length: "), std::string::npos) << page.head;
}

TEST_F(DeskServer, RefusesStrangers) {
  const std::string path = "GET /api/folder";
  EXPECT_EQ(ask(path).status, 200);
  EXPECT_NE(ask(path).head.find("Cache-Control: no-store"), std::string::npos);
  EXPECT_EQ(with(path, host()).status, 401);
  EXPECT_EQ(with(path, host() + "Authorization: Bearer " + std::string(64, 'b') + "\r\n").status,
            401);
  EXPECT_EQ(with(path, host() + "Authorization: Bearer \r\n").status, 401);
  EXPECT_EQ(with(path + "?token=" + kToken, host()).status, 401);
  EXPECT_EQ(with(path, "Host: desk.example\r\n" + token()).status, 403);
  EXPECT_EQ(with(path, fmt::format("Host: desk.example:{}\r\n", port_) + token()).status, 403);
  EXPECT_EQ(with("GET /", "Host: desk.example\r\n").status, 403);
  EXPECT_EQ(with(path, token()).status, 403);
  EXPECT_EQ(with(path, host() + host() + token()).status, 400);
  EXPECT_EQ(with(path, host() + token() + "Origin: https://desk.example\r\n").status, 403);
  EXPECT_EQ(with(path, host() + token() + "Origin: null\r\n").status, 403);
  EXPECT_EQ(with(path, host() + token() + "Sec-Fetch-Site: cross-site\r\n").status, 403);
  EXPECT_EQ(
      with(path, host() + token() + fmt::format("Origin: http://127.0.0.1:{}\r\n", port_)).status,
      200);
  EXPECT_EQ(ask(path).head.find("Access-Control-Allow"), std::string::npos);
}

TEST_F(DeskServer, GivesNothingOutsideTheFolder) {
  for (const char* path :
       {"/api/charts/../secret", "/api/charts/..%2fsecret", "/api/charts/%2e%2e%2fsecret",
        "/api/charts/%2e%2e/secret", "/api/charts/..%5csecret", "/api/charts/%252e%252e%252fsecret",
        "/api/charts/.hidden", "/api/charts/%2ehidden", "/api/charts/Link", "/api/charts/secret%00",
        "/api/charts/Quay/versions/..%2f..%2f..%2fsecret", "/api/charts/..%c0%afsecret",
        "/api/charts/Quay/versions/%2e%2e", "/../secret.stillhand", "/%2e%2e/secret.stillhand",
        "//secret.stillhand", "/api/exports/1/files/..%2f..%2f..%2fQuay.stillhand"}) {
    const Reply reply = ask(std::string("GET ") + path);
    EXPECT_GE(reply.status, 400) << path;
    EXPECT_EQ(reply.body.find(kSecret), reply.body.npos) << path;
    EXPECT_TRUE(reply.json().contains("error")) << path << ": " << reply.body;
  }
  for (const char* name : {"..%2fnew", "%2e%2e%2fnew", "Link", ".new"})
    EXPECT_GE(put(name, "x", nullptr).status, 400) << name;
  EXPECT_GE(send("POST /api/charts/Quay/move", {{"to", "../new"}, {"window", ""}}).status, 400);
  fs::create_directory(path_ / "earlier");
  fs::create_directory(above_ / "000001");
  EXPECT_TRUE(write_file(above_ / "000001" / "000001.stillhand", kSecret));
  fs::create_symlink(above_ / "000001", path_ / "earlier" / "Quay");
  EXPECT_EQ(ask("GET /api/charts/Quay/versions/000001").status, 404);
  EXPECT_EQ(ask("GET /api/charts/Quay/versions").json()["versions"].size(), 0U);
  EXPECT_GE(put("Quay", "x", revision_of(kChart)).status, 400) << "what it replaces has no place";
  EXPECT_EQ(*read_file((above_ / "secret.stillhand").string(), 100), kSecret);
  EXPECT_EQ(std::distance(fs::directory_iterator(above_), {}), 3);
}

TEST_F(DeskServer, RefusesBodiesThatItWillNotRead) {
  const std::string usual = host() + token() + "Content-Type: application/json\r\n";
  const auto status = [&](const std::string& headers, const std::string& body = {}) {
    return with("PUT /api/charts/New", headers, body).status;
  };
  EXPECT_EQ(status(usual), 411);
  EXPECT_EQ(status(usual + "Transfer-Encoding: chunked\r\n", "2\r\n{}\r\n0\r\n\r\n"), 411);
  EXPECT_EQ(status(usual + "Content-Length: 100000000\r\n"), 413);
  EXPECT_EQ(status(usual + "Content-Length: 99999999999999999999999\r\n"), 400);
  EXPECT_EQ(status(usual + "Content-Length: -1\r\n"), 400);
  EXPECT_EQ(status(usual + "Content-Length: 2\r\nContent-Length: 3\r\n", "{}"), 400);
  EXPECT_EQ(status(host() + token() +
                       "Content-Type: application/x-www-form-urlencoded\r\n"
                       "Content-Length: 3\r\n",
                   "a=b"),
            400);
  EXPECT_EQ(status(usual + "Content-Length: 2\r\n", "{{"), 400);
  EXPECT_EQ(put("New", std::string((1 << 20) + 1, 'x'), nullptr).status, 413);
  EXPECT_EQ(ask("GET /api/nothing").status, 404);
  EXPECT_EQ(ask("DELETE /api/folder").status, 405);
  EXPECT_EQ(ask("PATCH /api/folder").status, 405);
  EXPECT_FALSE(fs::exists(path_ / "New.stillhand"));
}

TEST_F(DeskServer, StaysWhateverIsInABody) {
  const auto nested = [](int depth) {
    std::string out = R"({"name":"Quay","text":"key C","choices":)";
    for (int i = 0; i < depth; ++i) out += "{\"a\":";
    return out + "1" + std::string(static_cast<std::size_t>(depth) + 1, '}');
  };
  for (const char* request : {"POST /api/arrange", "PUT /api/charts/Quay/choices"}) {
    const std::string body = nested(200000);
    const Reply reply = with(request,
                             host() + token() + "Content-Type: application/json\r\n" +
                                 fmt::format("Content-Length: {}\r\n", body.size()),
                             body);
    EXPECT_EQ(reply.status, 400) << request;
    EXPECT_EQ(reply.json()["error"], "the body is no JSON object");
  }
  // Brackets in a text are a text.
  EXPECT_EQ(put("Deep", std::string(1000, '[') + "\"{\\", nullptr).status, 200);
  const Reply large = send("PUT /api/charts/Quay/choices", {{"x", std::string(20000, 'x')}});
  EXPECT_EQ(large.status, 413);
  EXPECT_EQ(large.json()["error"], "these choices are too large");
  EXPECT_EQ(send("PUT /api/charts/Quay/choices", {{"manner", "closest"}}).status, 200);
  EXPECT_EQ(ask("GET /api/charts/Quay").json()["choices"]["manner"], "closest");
}

TEST_F(DeskServer, SaysThatItsFolderHasGone) {
  const fs::path away = above_ / "away";
  fs::rename(path_, away);
  const Reply list = ask("GET /api/folder");
  EXPECT_EQ(list.status, 500);
  EXPECT_NE(list.body.find("cannot read the folder: No such file or directory"), list.body.npos)
      << list.body;
  EXPECT_EQ(ask("GET /api/charts/Quay").status, 500);
  const Reply wish =
      send("POST /api/exports", {{"name", "Quay"}, {"text", kChart}, {"what", {"midi"}}});
  EXPECT_EQ(wish.status, 500);
  EXPECT_EQ(wish.json()["error"], path_.string() + " is not there any more");
  EXPECT_FALSE(fs::exists(path_));
  fs::rename(away, path_);
  EXPECT_EQ(ask("GET /api/charts/Quay").status, 200);
}

TEST_F(DeskServer, ServesOthersWhileSomeKeepStill) {
  std::vector<std::unique_ptr<Line>> still;
  for (int i = 0; i < 40; ++i) {
    still.push_back(std::make_unique<Line>(port_));
    if (i % 2 == 0) still.back()->say("PUT /api/charts/Quay HTTP/1.1\r\nHost: 127");
  }
  EXPECT_EQ(ask("GET /api/folder").status, 200);
  still.clear();
  {
    // Breaks off within its body: nothing is saved.
    const Line line(port_);
    line.say("PUT /api/charts/Half HTTP/1.1\r\n" + host() + token() +
             "Content-Type: application/json\r\nContent-Length: 1000\r\n\r\n{\"text\":\"a\"");
  }
  EXPECT_EQ(ask("GET /api/charts/Half").status, 404);
}

TEST_F(DeskServer, ToldNonsenseItGoesOn) {
  std::mt19937 random(20260301);
  const auto up_to = [&](int most) { return std::uniform_int_distribution<int>(0, most)(random); };
  const std::array<std::string, 20> words{"GET",      "PUT",    "POST",   "DELETE",    "OPTIONS",
                                          " ",        "/",      "/api",   "/charts",   "/Quay",
                                          "/exports", "/files", "/piano", "%",         "%2e%2e",
                                          "%00",      "..",     "\r\n",   " HTTP/1.1", "/versions"};
  const std::array<std::string, 9> headers{"Content-Length: 5\r\n",
                                           "Content-Length: x\r\n",
                                           "Transfer-Encoding: chunked\r\n",
                                           "Expect: 100-continue\r\n",
                                           "Range: bytes=0-1,5-,-9\r\n",
                                           ": \r\n",
                                           "Connection: keep-alive\r\n",
                                           "Content-Type: multipart/form-data; boundary=\r\n",
                                           "Content-Type: application/json\r\n"};
  for (int i = 0; i < 300; ++i) {
    std::string request;
    const bool is_polite = up_to(1) == 0;
    if (is_polite) request = words[static_cast<std::size_t>(up_to(4))] + " /api";
    for (int n = up_to(6); n >= 0; --n) request += words[static_cast<std::size_t>(up_to(19))];
    if (up_to(4) == 0) request += std::string(static_cast<std::size_t>(up_to(9000)), 'x');
    request += " HTTP/1.1\r\n";
    if (is_polite) request += host() + token();
    for (int n = up_to(3); n > 0; --n) request += headers[static_cast<std::size_t>(up_to(8))];
    request += "\r\n";
    for (int n = up_to(20); n > 0; --n) request += static_cast<char>(up_to(255));
    Line line(port_);
    line.say(request);
    line.hang_up();
    const std::string heard = line.all();
    EXPECT_TRUE(heard.empty() || heard.starts_with("HTTP/1.1 ")) << request << "\n" << heard;
    EXPECT_EQ(heard.find(kSecret), heard.npos) << request;
    EXPECT_FALSE(heard.starts_with("HTTP/1.1 500")) << request << "\n" << heard;
  }
  EXPECT_EQ(ask("GET /api/folder").status, 200);
  EXPECT_EQ(std::distance(fs::directory_iterator(above_), {}), 2);
}

TEST_F(DeskServer, TellsEveryPageAndCountsThem) {
  std::vector<std::unique_ptr<Line>> pages;
  for (std::size_t i = 0; i < kMostStreams; ++i) {
    pages.push_back(events());
    EXPECT_NE(pages.back()->until(": here").find("200 OK"), std::string::npos);
  }
  EXPECT_EQ(ask("GET /api/events?window=w").status, 429);
  EXPECT_EQ(put("New", kChart, nullptr, "window 7").status, 200);
  ASSERT_TRUE(write_file(path_ / "Quay.stillhand", "by another program"));
  for (const auto& page : pages) {
    EXPECT_NE(page->until("window 7").find("event: chart"), std::string::npos);
    const std::string revision = revision_of("by another program");
    EXPECT_NE(page->until(revision).find(revision + "\",\"window\":\"\""), std::string::npos);
  }
}

TEST_F(DeskServer, OfTwoWindowsTheSecondIsToldAndLosesNothing) {
  const std::string base = ask("GET /api/charts/Quay").json()["revision"];
  EXPECT_EQ(put("Quay", "first", base).status, 200);
  const Reply second = put("Quay", "second", base);
  EXPECT_EQ(second.status, 409);
  EXPECT_EQ(second.json()["text"], "first");
  EXPECT_EQ(put("Quay", "second", second.json()["revision"]).status, 200);
  const Json versions = ask("GET /api/charts/Quay/versions").json()["versions"];
  ASSERT_EQ(versions.size(), 2);
  const std::string newest = versions[0]["id"];
  EXPECT_EQ(ask("GET /api/charts/Quay/versions/" + newest).json()["text"], "first");
}

TEST_F(DeskServer, FiftyClientsAtOnceMeetNoError) {
  constexpr int kClients = 50;
  std::atomic<int> failed = 0;
  std::vector<std::thread> clients;
  clients.reserve(kClients);
  for (int i = 0; i < kClients; ++i) {
    clients.emplace_back([&, i] {
      const std::string name = fmt::format("Song{}", i);
      Json base = nullptr;
      for (int n = 0; n < 3; ++n) {
        const std::string text = fmt::format("{}; {}\n", kChart, n);
        const Reply saved = put(name, text, base);
        if (saved.status != 200)
          ++failed;
        else
          base = saved.json()["revision"];
        const Reply read = ask("GET /api/charts/" + name);
        if (read.status != 200 || read.json()["text"] != text) ++failed;
        if (send("POST /api/format", {{"name", name}, {"text", text}}).status != 200) ++failed;
      }
    });
  }
  for (std::thread& client : clients) client.join();
  EXPECT_EQ(failed, 0);
  EXPECT_EQ(ask("GET /api/folder").json()["charts"].size(), kClients + 1U);
}

TEST_F(DeskServer, MakesWhatIsWishedAndStopsWhenToldTo) {
  Json wish{{"name", "Quay"}, {"text", kChart}, {"what", {"midi"}}};
  const Json small = send("POST /api/exports", wish).json();
  ASSERT_TRUE(small.contains("id")) << small;
  const Json done = ended(small["id"]);
  EXPECT_EQ(done["state"], "done") << done;
  EXPECT_EQ(done["files"].size(), 3) << done;
  const std::string at = "GET /api/exports/" + std::string(small["id"]);
  EXPECT_TRUE(ask(at + "/files/song.mid").body.starts_with("MThd"));
  EXPECT_EQ(ask(at + "/files/nothing.mid").status, 404);
  EXPECT_TRUE(fs::exists(path_ / "lessons" / "Quay" / "manifest.json"));

  wish["what"] = Json::array();
  auto page = events();
  page->until(": here");
  const std::string id = send("POST /api/exports", wish).json()["id"];
  EXPECT_EQ(send("POST /api/exports", wish).status, 409);
  page->until("drawing the sheets");
  EXPECT_EQ(ask("DELETE /api/exports/" + id).status, 200);
  EXPECT_EQ(ended(id)["state"], "cancelled");
  EXPECT_FALSE(fs::exists(path_ / "lessons" / "Quay" / "manifest.json"));
  std::size_t there = 0;
  for (const auto& entry : fs::recursive_directory_iterator(path_ / "lessons" / "Quay")) {
    EXPECT_NE(entry.path().extension(), ".tmp") << entry.path();
    there += entry.is_regular_file() ? 1 : 0;
  }
  const Json told = ended(id)["files"];
  EXPECT_EQ(told.size(), there) << told;
  for (const Json& file : told) {
    const std::string name = file["name"];
    EXPECT_EQ(ask("GET /api/exports/" + id + "/files/" + name).body.size(), file["bytes"]) << name;
  }
  EXPECT_TRUE(std::any_of(told.begin(), told.end(), [](const Json& file) {
    return file["name"] == "lesson.json";
  })) << told;

  fs::remove_all(path_ / "lessons" / "Quay" / "tracks");
  fs::create_directory_symlink(above_, path_ / "lessons" / "Quay" / "tracks");
  const Reply linked = send("POST /api/exports", wish);
  EXPECT_EQ(linked.status, 500);
  EXPECT_EQ(linked.json()["error"],
            (path_ / "lessons" / "Quay" / "tracks").string() + " is a link");
  fs::remove(path_ / "lessons" / "Quay" / "tracks");

  wish["what"] = {"gold"};
  EXPECT_EQ(send("POST /api/exports", wish).status, 400);
  wish["what"] = {"midi"};
  wish["calls"] = "sung";
  EXPECT_EQ(send("POST /api/exports", wish).status, 400);
  wish.erase("calls");
  wish["name"] = "../Quay";
  EXPECT_EQ(send("POST /api/exports", wish).status, 400);
  wish["name"] = "Quay";
  wish["text"] = "key C\nsection A\n| Hx |\n";
  EXPECT_EQ(send("POST /api/exports", wish).status, 422);
}

class HurriedDeskServer : public DeskServer {
 protected:
  HurriedDeskServer() : DeskServer(PaceLimits{.a_second = 0, .at_once = 3}) {}
};

TEST_F(HurriedDeskServer, AsksForAMomentsRest) {
  for (int i = 0; i < 20; ++i)
    EXPECT_EQ(with("GET /api/folder", host() + "Authorization: Bearer x\r\n").status, 401);
  for (int i = 0; i < 3; ++i)
    EXPECT_EQ(ask("GET /api/folder").status, 200) << "what strangers ask is not counted";
  const Reply refused = ask("GET /api/folder");
  EXPECT_EQ(refused.status, 429);
  EXPECT_NE(refused.head.find("Retry-After: 1"), std::string::npos) << refused.head;
  EXPECT_EQ(refused.json()["error"], "the desk gets more requests than it takes");
  EXPECT_EQ(with("GET /", host()).status, 200) << "the page itself always comes";
}

TEST(KeptToken, IsTheSameAfterARestartAndForItsOwnerOnly) {
  std::string name = (fs::temp_directory_path() / "stillhand-token-XXXXXX").string();
  const fs::path folder = ::mkdtemp(name.data());
  const auto first = kept_token(folder / "state");
  ASSERT_TRUE(first);
  EXPECT_EQ(first->size(), 64U);
  EXPECT_EQ(*kept_token(folder / "state"), *first);
  const fs::path file = folder / "state" / "desk-token";
  struct stat found {};
  ASSERT_EQ(::stat(file.c_str(), &found), 0);
  EXPECT_EQ(found.st_mode & 0777, 0600U);
  fs::permissions(file, fs::perms::group_read, fs::perm_options::add);
  EXPECT_NE(*kept_token(folder / "state"), *first) << "others may have read it";
  fs::remove_all(folder);
}

// One that saves on and on and says what it has saved; it is killed in the middle.
TEST(KilledDesk, LosesNoAcknowledgedSave) {
  // In memory where there is such a place: a program that is killed needs no disk, and thousands of syncs take long.
  const fs::path quick = fs::is_directory("/dev/shm") ? "/dev/shm" : fs::temp_directory_path();
  std::string pattern = (quick / "stillhand-killed-XXXXXX").string();
  const fs::path path = ::mkdtemp(pattern.data());
  std::mt19937 random(1);
  int acknowledged = 0;
  // All of the last 100 versions are kept, so each round has a chart of its own with fewer.
  for (int round = 0; acknowledged < 1000; ++round) {
    const std::string name = fmt::format("Song{}", round);
    const auto text = [&](int i) { return fmt::format("{}; {}\n", kChart, i); };
    const int enough = std::uniform_int_distribution<int>(40, 98)(random);
    std::array<int, 2> pipe{};
    ASSERT_EQ(::pipe(pipe.data()), 0);
    const pid_t child = ::fork();
    if (child == 0) {
      auto folder = ChartFolder::open(path);
      std::optional<std::string> base;
      for (int i = 0; i < 100; ++i) {
        const auto saved = (*folder)->save(name, text(i), base);
        if (!saved || !std::holds_alternative<Saved>(*saved)) ::_exit(1);
        base = std::get<Saved>(*saved).revision;
        if (::write(pipe[1], "x", 1) != 1) ::_exit(1);
      }
      ::pause();
    }
    ::close(pipe[1]);
    int heard = 0;
    char one = 0;
    while (heard < enough && ::read(pipe[0], &one, 1) == 1) ++heard;
    ::kill(child, SIGKILL);
    while (::read(pipe[0], &one, 1) == 1) ++heard;
    ::close(pipe[0]);
    int status = 0;
    ::waitpid(child, &status, 0);
    ASSERT_TRUE(WIFSIGNALED(status)) << "it failed by itself after " << heard;
    acknowledged += heard;

    const auto folder = *ChartFolder::open(path);
    std::set<std::string> kept{(*folder->read(name))->text};
    const auto versions = folder->versions(name);
    ASSERT_TRUE(versions);
    for (const Version& version : *versions) kept.insert(**folder->version(name, version.id));
    for (int i = 0; i < heard; ++i) ASSERT_EQ(kept.count(text(i)), 1U) << name << ", save " << i;
    ASSERT_LE(kept.size(), static_cast<std::size_t>(heard) + 1) << "and no half-written one";
  }
  fs::remove_all(path);
}

}  // namespace
}  // namespace stillhand::desk
