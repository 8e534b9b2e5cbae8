#include "desk/gate.h"

#include <gtest/gtest.h>

#include <vector>

namespace stillhand::desk {
namespace {

const std::string kToken(64, 'a');

RequestHead good(Method method, std::string path) {
  RequestHead head;
  head.method = method;
  head.path = std::move(path);
  head.host = "127.0.0.1:8437";
  head.authorization = "Bearer " + kToken;
  if (method == Method::post || method == Method::put) {
    head.content_length = "2";
    head.content_type = "application/json";
  }
  return head;
}

Status met(const RequestHead& head) {
  const auto refused = Gate{{8437}, kToken}.refusal(head);
  return refused ? refused->status : Status::ok;
}

TEST(Gate, LetsThePageIn) {
  EXPECT_EQ(met(good(Method::get, "/api/folder")), Status::ok);
  EXPECT_EQ(met(good(Method::post, "/api/arrange")), Status::ok);
  EXPECT_EQ(met(good(Method::put, "/api/charts/Quay")), Status::ok);
  EXPECT_EQ(met(good(Method::remove, "/api/charts/Quay")), Status::ok);
  RequestHead page = good(Method::get, "/");
  page.authorization.reset();
  EXPECT_EQ(met(page), Status::ok);
  page.host = "localhost:8437";
  page.origin = "http://localhost:8437";
  page.fetch_site = "same-origin";
  EXPECT_EQ(met(page), Status::ok);
}

TEST(Gate, AnswersNoOtherHost) {
  for (const char* host : {"evil.example:8437", "127.0.0.1", "127.0.0.1:8438",
                           "localhost.evil.example:8437", "[::1]:8437", ""}) {
    RequestHead head = good(Method::get, "/api/folder");
    head.host = host;
    EXPECT_EQ(met(head), Status::foreign_origin) << host;
  }
  RequestHead head = good(Method::get, "/");
  head.host.reset();
  EXPECT_EQ(met(head), Status::foreign_origin);
}

TEST(Gate, AnswersNoOtherPage) {
  for (const char* origin :
       {"http://evil.example", "null", "https://127.0.0.1:8437", "http://127.0.0.1:8438"}) {
    RequestHead head = good(Method::post, "/api/arrange");
    head.origin = origin;
    EXPECT_EQ(met(head), Status::foreign_origin) << origin;
  }
  RequestHead head = good(Method::post, "/api/arrange");
  head.fetch_site = "cross-site";
  EXPECT_EQ(met(head), Status::foreign_origin);
}

TEST(Gate, WantsTheToken) {
  for (const std::string& shown : {std::string(), "Bearer " + std::string(64, 'b'),
                                   "Bearer " + kToken + "a", "Basic " + kToken, kToken}) {
    RequestHead head = good(Method::get, "/api/folder");
    head.authorization = shown;
    EXPECT_EQ(met(head), Status::no_token) << shown;
  }
}

TEST(Gate, WantsABodyOfKnownLength) {
  RequestHead head = good(Method::put, "/api/charts/Quay");
  head.content_length.reset();
  EXPECT_EQ(met(head), Status::no_length);
  head.content_length = "2";
  head.transfer_encoding = "chunked";
  EXPECT_EQ(met(head), Status::no_length);
  head.transfer_encoding.reset();
  for (const char* length : {"-1", "2x", "", "0x10", "99999999999999999999999"}) {
    head.content_length = length;
    EXPECT_EQ(met(head), Status::not_understood) << length;
  }
  head.content_length = std::to_string(kLargestBody + 1);
  EXPECT_EQ(met(head), Status::too_large);
  head.path = "/api/import";
  EXPECT_EQ(met(head), Status::ok);
  head.content_length = std::to_string(kLargestImport + 1);
  EXPECT_EQ(met(head), Status::too_large);
  head.content_length = "2";
  head.content_type = "text/plain";
  EXPECT_EQ(met(head), Status::not_understood);
}

TEST(Gate, RefusesWhatCameTwiceOrIsTooLong) {
  RequestHead head = good(Method::get, "/api/folder");
  head.has_doubled_header = true;
  EXPECT_EQ(met(head), Status::not_understood);
  EXPECT_EQ(met(good(Method::get, "/api/" + std::string(2000, 'x'))), Status::not_found);
  EXPECT_EQ(met(good(Method::other, "/api/folder")), Status::no_such_method);
}

}  // namespace
}  // namespace stillhand::desk
