#include "desk/folder.h"

#include <fcntl.h>
#include <gtest/gtest.h>
#include <sys/file.h>
#include <unistd.h>

#include <fstream>
#include <nlohmann/json.hpp>
#include <set>
#include <thread>

#include "base/files.h"

namespace stillhand::desk {
namespace {

namespace fs = std::filesystem;

class Folder : public ::testing::Test {
 protected:
  Folder() {
    std::string name = (fs::temp_directory_path() / "stillhand-folder-XXXXXX").string();
    path_ = ::mkdtemp(name.data());
    folder_ = *ChartFolder::open(path_);
  }
  ~Folder() override { fs::remove_all(path_); }

  std::string saved(const std::string& name, const std::string& text,
                    const std::optional<std::string>& base) {
    const auto done = folder_->save(name, text, base);
    EXPECT_TRUE(done);
    const auto* saved = std::get_if<Saved>(&*done);
    return saved != nullptr ? saved->revision : "overtaken";
  }

  fs::path path_;
  std::unique_ptr<ChartFolder> folder_;
};

TEST(Revision, IsSha256) {
  // FIPS 180-4, the example "abc".
  EXPECT_EQ(revision_of("abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
}

TEST(PlainName, HasNoWayOutOfTheFolder) {
  for (const char* name : {"Quay", "Lamps along the quay", "été", "a.b", "1"})
    EXPECT_TRUE(is_plain_name(name));
  for (const std::string& name :
       {std::string(), std::string(".hidden"), std::string(".."), std::string("a/b"),
        std::string("a\\b"), std::string("a\nb"), std::string("a\0b", 3), std::string(" a"),
        std::string("\xff"), std::string(121, 'x')})
    EXPECT_FALSE(is_plain_name(name)) << name;
}

TEST_F(Folder, KeepsWhatASaveReplaces) {
  const std::string first = saved("Quay", "one", std::nullopt);
  const std::string second = saved("Quay", "two", first);
  EXPECT_EQ(saved("Quay", "three", second), revision_of("three"));
  EXPECT_EQ((*folder_->read("Quay"))->text, "three");
  const auto versions = *folder_->versions("Quay");
  ASSERT_EQ(versions.size(), 2);
  EXPECT_EQ(*folder_->version("Quay", versions[0].id), "two");
  EXPECT_EQ(*folder_->version("Quay", versions[1].id), "one");
  EXPECT_EQ(saved("Quay", "three", revision_of("three")), revision_of("three"));
  EXPECT_EQ(folder_->versions("Quay")->size(), 2) << "the same text is no new one";
}

TEST_F(Folder, NeverWritesOverAnotherText) {
  const std::string first = saved("Quay", "one", std::nullopt);
  EXPECT_EQ(saved("Quay", "mine", std::nullopt), "overtaken");
  ASSERT_TRUE(write_file(path_ / "Quay.stillhand", "by hand"));
  EXPECT_EQ(saved("Quay", "two", first), "overtaken");
  EXPECT_EQ((*folder_->read("Quay"))->text, "by hand");
  fs::remove(path_ / "Quay.stillhand");
  EXPECT_EQ(saved("Quay", "two", first), "overtaken") << "the file has gone";
}

TEST_F(Folder, FollowsNoLink) {
  ASSERT_TRUE(write_file(path_ / "secret", "secret"));
  fs::create_symlink(path_ / "secret", path_ / "Link.stillhand");
  EXPECT_FALSE(folder_->read("Link"));
  EXPECT_FALSE(folder_->save("Link", "text", std::nullopt));
  EXPECT_TRUE(folder_->charts()->empty());
  EXPECT_EQ(*folder_->read("../secret"), std::nullopt);
  EXPECT_EQ(*read_file((path_ / "secret").string(), 100), "secret");
  fs::create_directory_symlink("/", path_ / "earlier");
  const std::string first = saved("Quay", "one", std::nullopt);
  EXPECT_FALSE(folder_->save("Quay", "two", first)) << "earlier versions would leave the folder";
  EXPECT_EQ((*folder_->read("Quay"))->text, "one");
}

TEST_F(Folder, ThinsOldVersionsOnly) {
  std::string revision = saved("Quay", "0", std::nullopt);
  for (int i = 1; i <= 250; ++i) revision = saved("Quay", std::to_string(i), revision);
  const auto versions = *folder_->versions("Quay");
  // 250 replaced texts: the last 100, and every tenth of those before.
  ASSERT_EQ(versions.size(), 100 + 15);
  for (std::size_t i = 0; i < 100; ++i)
    EXPECT_EQ(*folder_->version("Quay", versions[i].id), std::to_string(249 - static_cast<int>(i)));
}

TEST_F(Folder, RenamesAndRemovesWithTheirHistory) {
  saved("Quay", "two", saved("Quay", "one", std::nullopt));
  ASSERT_TRUE(folder_->choose("Quay", {{"manner", "closest"}}));
  saved("Other", "x", std::nullopt);
  EXPECT_FALSE(*folder_->move("Quay", "Other"));
  EXPECT_TRUE(*folder_->move("Quay", "Harbour"));
  EXPECT_EQ(*folder_->read("Quay"), std::nullopt);
  EXPECT_EQ((*folder_->read("Harbour"))->text, "two");
  EXPECT_EQ(folder_->versions("Harbour")->size(), 1);
  EXPECT_EQ(folder_->choices("Harbour").dump(), R"({"manner":"closest"})");
  EXPECT_TRUE(*folder_->remove("Harbour"));
  EXPECT_FALSE(*folder_->remove("Harbour"));
  EXPECT_EQ(*folder_->version("Harbour", "000002"), "two");
}

TEST_F(Folder, SeesWhatOthersDo) {
  const std::string first = saved("Quay", "one", std::nullopt);
  folder_->look();
  saved("Quay", "two", first);
  EXPECT_TRUE(folder_->look().charts.empty()) << "its own save is no news";
  ASSERT_TRUE(write_file(path_ / "Quay.stillhand", "by hand"));
  ASSERT_TRUE(write_file(path_ / "mara.student", "level 2\n"));
  const auto news = folder_->look();
  EXPECT_EQ(news.charts.at("Quay"), revision_of("by hand"));
  EXPECT_TRUE(news.list);
  fs::remove(path_ / "Quay.stillhand");
  EXPECT_EQ(folder_->look().charts.at("Quay"), std::nullopt);
}

TEST_F(Folder, OfTwoDesksNeitherLosesASave) {
  constexpr int kSaves = 40;
  saved("Quay", "0", std::nullopt);
  std::vector<std::thread> desks;
  for (const std::string who : {"a", "b"}) {
    desks.emplace_back([this, who] {
      const auto own = *ChartFolder::open(path_);
      for (int i = 0; i < kSaves; ++i) {
        for (bool is_saved = false; !is_saved;) {
          const auto there = *own->read("Quay");
          const auto done = own->save("Quay", who + std::to_string(i), there->revision);
          ASSERT_TRUE(done) << done.error().front().message;
          is_saved = std::holds_alternative<Saved>(*done);
        }
        ASSERT_TRUE(own->choose(who + std::to_string(i), {{"manner", "closest"}}));
      }
    });
  }
  for (std::thread& desk : desks) desk.join();
  std::set<std::string> kept{(*folder_->read("Quay"))->text};
  const auto versions = *folder_->versions("Quay");
  for (const Version& version : versions) kept.insert(**folder_->version("Quay", version.id));
  EXPECT_EQ(kept.size(), 2 * kSaves + 1);
  for (const std::string who : {"a", "b"}) {
    for (int i = 0; i < kSaves; ++i)
      EXPECT_FALSE(folder_->choices(who + std::to_string(i)).empty()) << who << i;
  }
}

TEST_F(Folder, WaitsForAnotherDeskButNotForEver) {
  const int fd = ::open(path_.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  ASSERT_EQ(::flock(fd, LOCK_EX), 0);
  const auto refused = folder_->save("Quay", "one", std::nullopt);
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().front().message, "another program keeps this folder locked");
  EXPECT_EQ(refused.error().front().suggestion, "end the other desk of this folder, and try again");
  ::close(fd);
  EXPECT_EQ(saved("Quay", "one", std::nullopt), revision_of("one"));
}

TEST_F(Folder, ThatHasGoneIsNoEmptyOne) {
  const std::string first = saved("Quay", "one", std::nullopt);
  folder_->look();
  const fs::path away = path_.string() + "-away";
  fs::rename(path_, away);
  EXPECT_FALSE(folder_->charts());
  EXPECT_FALSE(folder_->read("Quay")) << "not this chart has gone";
  EXPECT_FALSE(folder_->save("Quay", "two", first));
  EXPECT_FALSE(folder_->save("New", "two", std::nullopt));
  EXPECT_FALSE(folder_->choose("Quay", {{"manner", "closest"}}));
  EXPECT_TRUE(folder_->look().charts.empty());
  EXPECT_FALSE(fs::exists(path_)) << "nor is it made anew";
  fs::rename(away, path_);
  const auto back = folder_->look();
  EXPECT_TRUE(back.charts.empty() && !back.list) << "nothing has changed";
  EXPECT_EQ(saved("Quay", "two", first), revision_of("two"));
}

TEST_F(Folder, RenamesAndWritesThroughNoLink) {
  saved("Quay", "one", std::nullopt);
  const fs::path outside = path_.string() + "-outside";
  fs::create_directories(outside / "Quay");
  fs::create_directory_symlink(outside, path_ / "earlier");
  ASSERT_FALSE(folder_->move("Quay", "Pier"));
  EXPECT_TRUE(fs::exists(outside / "Quay"));
  EXPECT_EQ((*folder_->read("Quay"))->text, "one");
  // The name beside which a chart is written can be guessed.
  ASSERT_TRUE(write_file(outside / "other", "other"));
  fs::create_symlink(outside / "other",
                     path_ / (".New.stillhand." + std::to_string(::getpid()) + ".tmp"));
  EXPECT_FALSE(folder_->save("New", "two", std::nullopt));
  EXPECT_EQ(*read_file((outside / "other").string(), 100), "other");
  fs::remove_all(outside);
}

TEST_F(Folder, ListsTenThousandCharts) {
  for (int i = 0; i < 10000; ++i)
    std::ofstream(path_ / ("Song " + std::to_string(i) + ".stillhand")) << "title T\n";
  EXPECT_EQ(folder_->charts()->size(), 10000);
  folder_->look();
  ASSERT_TRUE(write_file(path_ / "A.stillhand", "new"));
  const auto news = folder_->look().charts;
  EXPECT_EQ(news.size(), 1) << "one has come, and none has gone";
}

TEST_F(Folder, TakesEmptyChartsAndBytesThatAreNoText) {
  ASSERT_TRUE(write_file(path_ / "Empty.stillhand", ""));
  ASSERT_TRUE(write_file(path_ / "Odd.stillhand", "title Qu\xff\n"));
  EXPECT_EQ((*folder_->read("Empty"))->text, "");
  ASSERT_EQ(folder_->charts()->size(), 2);
  EXPECT_EQ(folder_->charts()->back().title, "Qu\xef\xbf\xbd");
  saved("Odd", "title Quay\n", revision_of("title Qu\xff\n"));
  EXPECT_EQ(**folder_->version("Odd", "000001"), "title Qu\xff\n") << "as it was, byte for byte";
}

TEST_F(Folder, TakesTitlesFromChartsThatAreWrong) {
  saved("Quay", "; a remark\n\ntitle   Lamps Along the Quay  ; our own\n| nonsense", std::nullopt);
  ASSERT_EQ(folder_->charts()->size(), 1);
  EXPECT_EQ(folder_->charts()->front().title, "Lamps Along the Quay");
}

}  // namespace
}  // namespace stillhand::desk
