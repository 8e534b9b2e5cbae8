#include "base/files.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/resource.h>
#include <unistd.h>

#include <csignal>
#include <fstream>
#include <string>

namespace stillhand {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;

class Files : public testing::Test {
 protected:
  void SetUp() override {
    std::string pattern = (fs::temp_directory_path() / "stillhand-files-XXXXXX").string();
    ASSERT_NE(::mkdtemp(pattern.data()), nullptr);
    folder_ = pattern;
  }
  void TearDown() override { fs::remove_all(folder_); }

  std::size_t entries() const {
    return static_cast<std::size_t>(
        std::distance(fs::directory_iterator(folder_), fs::directory_iterator()));
  }

  fs::path folder_;
};

TEST_F(Files, WhatIsWrittenIsRead) {
  const fs::path path = folder_ / "a.bin";
  const std::string bytes("one\0two\n", 8);
  ASSERT_TRUE(write_file(path, bytes));
  EXPECT_EQ(read_file(path.string(), 100).value(), bytes);
  ASSERT_TRUE(write_file(path, "new"));
  EXPECT_EQ(read_file(path.string(), 100).value(), "new");
  EXPECT_EQ(entries(), 1U) << "nothing is left beside the file";
}

TEST_F(Files, AFileOverTheLimitIsRefused) {
  const fs::path path = folder_ / "big";
  ASSERT_TRUE(write_file(path, std::string(2048, 'x')));
  EXPECT_TRUE(read_file(path.string(), 2048));
  const Result<std::string> big = read_file(path.string(), 2047);
  ASSERT_FALSE(big);
  EXPECT_EQ(big.error()[0].fault, Fault::chart) << "reading went well; the content is wrong";
  EXPECT_EQ(render(big.error()[0]), path.string() +
                                        ": error: it is larger than 1 KB\n"
                                        "  is this the right file?");
}

TEST_F(Files, AnEndlessFileIsReadNoFurtherThanTheLimit) {
  EXPECT_FALSE(read_file("/dev/zero", 1 << 20));
}

TEST_F(Files, AMissingFileAndAFolderSaySo) {
  const std::string missing = (folder_ / "none").string();
  const Result<std::string> nothing = read_file(missing, 10);
  ASSERT_FALSE(nothing);
  EXPECT_EQ(render(nothing.error()[0]), missing +
                                            ": error: cannot read: No such file or directory\n"
                                            "  check the name and the folder");
  const Result<std::string> folder = read_file(folder_.string(), 10);
  ASSERT_FALSE(folder);
  EXPECT_THAT(folder.error()[0].message, HasSubstr("Is a directory"));
}

TEST_F(Files, AFailedWriteKeepsTheOldFileAndLeavesNothingBeside) {
  const fs::path path = folder_ / "a";
  ASSERT_TRUE(write_file(path, "old"));
  rlimit before{};
  ASSERT_EQ(::getrlimit(RLIMIT_FSIZE, &before), 0);
  const auto old_handler = std::signal(SIGXFSZ, SIG_IGN);
  rlimit small = before;
  small.rlim_cur = 1000;
  ASSERT_EQ(::setrlimit(RLIMIT_FSIZE, &small), 0);
  const Result<void> failed = write_file(path, std::string(5000, 'x'));
  ASSERT_EQ(::setrlimit(RLIMIT_FSIZE, &before), 0);
  (void)std::signal(SIGXFSZ, old_handler);
  ASSERT_FALSE(failed);
  EXPECT_EQ(failed.error()[0].fault, Fault::file);
  EXPECT_EQ(read_file(path.string(), 100).value(), "old");
  EXPECT_EQ(entries(), 1U);
}

TEST_F(Files, AnUncommittedPendingFileVanishes) {
  {
    const PendingFile pending(folder_ / "a");
    std::ofstream(pending.path()) << "half";
    EXPECT_EQ(entries(), 1U);
  }
  EXPECT_EQ(entries(), 0U);
}

TEST_F(Files, ACommittedPendingFileTakesItsName) {
  PendingFile pending(folder_ / "a");
  std::ofstream(pending.path()) << "whole";
  ASSERT_TRUE(pending.commit());
  EXPECT_EQ(read_file((folder_ / "a").string(), 10).value(), "whole");
}

TEST_F(Files, CommitWithoutAFileIsAnError) {
  PendingFile pending(folder_ / "a");
  EXPECT_FALSE(pending.commit());
}

TEST_F(Files, FoldersAreMadeWithTheirParents) {
  EXPECT_TRUE(make_folder(folder_ / "x/y"));
  EXPECT_TRUE(make_folder(folder_ / "x/y")) << "an existing folder is fine";
}

TEST_F(Files, AFolderUnderAFileIsRefused) {
  ASSERT_TRUE(write_file(folder_ / "file", "x"));
  for (const char* name : {"file", "file/below"}) {
    const Result<void> made = make_folder(folder_ / name);
    ASSERT_FALSE(made) << name;
    EXPECT_EQ(made.error()[0].fault, Fault::file);
    EXPECT_EQ(made.error()[0].suggestion,
              "a part of this path is a file, not a folder; choose another");
  }
}

TEST_F(Files, AReadOnlyPlaceIsRefused) {
  if (!fs::exists("/proc/self")) GTEST_SKIP() << "no /proc here";
  EXPECT_FALSE(make_folder("/proc/stillhand"));
}

}  // namespace
}  // namespace stillhand
