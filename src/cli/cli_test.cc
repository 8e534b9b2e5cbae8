// The program from outside: every command, and every bad input, through the built binary.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>
#include <vector>

namespace stillhand::cli {
namespace {

namespace fs = std::filesystem;
using testing::ElementsAre;
using testing::ElementsAreArray;
using testing::EndsWith;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::Not;
using testing::StartsWith;

const char* const kGood =
    "title Two Lamps\n"
    "key C\n"
    "meter 4/4\n"
    "tempo 90\n"
    "section Verse\n"
    "| C | G/B | Am | F |\n"
    "\" one | two | three | four |\n"
    "| C | G | C | C |\n";

struct Ran {
  int status = -1;  // exit status; -1: ended by a signal
  std::string out;
  std::string err;
};

std::string content_of(const fs::path& path) {
  std::ifstream in(path, std::ios::binary);
  std::ostringstream out;
  out << in.rdbuf();
  return out.str();
}

// What stands in a lesson's folder, and `more`, sorted.
std::vector<std::string> lesson_files(std::vector<std::string> more) {
  for (const char* name : {"lesson.json", "sheet.pdf", "sheet-large.pdf", "sheet-numbers.pdf",
                           "moves.pdf", "plan.md", "plan.pdf", "practice.md", "practice.pdf",
                           "page.html", "song.mid", "song.musicxml", "tracks"})
    more.emplace_back(name);
  std::sort(more.begin(), more.end());
  return more;
}

// A fresh folder, and the built program in a shell standing in it.
class CommandLine : public testing::Test {
 protected:
  void SetUp() override {
    std::string pattern = (fs::temp_directory_path() / "stillhand-cli-XXXXXX").string();
    ASSERT_NE(::mkdtemp(pattern.data()), nullptr);
    folder_ = pattern;
    write("good.stillhand", kGood);
  }
  void TearDown() override {
    std::error_code ignored;
    fs::remove_all(folder_, ignored);
  }

  Ran shell(const std::string& command) const {
    const fs::path out = folder_ / ".out";
    const fs::path err = folder_ / ".err";
    const std::string line = "cd '" + folder_.string() +
                             "' && PATH='" STILLHAND_BINARY_DIR "':\"$PATH\" && export PATH && { " +
                             command + "\n} >'" + out.string() + "' 2>'" + err.string() +
                             "' </dev/null";
    const int raw = std::system(line.c_str());
    Ran ran;
    if (WIFEXITED(raw)) ran.status = WEXITSTATUS(raw);
    ran.out = content_of(out);
    ran.err = content_of(err);
    fs::remove(out);
    fs::remove(err);
    return ran;
  }

  void write(const std::string& name, const std::string& content) const {
    std::ofstream(folder_ / name, std::ios::binary) << content;
  }

  // Names in a folder, sorted; a half-written file would show as a name starting with a dot.
  std::vector<std::string> names(const fs::path& folder) const {
    std::vector<std::string> out;
    for (const auto& entry : fs::directory_iterator(folder)) {
      out.push_back(entry.path().filename().string());
    }
    std::sort(out.begin(), out.end());
    return out;
  }

  // `stillhand check` on this chart ends with `status` and says this.
  void expect_check(const std::string& chart, int status, const std::string& message) const {
    write("bad.stillhand", chart);
    for (const char* command : {"check", "arrange", "arrange --json"}) {
      const Ran ran = shell(std::string("stillhand ") + command + " bad.stillhand");
      EXPECT_EQ(ran.status, status) << command << "\n" << ran.err;
      EXPECT_THAT(ran.err, HasSubstr(message)) << command;
      EXPECT_THAT(ran.err, StartsWith("bad.stillhand:")) << command;
      EXPECT_THAT(ran.out, IsEmpty()) << command;
    }
    const Ran lesson = shell("stillhand lesson bad.stillhand -o lesson --no-audio");
    EXPECT_EQ(lesson.status, status) << lesson.err;
    EXPECT_FALSE(fs::exists(folder_ / "lesson")) << "a bad chart makes no folder";
  }

  fs::path folder_;
};

// ---- what must work

TEST_F(CommandLine, KeysAndExtrasRefuseWhatTheyDoNotHonour) {
  for (const char* call :
       {"keys --option x", "keys --with-options", "keys --pattern boom-chick", "keys --key D",
        "extras --option x", "extras --with-options", "extras --pattern boom-chick"}) {
    const Ran ran = shell(std::string("stillhand ") + call + " good.stillhand");
    EXPECT_EQ(ran.status, 2) << call << ran.err;
    EXPECT_THAT(ran.err, HasSubstr("not expected")) << call;
  }
  EXPECT_EQ(shell("stillhand extras --key D good.stillhand").status, 0);
}

TEST_F(CommandLine, WhatIsThereIsNotWrittenOver) {
  write("tune.txt", "C      G\nLa la la la\n");
  write("pinned.stillhand", "key C\nsection A\n| C | F |\nshape C C4 E4 G4\n");
  for (const std::string call :
       {"import tune.txt", "keys good.stillhand --write D", "manner learn pinned.stillhand"}) {
    write("there", "mine");
    fs::remove(folder_ / "nowhere");
    fs::create_symlink("gone", folder_ / "nowhere");
    for (const char* out : {"there", "nowhere"}) {
      const Ran ran = shell("stillhand " + call + " -o " + out);
      EXPECT_EQ(ran.status, 3) << call;
      EXPECT_THAT(ran.err, HasSubstr(std::string(out) + ": error: there is a file of this name"));
    }
    EXPECT_EQ(content_of(folder_ / "there"), "mine");
    EXPECT_FALSE(fs::exists(folder_ / "gone"));
    const Ran long_name = shell("stillhand " + call + " --out " + std::string(300, 'n'));
    EXPECT_EQ(long_name.status, 3) << call << long_name.err;
    EXPECT_THAT(long_name.err, HasSubstr("cannot write: File name too long"));
    EXPECT_EQ(shell("stillhand " + call + " --out new").status, 0) << call;
    fs::remove(folder_ / "new");
  }
}

TEST_F(CommandLine, ASmallHandPlaysAPatternOfOctavesWithARemark) {
  write("rocking.stillhand",
        "key C\npattern rocking\nleft | bass - octave - |\nright | chord - - - |\n"
        "section Verse\npattern rocking\n| C | F |\n");
  const Ran small = shell("stillhand check --hand-size small rocking.stillhand");
  EXPECT_EQ(small.status, 0) << small.err;
  EXPECT_THAT(small.err, HasSubstr("rocking.stillhand:6:9: warning: `rocking` wants the left "
                                   "hand's octave, which `Verse` does not have"));
  EXPECT_THAT(shell("stillhand check rocking.stillhand").err, IsEmpty());
  EXPECT_EQ(shell("stillhand keys --hand-size small rocking.stillhand").status, 0);
  const Ran lower = shell("stillhand check --left-hand fifth rocking.stillhand");
  EXPECT_EQ(lower.status, 0) << lower.err;
  EXPECT_THAT(lower.err, HasSubstr("does not have"));
}

TEST_F(CommandLine, HelpAndVersion) {
  const Ran help = shell("stillhand --help");
  EXPECT_EQ(help.status, 0);
  EXPECT_THAT(help.out, HasSubstr("chord chart into a piano lesson"));
  for (const char* command : {"lesson", "arrange", "check"}) {
    EXPECT_THAT(help.out, HasSubstr(command));
    const Ran own = shell(std::string("stillhand ") + command + " --help");
    EXPECT_EQ(own.status, 0);
    EXPECT_THAT(own.out, HasSubstr("--span-mm"));
  }
  EXPECT_EQ(shell("stillhand --version").out, "stillhand 0.1.0\n");
}

TEST_F(CommandLine, CheckSaysThatAChartIsGood) {
  const Ran ran = shell("stillhand check good.stillhand");
  EXPECT_EQ(ran.status, 0);
  EXPECT_EQ(
      ran.out,
      "good.stillhand: good. Key C, 4/4; 1 section, 8 bars as played, 4 shapes to learn, 0 min "
      "21 s.\n");
  EXPECT_THAT(ran.err, IsEmpty());
}

TEST_F(CommandLine, CheckFormatPrintsTheChart) {
  const Ran once = shell("stillhand check --format good.stillhand");
  EXPECT_EQ(once.status, 0) << once.err;
  EXPECT_THAT(once.out, HasSubstr("Two Lamps"));
  const Ran twice = shell("stillhand check --format good.stillhand | stillhand check --format -");
  EXPECT_EQ(twice.out, once.out);
  const Ran moved = shell("stillhand check --format --key Eb good.stillhand");
  EXPECT_EQ(moved.status, 0) << moved.err;
  EXPECT_THAT(moved.out, HasSubstr("Bb/D"));
}

TEST_F(CommandLine, StandardInputIsADash) {
  const Ran ran = shell("stillhand check - < good.stillhand");
  EXPECT_EQ(ran.status, 0) << ran.err;
  EXPECT_THAT(ran.out, StartsWith("standard input: good."));
  const Ran bad = shell("echo '| Amm |' | stillhand check -");
  EXPECT_EQ(bad.status, 1);
  EXPECT_THAT(bad.err, HasSubstr("-:1:3: error: unknown chord `Amm`"));
}

TEST_F(CommandLine, AChordMayHaveASecondShapeInASectionThatIsNamed) {
  std::string chart = "title Two Loops\nkey C\n\nsection Verse\n";
  for (int i = 0; i < 8; ++i) chart += "| C | Am |\n";
  chart += "\nsection Chorus\n";
  for (int i = 0; i < 4; ++i) chart += "| Am | F | C | G |\n";
  write("loops.stillhand", chart);
  const Ran plain = shell("stillhand arrange loops.stillhand");
  EXPECT_THAT(plain.out, HasSubstr("Right hand: 4 shapes"));
  for (const char* how : {"--second-shapes", "--level 7"}) {
    const Ran ran = shell(std::string("stillhand arrange loops.stillhand ") + how);
    ASSERT_EQ(ran.status, 0) << ran.err;
    EXPECT_THAT(ran.out, HasSubstr("Right hand: 5 shapes")) << how;
    EXPECT_THAT(ran.out,
                HasSubstr("  C        C4 E4 G4         1 3 5    root position\n"
                          "  C        G3 C4 E4         1 3 5    second inversion, in Chorus\n"))
        << how;
    EXPECT_THAT(ran.out, HasSubstr("F to C in Chorus (4 times)")) << how;
  }
  const Ran early = shell("stillhand arrange loops.stillhand --level 3");
  EXPECT_THAT(early.out, HasSubstr("Right hand: 4 shapes"));
  const Ran json = shell("stillhand arrange --json loops.stillhand --second-shapes");
  EXPECT_EQ(nlohmann::json::parse(json.out)["right_hand"]["shapes"][1]["where"], "Chorus");
}

TEST_F(CommandLine, ArrangeJsonHasEveryPromisedField) {
  const Ran ran = shell("stillhand arrange --json good.stillhand");
  ASSERT_EQ(ran.status, 0) << ran.err;
  const auto json = nlohmann::json::parse(ran.out);
  EXPECT_EQ(json["song"]["title"], "Two Lamps");
  EXPECT_EQ(json["song"]["key"], "C");
  EXPECT_EQ(json["song"]["meter"], "4/4");
  EXPECT_EQ(json["song"]["tempo"], 90);
  const auto& right = json["right_hand"];
  EXPECT_EQ(right["status"], "optimal");
  EXPECT_EQ(right["cost"], right["lower_bound"]);
  ASSERT_EQ(right["shapes"].size(), 4U);
  for (const auto& shape : right["shapes"]) {
    EXPECT_EQ(shape["notes"].size(), shape["midi"].size());
    EXPECT_EQ(shape["notes"].size(), shape["fingers"].size());
    EXPECT_TRUE(std::is_sorted(shape["midi"].begin(), shape["midi"].end()));
    EXPECT_THAT(shape["inversion"].get<std::string>(), HasSubstr(" "));
    EXPECT_FALSE(shape.contains("where")) << "one shape for the chord: it needs no place";
  }
  const auto& left = json["left_hand"];
  EXPECT_EQ(left["status"], "optimal");
  ASSERT_GE(left["positions"].size(), 1U);
  for (const char* key : {"section", "little_finger", "thumb"}) {
    EXPECT_TRUE(left["positions"][0].contains(key)) << key;
  }
  ASSERT_EQ(left["bass"].size(), 7U) << "the last two bars are one chord";
  for (const char* key : {"chord", "note", "midi", "finger", "reach"}) {
    EXPECT_TRUE(left["bass"][1].contains(key)) << key;
  }
  EXPECT_EQ(left["bass"][1]["chord"], "G/B");
  EXPECT_THAT(left["bass"][1]["note"].get<std::string>(), StartsWith("B"));
  ASSERT_GE(json["moves"].size(), 1U);
  for (const char* key : {"from", "to", "times", "words", "fingers", "held"}) {
    EXPECT_TRUE(json["moves"][0].contains(key)) << key;
  }
}

TEST_F(CommandLine, ArrangeForPeopleNamesShapesHandsAndMoves) {
  const Ran ran = shell("stillhand arrange good.stillhand --prices Em --key G --hand-size small");
  ASSERT_EQ(ran.status, 0) << ran.err;
  EXPECT_THAT(ran.out, StartsWith("Two Lamps\nkey G, 4/4, 90 counts a minute; home manner, small"));
  EXPECT_THAT(ran.out, HasSubstr("Right hand: 4 shapes"));
  EXPECT_THAT(ran.out, HasSubstr("proven least"));
  EXPECT_THAT(ran.out, HasSubstr("Left hand"));
  EXPECT_THAT(ran.out, HasSubstr("What moves"));
}

TEST_F(CommandLine, PricesListEveryShapeAndTheOneTaken) {
  const Ran ran = shell("stillhand arrange good.stillhand --json --prices F");
  ASSERT_EQ(ran.status, 0) << ran.err;
  const auto prices = nlohmann::json::parse(ran.out)["prices"];
  EXPECT_EQ(prices["chord"], "F");
  int taken = 0;
  for (const auto& shape : prices["shapes"]) {
    EXPECT_GE(shape["more"], 0);
    if (shape["more"] == 0) ++taken;
  }
  EXPECT_GE(taken, 1);
  EXPECT_GE(prices["shapes"].size(), 3U);
}

TEST_F(CommandLine, OrLinesArePlayedOnRequest) {
  write("two.stillhand",
        "title Two\nkey C\nmeter 4/4\n\nsection A\n| C | F | G | C |\nor leaning\n| C | F | Gsus4 "
        "G | C |\nor darker\n| C | Fm | G | C |\n");
  const auto chords = [&](const std::string& flags) {
    const Ran ran = shell("stillhand arrange --json two.stillhand " + flags);
    EXPECT_EQ(ran.status, 0) << ran.err;
    std::string out;
    const auto printed = nlohmann::json::parse(ran.out);
    for (const auto& bass : printed["left_hand"]["bass"])
      out += (out.empty() ? "" : " ") + bass["chord"].get<std::string>();
    return out;
  };
  EXPECT_EQ(chords(""), "C F G C");
  EXPECT_EQ(chords("--with-options"), "C F Gsus4 G C");
  EXPECT_EQ(chords("--option Darker"), "C Fm G C");
  EXPECT_EQ(chords("--option darker --option leaning"), "C Fm G C");

  const Ran unknown = shell("stillhand arrange two.stillhand --option darkest");
  EXPECT_EQ(unknown.status, 2);
  EXPECT_THAT(unknown.err, HasSubstr("no `or` line is called `darkest`\n"));
  EXPECT_THAT(unknown.err, HasSubstr("there are `leaning` and `darker`"));
  const Ran both = shell("stillhand arrange two.stillhand --with-options --option darker");
  EXPECT_EQ(both.status, 2);
  EXPECT_THAT(both.err, HasSubstr("--with-options takes every `or` line, --option only those"));
}

TEST_F(CommandLine, TheSameCallGivesTheSameBytes) {
  EXPECT_EQ(shell("stillhand arrange --json good.stillhand").out,
            shell("LC_ALL=C TZ=Asia/Tokyo stillhand arrange --json good.stillhand").out);
}

TEST_F(CommandLine, LessonWithoutAudioWritesTheOtherFilesAndTheManifest) {
  const Ran ran = shell("stillhand lesson good.stillhand -o out/deep --no-audio --paper letter");
  ASSERT_EQ(ran.status, 0) << ran.err;
  EXPECT_THAT(names(folder_ / "out/deep"), ElementsAreArray(lesson_files({"manifest.json"})));
  const auto manifest = nlohmann::json::parse(content_of(folder_ / "out/deep/manifest.json"));
  for (const auto& file : manifest["files"]) {
    EXPECT_EQ(fs::file_size(folder_ / "out/deep" / file["name"].get<std::string>()), file["bytes"]);
  }
  EXPECT_THAT(ran.out, HasSubstr("out/deep/sheet.pdf\n"));
  EXPECT_THAT(ran.err, IsEmpty()) << "no progress where nobody watches";
}

TEST_F(CommandLine, ALeftHandThatCannotBeHadIsSaid) {
  const Ran less = shell("stillhand arrange good.stillhand --level 2 --left-hand octave");
  EXPECT_EQ(less.status, 0);
  EXPECT_THAT(less.err, HasSubstr("note: left hand: no octave here, at most "));
  EXPECT_THAT(shell("stillhand arrange good.stillhand --left-hand octave").err, IsEmpty());
}

TEST_F(CommandLine, LessonOfAFolderMakesALessonOfEachChart) {
  fs::create_directory(folder_ / "songs");
  for (const char* name : {"songs/b.stillhand", "songs/a.stillhand"}) write(name, kGood);
  write("songs/c.stillhand", "key C\nsection A\n| Amm |\n");
  const Ran ran = shell("stillhand lesson songs -o out --no-audio");
  EXPECT_EQ(ran.status, 1);
  EXPECT_THAT(ran.err, HasSubstr("songs/c.stillhand:3:3"));
  EXPECT_THAT(ran.out, HasSubstr("out/a: "));
  EXPECT_THAT(ran.out, HasSubstr("out/b: "));
  EXPECT_TRUE(fs::exists(folder_ / "out/a/manifest.json"));
  EXPECT_TRUE(fs::exists(folder_ / "out/b/manifest.json"));
  EXPECT_FALSE(fs::exists(folder_ / "out/c"));
  EXPECT_EQ(content_of(folder_ / "out/a/sheet.pdf"), content_of(folder_ / "out/b/sheet.pdf"));
}

TEST_F(CommandLine, LessonWritesOverNothingButALesson) {
  fs::create_directory(folder_ / "mine");
  write("mine/plan.md", "my own plan\n");
  const Ran refused = shell("stillhand lesson good.stillhand -o mine --no-audio");
  EXPECT_EQ(refused.status, 3);
  EXPECT_THAT(refused.err, HasSubstr("mine/plan.md: error: stands where the lesson would be"));
  EXPECT_EQ(content_of(folder_ / "mine/plan.md"), "my own plan\n");
  EXPECT_THAT(names(folder_ / "mine"), ElementsAre("plan.md"));
}

TEST_F(CommandLine, PagesReplacePagesAndNothingElse) {
  write("mine.pdf", "not a page\n");
  write("mine-1.svg", "not a page\n");
  EXPECT_EQ(shell("stillhand sheet good.stillhand -o mine.pdf").status, 3);
  EXPECT_EQ(shell("stillhand plan good.stillhand -o mine.pdf").status, 3);
  EXPECT_EQ(shell("stillhand sheet good.stillhand --print large -o mine.svg").status, 3);
  EXPECT_EQ(content_of(folder_ / "mine.pdf"), "not a page\n");
  EXPECT_EQ(content_of(folder_ / "mine-1.svg"), "not a page\n");
  for (int run = 0; run < 2; ++run) {
    EXPECT_EQ(shell("stillhand sheet good.stillhand -o sheet.pdf").status, 0);
    EXPECT_EQ(shell("stillhand plan good.stillhand -o plan.pdf").status, 0);
  }
}

TEST_F(CommandLine, BindMakesOneBookAndReplacesNothingButABook) {
  fs::create_directory(folder_ / "songs");
  for (const char* name : {"songs/b.stillhand", "songs/a.stillhand", "songs/.hidden.stillhand"})
    write(name, kGood);
  write("songs/notes.txt", "no chart\n");
  const Ran first = shell("stillhand bind songs -o book.pdf");
  ASSERT_EQ(first.status, 0) << first.err;
  EXPECT_EQ(first.out, "book.pdf: 2 songs\n");
  const std::string bytes = content_of(folder_ / "book.pdf");
  ASSERT_EQ(shell("stillhand bind songs -o book.pdf --order file").status, 0);
  EXPECT_EQ(content_of(folder_ / "book.pdf"), bytes);

  const Ran refused = shell("stillhand bind songs -o songs/a.stillhand");
  EXPECT_EQ(refused.status, 3);
  EXPECT_THAT(refused.err, HasSubstr("there is a file of this name already"));
  EXPECT_EQ(content_of(folder_ / "songs/a.stillhand"), kGood);

  EXPECT_THAT(shell("stillhand bind songs -o b.pdf --order key").err,
              HasSubstr("--order key: no such order"));
  fs::create_directory(folder_ / "none");
  EXPECT_THAT(shell("stillhand bind none -o b.pdf").err,
              HasSubstr("no chart stands in this folder"));
  EXPECT_EQ(shell("stillhand bind missing -o b.pdf").status, 3);

  write("songs/c.stillhand", "key C\nsection A\n| Amm |\n");
  write("songs/d.stillhand", "key C\nsection A\n| Gmm |\n");
  const Ran broken = shell("stillhand bind songs -o b.pdf");
  EXPECT_EQ(broken.status, 1);
  EXPECT_THAT(broken.err, HasSubstr("songs/c.stillhand:3:3"));
  EXPECT_THAT(broken.err, HasSubstr("songs/d.stillhand:3:3"));
  EXPECT_FALSE(fs::exists(folder_ / "b.pdf"));
}

TEST_F(CommandLine, Keys) {
  write("ranged.stillhand", "key C\nrange C4-E5\nsection A\n| C | F | G | C |\nshape C C4 E4 G4\n");
  const Ran list = shell("stillhand keys ranged.stillhand");
  EXPECT_EQ(list.status, 0) << list.err;
  EXPECT_THAT(list.out, HasSubstr("singers A3 to D5"));
  EXPECT_THAT(list.out, HasSubstr("melody C4 to E5: top note E5 is a whole step above D5"));
  const Ran json = shell("stillhand keys ranged.stillhand --singers C4-E5 --json");
  const auto keys = nlohmann::json::parse(json.out);
  EXPECT_EQ(keys.at("keys").size(), 12u);
  EXPECT_EQ(keys.at("keys")[0].at("key"), "C");

  const Ran written = shell("stillhand keys ranged.stillhand --write G");
  const Ran formatted = shell("stillhand check --format --key G ranged.stillhand");
  EXPECT_EQ(written.status, 0) << written.err;
  EXPECT_THAT(written.out, HasSubstr("| G | C | D | G |"));
  EXPECT_THAT(formatted.out, HasSubstr("| G | C | D | G |"));
  EXPECT_THAT(written.err, HasSubstr("warning: in G, melody G3 to B4"));
  const Ran file = shell("stillhand keys ranged.stillhand --write D -o d.stillhand");
  EXPECT_EQ(file.status, 0) << file.err;
  EXPECT_THAT(content_of(folder_ / "d.stillhand"), HasSubstr("| D | G | A | D |"));
}

TEST_F(CommandLine, KeysCalledWrongly) {
  const auto refused = [&](const std::string& options, const std::string& message) {
    const Ran ran = shell("stillhand keys good.stillhand " + options);
    EXPECT_EQ(ran.status, 2) << options;
    EXPECT_THAT(ran.err, HasSubstr(message));
    EXPECT_THAT(ran.out, IsEmpty());
  };
  refused("--singers D5-A3", "--singers D5-A3: no range I know");
  refused("--singers loud", "write the lowest and the highest note, such as A3-D5");
  refused("--write H", "--write H: no key I know");
  refused("--write Am", "a song in C major cannot be moved to A minor");
  refused("-o g.stillhand", "--out belongs to --write");
}

TEST_F(CommandLine, Difficulty) {
  const Ran ran = shell("stillhand difficulty good.stillhand");
  EXPECT_EQ(ran.status, 0) << ran.err;
  EXPECT_THAT(ran.out, HasSubstr("Hardest moves, right hand"));
  EXPECT_THAT(ran.out, HasSubstr("Find the first step by trial"));
  const Ran json = shell("stillhand difficulty good.stillhand --clean-at 70 --json");
  EXPECT_EQ(nlohmann::json::parse(json.out).at("tempo_ladder").at("steps"),
            nlohmann::json::parse("[70, 80, 90]"));
  const Ran wrong = shell("stillhand difficulty good.stillhand --clean-at fast");
  EXPECT_EQ(wrong.status, 2);
  EXPECT_THAT(wrong.err, HasSubstr("--clean-at fast: no tempo"));
}

// ---- wrong calls: exit 2

TEST_F(CommandLine, AStudentReadsTheNoteNamesOfTheCountry) {
  write("h.student", "name Hanna\nlevel 2\nnotes german\n");
  const Ran ran = shell("stillhand arrange good.stillhand --student h.student");
  EXPECT_EQ(ran.status, 0) << ran.err;
  EXPECT_THAT(ran.out, HasSubstr("  G        G3 H3 D4 "));
  EXPECT_THAT(ran.err, HasSubstr("note: G/B is played as G (not learned yet: slash chord)\n"));
  const auto json = nlohmann::json::parse(
      shell("stillhand arrange good.stillhand --student h.student --json").out);
  EXPECT_EQ(json["student"]["reductions"][0], "G/H is played as G (not learned yet: slash chord)");
}

TEST_F(CommandLine, AStudentsFileShapesTheArrangement) {
  write("mara.student", "name Mara\nlevel 2\nknows C, F\nstretch sixth\npaper letter\n");
  const Ran ran = shell("stillhand arrange good.stillhand --student mara.student");
  EXPECT_EQ(ran.status, 0);
  EXPECT_THAT(ran.out, HasSubstr("medium (stretch 129 mm) hand"));
  EXPECT_THAT(ran.out, HasSubstr("\nNew for Mara: "));
  EXPECT_THAT(ran.err, HasSubstr("note: G/B is played as G (not learned yet: slash chord)\n"));
  EXPECT_THAT(ran.err, HasSubstr("warning: bass C B A: the line by step is lost\n"));
  const Ran small =
      shell("stillhand arrange good.stillhand --student mara.student --hand-size small");
  EXPECT_THAT(small.out, HasSubstr("small (stretch 129 mm) hand"));
  const Ran by_level = shell("stillhand arrange good.stillhand --level 4 --json");
  EXPECT_EQ(by_level.status, 0);
  const auto json = nlohmann::json::parse(by_level.out);
  EXPECT_EQ(json["student"]["name"], "");
  EXPECT_EQ(json["student"]["reductions"].size(), 0U);
}

TEST_F(CommandLine, AStudentsFileWithMistakes) {
  write("bad.student", "level 12\nspan 5 mm\n");
  const Ran ran = shell("stillhand arrange good.stillhand --student bad.student");
  EXPECT_EQ(ran.status, 2);
  EXPECT_EQ(ran.out, "");
  EXPECT_THAT(ran.err, HasSubstr("bad.student:1:7: error: there is no level `12`"));
  EXPECT_THAT(ran.err, HasSubstr("bad.student:2:6: error: no hand spans `5 mm`"));
}

TEST_F(CommandLine, APlanIsPrintedOrWritten) {
  const Ran printed = shell("stillhand plan good.stillhand");
  EXPECT_EQ(printed.status, 0);
  EXPECT_EQ(printed.err, "");
  EXPECT_THAT(printed.out, StartsWith("# Two Lamps: teaching plan\n"));
  EXPECT_THAT(printed.out, HasSubstr("C, two, three, four \\| G/B, two, three, four"));
  EXPECT_EQ(shell("stillhand plan good.stillhand -o plan.md").status, 0);
  EXPECT_EQ(content_of(folder_ / "plan.md"), printed.out);
  EXPECT_EQ(shell("stillhand plan good.stillhand -o plan.pdf --for student --paper letter").status,
            0);
  EXPECT_THAT(content_of(folder_ / "plan.pdf"), StartsWith("%PDF-"));
  const Ran again = shell("stillhand plan good.stillhand -o plan.md");
  EXPECT_EQ(again.status, 3);
  EXPECT_THAT(again.err, HasSubstr("plan.md: error: there is a file of this name already"));
}

TEST_F(CommandLine, APlanForAStudentHasTheirNameReductionsAndTempo) {
  write("mara.student", "name Mara\nlevel 2\nnotes german\ntempo 60\n");
  const Ran ran = shell("stillhand plan good.stillhand --for student --student mara.student");
  EXPECT_EQ(ran.status, 0);
  EXPECT_THAT(ran.out, StartsWith("# Two Lamps: practice plan for Mara\n"));
  EXPECT_THAT(ran.out, HasSubstr("G/H is played as G"));
  EXPECT_THAT(ran.out, HasSubstr("- **60** "));
  EXPECT_THAT(shell("stillhand plan good.stillhand --for student --clean-at 70").out,
              HasSubstr("- **70** "));
}

TEST_F(CommandLine, WrongCallsSayWhatToDo) {
  const struct {
    const char* call;
    const char* message;
  } cases[] = {
      {"", "say what to do: lesson, sheet, plan, bind, desk, arrange, check"},
      {"sing good.stillhand", "`stillhand --help` shows how to call it"},
      {"check", "`stillhand check --help` shows how to call it"},
      {"check good.stillhand --loud", "`stillhand check --help` shows how to call it"},
      {"lesson good.stillhand", "`stillhand lesson --help` shows how to call it"},
      {"arrange good.stillhand --hand-size huge", "--hand-size huge: no such size"},
      {"arrange good.stillhand --level 9", "--level 9: no such level"},
      {"arrange good.stillhand --level 0", "this student plays single notes"},
      {"arrange good.stillhand --level 3 --student x.student", "both say what the student"},
      {"arrange good.stillhand --span-mm 90", "--span-mm 90: no hand span in millimetres"},
      {"arrange good.stillhand --span-mm wide", "give 120 to 280"},
      {"arrange good.stillhand --span-mm nan", "give 120 to 280"},
      {"arrange good.stillhand --span-mm 200 --hand-size small", "give only one of them"},
      {"arrange good.stillhand --key H", "--key H: no key I know"},
      {"arrange good.stillhand --left-hand tenth",
       "--left-hand tenth: the left hand knows no such thing"},
      {"arrange good.stillhand --key Am", "stillhand: error: "},
      {"arrange good.stillhand --prices Amm", "did you mean Am?"},
      {"lesson good.stillhand -o x --paper a5", "it is a4 or letter"},
      {"lesson good.stillhand -o ''", "name the folder"},
      {"plan good.stillhand --for parents", "it is teacher or student"},
      {"plan good.stillhand -o plan.txt", "-o plan.txt: neither .md nor .pdf"},
      {"plan good.stillhand --clean-at 5", "give counts a minute, 10 to 400"},
      {"plan good.stillhand -o plan.pdf --paper a5", "it is a4 or letter"},
      {"plan good.stillhand --paper letter", "--paper letter: Markdown has no paper"},
      {"plan good.stillhand --paper letter -o plan.md", "with -o and a name that ends in .pdf"},
      {"lesson good.stillhand -o x --no-audio --sound-font y.sf2", "contradict each other"},
      {"lesson good.stillhand -o x --no-audio --no-click", "contradict each other"},
      {"lesson good.stillhand -o x --no-audio --calls", "--calls and --no-audio contradict"},
      {"lesson good.stillhand -o x --only verse", "it is song, sections, pairs; right, left, both"},
      {"lesson good.stillhand -o x --tempos 60%", "for example --tempos 60,80,100"},
      {"lesson good.stillhand -o x --tempos 9", "10 to 400"},
      {"lesson good.stillhand -o x --page-keys 7", "--page-keys 7: not a reach of keys"},
      {"lesson good.stillhand -o x --page-keys two", "--page-keys two: not a reach of keys"},
      {"lesson good.stillhand -o x --format mp3", "it is flac, opus or flac,opus"},
  };
  for (const auto& wrong : cases) {
    const Ran ran = shell(std::string("stillhand ") + wrong.call);
    EXPECT_EQ(ran.status, 2) << wrong.call << "\n" << ran.err;
    EXPECT_THAT(ran.err, HasSubstr(wrong.message)) << wrong.call;
    EXPECT_THAT(ran.err, HasSubstr("error: ")) << wrong.call;
    EXPECT_THAT(ran.out, IsEmpty()) << wrong.call;
  }
  EXPECT_THAT(names(folder_), ElementsAre("good.stillhand"));
}

// ---- bad charts: exit 1

TEST_F(CommandLine, AnEmptyChart) { expect_check("", 1, "error: "); }

TEST_F(CommandLine, AChartOfBlanksAndComments) { expect_check("\n\n ; only this\n", 1, "error: "); }

TEST_F(CommandLine, ABinaryFile) {
  expect_check(std::string("\x7f"
                           "ELF\0\0\x01\xff\xfe",
                           9),
               1, "error: ");
}

TEST_F(CommandLine, TwentyMegabytes) {
  std::string chart = kGood;
  while (chart.size() < 20'000'000) chart += "| C | G/B | Am | F |\n";
  expect_check(chart, 1, "larger than 1024 KB");
}

TEST_F(CommandLine, AChartWithoutBars) {
  expect_check("title Nothing\nkey C\nmeter 4/4\ntempo 90\n", 1, "error: ");
}

TEST_F(CommandLine, AnUnknownChordIsShownWithACaretAndASuggestion) {
  expect_check("key C\nmeter 4/4\nsection Verse\n| C | Amm |\n", 1,
               "bad.stillhand:4:7: error: unknown chord `Amm`\n"
               "  | C | Amm |\n"
               "        ^^^\n"
               "  did you mean `Am`?");
}

TEST_F(CommandLine, ABarThatDoesNotComeOut) {
  expect_check("key C\nmeter 4/4\nsection Verse\n| C | C G F |\n", 1, "bad.stillhand:4:");
}

TEST_F(CommandLine, AllErrorsAtOnce) {
  write("bad.stillhand", "key C\nmeter 4/4\nsection Verse\n| Amm | C G F | Xyz |\n");
  const Ran ran = shell("stillhand check bad.stillhand");
  EXPECT_EQ(ran.status, 1);
  std::size_t errors = 0;
  for (std::size_t at = ran.err.find(": error: "); at != std::string::npos;
       at = ran.err.find(": error: ", at + 1)) {
    ++errors;
  }
  EXPECT_EQ(errors, 3U) << ran.err;
}

TEST_F(CommandLine, AnUnknownSectionInTheRoadMap) {
  expect_check("key C\nmeter 4/4\nsection Verse\n| C |\nroad map Verse, Chorus\n", 1, "Chorus");
}

TEST_F(CommandLine, ASectionThatTheRoadMapCannotReachByItsOwnName) {
  expect_check("key C\nmeter 4/4\nsection Verse\n| C |\nroad map road map\n", 1,
               "bad.stillhand:5:");
}

TEST_F(CommandLine, ATempoNobodyCounts) {
  expect_check("key C\nmeter 4/4\ntempo 0\nsection Verse\n| C |\n", 1, "bad.stillhand:3:");
  expect_check("key C\nmeter 4/4\ntempo 5000\nsection Verse\n| C |\n", 1, "bad.stillhand:3:");
}

TEST_F(CommandLine, APinNoHandCanPlay) {
  expect_check("key C\nmeter 4/4\nsection Verse\n| C | G |\nshape C C3 E4 G5\n", 1,
               "bad.stillhand:5:");
}

// ---- what cannot be read or written: exit 3

TEST_F(CommandLine, AMissingChart) {
  const Ran ran = shell("stillhand check none.stillhand");
  EXPECT_EQ(ran.status, 3);
  EXPECT_EQ(ran.err,
            "none.stillhand: error: cannot read: No such file or directory\n"
            "  check the name and the folder\n");
}

TEST_F(CommandLine, AFolderInsteadOfAChart) {
  EXPECT_EQ(shell("stillhand check .").status, 3);
  EXPECT_EQ(shell("stillhand check - <&-").status, 3);
}

TEST_F(CommandLine, AMannerThatIsNotThere) {
  const Ran ran = shell("stillhand arrange good.stillhand --manner mine.json");
  EXPECT_EQ(ran.status, 3);
  EXPECT_THAT(ran.err, HasSubstr("a manner is home, closest, or the name of a manner file"));
}

TEST_F(CommandLine, AMissingSoundFontLosesNothingElse) {
  const Ran ran = shell("stillhand lesson good.stillhand -o out --sound-font none.sf2");
  EXPECT_EQ(ran.status, 3);
  EXPECT_THAT(ran.err, StartsWith("none.sf2: error: "));
  EXPECT_EQ(std::count(ran.err.begin(), ran.err.end(), '\n'), 2) << "said once\n" << ran.err;
  EXPECT_THAT(names(folder_ / "out"), ElementsAreArray(lesson_files({})));
}

TEST_F(CommandLine, ALessonWithAudio) {
  if (!fs::exists("/usr/share/sounds/sf2/TimGM6mb.sf2")) GTEST_SKIP() << "no TimGM6mb here";
  const std::string call =
      "stillhand lesson good.stillhand -o out --sound-font /usr/share/sounds/sf2/TimGM6mb.sf2 "
      "--only song,left,both --tempos 300,400 --format opus ";
  const Ran ran = shell(call);
  ASSERT_EQ(ran.status, 0) << ran.err;
  EXPECT_THAT(names(folder_ / "out"), ElementsAreArray(lesson_files({"manifest.json"})));
  EXPECT_THAT(names(folder_ / "out/tracks"),
              testing::IsSupersetOf({"play-along-300.opus", "play-along-400-left.opus",
                                     "play-along-400.vtt", "play-along-300-left-timing.csv"}));
  EXPECT_THAT(ran.out, testing::ContainsRegex(
                           "play-along-300-left: -1[0-9.]+ LUFS, true peak -[0-9.]+ dBTP"));
  EXPECT_THAT(ran.out, HasSubstr("out/tracks/play-along-300.opus\n"));
  EXPECT_THAT(ran.out, Not(HasSubstr(".vtt"))) << "what stands beside each sound is not listed";
  const auto manifest = nlohmann::json::parse(content_of(folder_ / "out/manifest.json"));
  ASSERT_EQ(manifest["tracks"].size(), 4U);
  EXPECT_LT(manifest["tracks"][0]["seconds"], manifest["tracks"][1]["seconds"]);
  // Again: nothing to do. With another chart the sounds do not fit any more: the run without sound says so.
  EXPECT_THAT(shell(call).out, testing::ContainsRegex("play-along-300-left: .*, unchanged\n"));
  EXPECT_THAT(shell("stillhand lesson good.stillhand -o out --no-audio").err, IsEmpty());
  const Ran again = shell("stillhand lesson good.stillhand --key Eb -o out --no-audio");
  EXPECT_EQ(again.status, 0);
  EXPECT_THAT(again.err,
              HasSubstr("out/tracks: note: of an earlier run, and may not fit the lesson any "
                        "more: play-along-300-left.opus, play-along-300.opus"));
}

TEST_F(CommandLine, AFailedRunLeavesNoStaleManifest) {
  ASSERT_EQ(shell("stillhand lesson good.stillhand -o out --no-audio").status, 0);
  EXPECT_EQ(shell("stillhand lesson good.stillhand -o out --sound-font none.sf2").status, 3);
  EXPECT_THAT(names(folder_ / "out"), ElementsAreArray(lesson_files({})));
}

TEST_F(CommandLine, ABadChartTouchesNothingOfAnEarlierLesson) {
  ASSERT_EQ(shell("stillhand lesson good.stillhand -o out --no-audio").status, 0);
  const auto before = content_of(folder_ / "out/lesson.json");
  write("good.stillhand", "| Amm |");
  EXPECT_EQ(shell("stillhand lesson good.stillhand -o out --no-audio").status, 1);
  EXPECT_EQ(content_of(folder_ / "out/lesson.json"), before);
  EXPECT_TRUE(fs::exists(folder_ / "out/manifest.json"));
}

TEST_F(CommandLine, AnUnwritableFolder) {
  for (const std::string folder : {"good.stillhand", "good.stillhand/below", "/proc/stillhand"}) {
    if (folder.starts_with("/proc") && !fs::exists("/proc/self")) continue;
    const Ran ran = shell("stillhand lesson good.stillhand --no-audio -o " + folder);
    EXPECT_EQ(ran.status, 3) << folder;
    EXPECT_THAT(ran.err, StartsWith(folder + ": error: ")) << folder;
  }
  EXPECT_EQ(content_of(folder_ / "good.stillhand"), kGood);
}

TEST_F(CommandLine, AFullDisk) {
  // Where a small file system may be mounted, a really full one, in a mount namespace of its own so that
  // nothing is left behind; a limit on file sizes everywhere.
  write("full.sh",
        "mkdir disk && mount -t tmpfs -o size=16k none disk || exit 77\n"
        "stillhand lesson good.stillhand -o disk/out --no-audio; status=$?\n"
        "ls -A disk/out; exit $status\n");
  const Ran full = shell("unshare -m true 2>/dev/null || exit 77; unshare -m sh full.sh");
  if (full.status != 77) {
    EXPECT_EQ(full.status, 3) << full.err;
    EXPECT_THAT(full.err, HasSubstr("No space left on device"));
    EXPECT_THAT(full.out, Not(HasSubstr("manifest.json")));
    EXPECT_THAT(full.out, Not(HasSubstr(".tmp")));
  }
  const Ran limited = shell(
      "ulimit -f 8\n"
      "stillhand lesson good.stillhand -o out --no-audio");
  EXPECT_EQ(limited.status, 3) << limited.err;
  EXPECT_THAT(limited.err, HasSubstr("error: cannot write"));
  for (const std::string& name : names(folder_ / "out")) {
    EXPECT_THAT(name, Not(StartsWith("."))) << "half-written";
    EXPECT_NE(name, "manifest.json");
  }
}

TEST_F(CommandLine, StandardOutputThatTakesNothing) {
  const Ran full = shell("stillhand arrange good.stillhand >/dev/full");
  EXPECT_EQ(full.status, 3);
  EXPECT_THAT(full.err, HasSubstr("standard output: error: cannot write: No space left on device"));
  const Ran closed = shell("stillhand arrange good.stillhand >&-");
  EXPECT_EQ(closed.status, 3);
  EXPECT_THAT(closed.err, HasSubstr("standard output: error: cannot write"));
}

TEST_F(CommandLine, AReaderThatLeavesIsNoDrama) {
  const Ran ran = shell("{ stillhand arrange --json good.stillhand; echo $? >&2; } | true");
  EXPECT_THAT(ran.err, testing::AnyOf("0\n", "3\n"));
}

TEST_F(CommandLine, ExtrasAreWithinTheStudentsReach) {
  const Ran all = shell("stillhand extras good.stillhand");
  EXPECT_EQ(all.status, 0);
  EXPECT_THAT(all.out, HasSubstr("for the right hand"));
  EXPECT_THAT(all.out, Not(HasSubstr("points")));
  EXPECT_THAT(all.out, HasSubstr("walking bass"));
  const Ran early = shell("stillhand extras good.stillhand --level 2");
  EXPECT_EQ(early.status, 0);
  EXPECT_THAT(early.out, Not(HasSubstr("walking bass")));
  const Ran single = shell("stillhand extras good.stillhand --level 0");
  EXPECT_EQ(single.status, 2);
  EXPECT_THAT(single.err, HasSubstr("this student plays single notes"));
  const Ran accept = shell("stillhand extras good.stillhand --level 2 --accept tag-000000");
  EXPECT_EQ(accept.status, 2);
  EXPECT_THAT(accept.err, HasSubstr("--accept does not go together with --student or --level"));
}

TEST_F(CommandLine, SheetWritesOneFileOrOneForEachPage) {
  const Ran pdf = shell("stillhand sheet good.stillhand -o out.pdf --print large");
  ASSERT_EQ(pdf.status, 0) << pdf.err;
  EXPECT_EQ(pdf.out, "out.pdf\n");
  EXPECT_THAT(content_of(folder_ / "out.pdf"), StartsWith("%PDF"));
  const Ran one = shell("stillhand sheet good.stillhand -o numbers.svg --kind numbers");
  ASSERT_EQ(one.status, 0) << one.err;
  EXPECT_EQ(one.out, "numbers.svg\n");
  EXPECT_THAT(content_of(folder_ / "numbers.svg"), HasSubstr(">5/7</text>"));
  const Ran more = shell("stillhand sheet good.stillhand -o large.svg --print large");
  ASSERT_EQ(more.status, 0) << more.err;
  EXPECT_THAT(more.out, StartsWith("large-1.svg\nlarge-2.svg\n"));
  EXPECT_THAT(content_of(folder_ / "large-2.svg"), HasSubstr("page 2 of "));
  EXPECT_EQ(shell("stillhand sheet good.stillhand -o out.pdf --chords numbers").status, 0);
  EXPECT_EQ(shell("stillhand sheet good.stillhand -o out.pdf --kind moves").status, 0);
}

TEST_F(CommandLine, WhatIsNoChartIsSentToTheCommandThatReadsIt) {
  write("song.mid", std::string("MThd\0\0\0\6", 8));
  const Ran midi = shell("stillhand check song.mid");
  EXPECT_EQ(midi.status, 1);
  EXPECT_EQ(midi.err,
            "song.mid: error: this is no chart, it is a MIDI file\n"
            "  `stillhand import song.mid` makes a chart of it\n");
  write("song.musicxml", "<?xml version=\"1.0\"?>\n<score-partwise/>\n");
  EXPECT_THAT(shell("stillhand arrange song.musicxml").err,
              HasSubstr("it is XML, perhaps MusicXML\n  `stillhand import song.musicxml`"));
  EXPECT_EQ(shell("stillhand sheet good.stillhand -o sheet.pdf").status, 0);
  for (const char* command : {"check", "check --format", "keys", "extras", "plan", "difficulty"}) {
    EXPECT_EQ(shell(std::string("stillhand ") + command + " sheet.pdf").err,
              "sheet.pdf: error: this is no chart, it is a PDF\n"
              "  give the chart it was made from; its name ends in .stillhand\n")
        << command;
  }
}

TEST_F(CommandLine, AChartIsNotImported) {
  const std::string said =
      "error: this is a chart already\n"
      "  `stillhand check good.stillhand` reads it, `stillhand check --format good.stillhand` lays "
      "it out\n";
  const Ran ran = shell("stillhand import good.stillhand");
  EXPECT_EQ(ran.status, 1);
  EXPECT_EQ(ran.err, "good.stillhand: " + said);
  write("renamed.txt", content_of(folder_ / "good.stillhand"));
  EXPECT_THAT(shell("stillhand import renamed.txt").err,
              StartsWith("renamed.txt: error: this is a chart already\n"));
}

TEST_F(CommandLine, PagesThatAShorterSheetNoLongerHasAreRemoved) {
  ASSERT_EQ(shell("stillhand sheet good.stillhand -o s.svg --print large").status, 0);
  ASSERT_TRUE(std::filesystem::exists(folder_ / "s-2.svg"));
  write("s-9.svg", "<?xml version=\"1.0\"?><svg/>");
  const Ran one = shell("stillhand sheet good.stillhand -o s.svg");
  ASSERT_EQ(one.status, 0) << one.err;
  EXPECT_EQ(one.out, "s.svg\n");
  EXPECT_THAT(one.err, HasSubstr("s-1.svg: note: removed, a page of the sheet that was here\n"));
  EXPECT_FALSE(std::filesystem::exists(folder_ / "s-1.svg"));
  EXPECT_FALSE(std::filesystem::exists(folder_ / "s-2.svg"));
  EXPECT_TRUE(std::filesystem::exists(folder_ / "s-9.svg"));
  ASSERT_EQ(shell("stillhand sheet good.stillhand -o s.svg --print large").status, 0);
  EXPECT_FALSE(std::filesystem::exists(folder_ / "s.svg"));
}

// Of another song, or drawn by somebody else.
TEST_F(CommandLine, PagesOfOthersStay) {
  write("s-1.svg",
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg>\n<title>Another, page 1 of "
        "2</title>\n</svg>\n");
  write("s-2.svg", "<?xml version=\"1.0\"?><svg/>");
  const Ran one = shell("stillhand sheet good.stillhand -o s.svg --kind numbers");
  ASSERT_EQ(one.status, 0) << one.err;
  EXPECT_EQ(one.err, "");
  EXPECT_TRUE(std::filesystem::exists(folder_ / "s-1.svg"));
  EXPECT_TRUE(std::filesystem::exists(folder_ / "s-2.svg"));
}

TEST_F(CommandLine, SheetSaysWhatItCannotDo) {
  const auto error = [&](const std::string& options) {
    const Ran ran = shell("stillhand sheet good.stillhand " + options);
    EXPECT_EQ(ran.status, 2);
    return ran.err;
  };
  EXPECT_THAT(error("-o out.png"), HasSubstr("-o out.png: a sheet is a .pdf or a .svg"));
  EXPECT_THAT(error("-o out.pdf --kind tabs"), HasSubstr("--kind tabs: no such sheet"));
  EXPECT_THAT(error("-o out.pdf --kind tabs"), HasSubstr("a kind is song, numbers or moves"));
  EXPECT_THAT(error("-o out.pdf --print huge"), HasSubstr("--print huge: no such print"));
  EXPECT_THAT(error("-o out.pdf --paper a5"), HasSubstr("--paper a5: no such paper"));
  EXPECT_THAT(error("-o out.pdf --chords roman"), HasSubstr("--chords roman: no such writing"));
  EXPECT_THAT(error("-o out.pdf --kind numbers --chords letters"),
              HasSubstr("--chords does not go together with --kind numbers"));
  EXPECT_THAT(error("-o out.pdf --kind moves --print large"),
              HasSubstr("the sheet of moves has no large print"));
  EXPECT_FALSE(fs::exists(folder_ / "out.pdf"));
}

TEST_F(CommandLine, ALessonWritesItsFilesWithStandardOutputClosed) {
  const Ran ran = shell("stillhand lesson good.stillhand -o out --no-audio >&- 2>&-");
  EXPECT_EQ(ran.status, 3);
  EXPECT_THAT(names(folder_ / "out"), ElementsAreArray(lesson_files({"manifest.json"})));
  EXPECT_THAT(content_of(folder_ / "out/lesson.json"), StartsWith("{"));
}

}  // namespace
}  // namespace stillhand::cli
