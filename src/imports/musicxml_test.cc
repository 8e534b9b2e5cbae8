// MusicXML 4.0 (W3C Community Group, 2021): chord kinds by the standard's own list, structure by small scores.
#include <gtest/gtest.h>
#include <zip.h>

#include <fmt/format.h>

#include "chart/chart.h"
#include "imports/imports.h"

namespace stillhand::imports {
namespace {

std::string harmony(std::string_view root, std::string_view kind, std::string_view more = "") {
  return fmt::format("<harmony><root><root-step>{}</root-step></root><kind>{}</kind>{}</harmony>",
                     root, kind, more);
}

std::string rest(int quarters) {
  return fmt::format("<note><rest/><duration>{}</duration></note>", quarters * 2);
}

std::string measure(std::string_view inside) {
  return fmt::format("<measure number=\"1\">{}</measure>", inside);
}

std::string score(std::string_view measures) {
  return fmt::format(
      "<?xml version=\"1.0\"?>\n<score-partwise "
      "version=\"4.0\"><work><work-title>Quay</work-title></work>"
      "<identification><creator "
      "type=\"composer\">Nobody</creator><rights>Free</rights></identification>"
      "<part id=\"P1\">{}</part></score-partwise>",
      measures);
}

constexpr std::string_view kStart =
    "<attributes><divisions>2</divisions><key><fifths>2</fifths></key>"
    "<time><beats>4</beats><beat-type>4</beat-type></time></attributes><sound tempo=\"66\"/>";

std::string imported(std::string_view xml) {
  const Result<std::string> chart = import_musicxml(xml, "quay.musicxml");
  return chart ? *chart : render(chart.error().front());
}

// The chord of a one-bar score.
std::string chord(std::string_view kind, std::string_view more = "") {
  const std::string chart =
      imported(score(measure(std::string(kStart) + harmony("C", kind, more) + rest(4))));
  const std::size_t begin = chart.find("\n| ");
  if (begin == std::string::npos) return chart;
  return chart.substr(begin + 3, chart.find_first_of(" ", begin + 3) - begin - 3);
}

TEST(MusicXml, EveryKindOfTheStandard) {
  // kind-value of musicxml.xsd 4.0; the functional ones have no tones there and are marked.
  const std::pair<const char*, const char*> rows[] = {{"major", "C"},
                                                      {"minor", "Cm"},
                                                      {"augmented", "Caug"},
                                                      {"diminished", "Cdim"},
                                                      {"dominant", "C7"},
                                                      {"major-seventh", "Cmaj7"},
                                                      {"minor-seventh", "Cm7"},
                                                      {"diminished-seventh", "Cdim7"},
                                                      {"augmented-seventh", "Caug7"},
                                                      {"half-diminished", "Cm7b5"},
                                                      {"major-minor", "Cm(maj7)"},
                                                      {"major-sixth", "C6"},
                                                      {"minor-sixth", "Cm6"},
                                                      {"dominant-ninth", "C9"},
                                                      {"major-ninth", "Cmaj9"},
                                                      {"minor-ninth", "Cm9"},
                                                      {"dominant-11th", "C11"},
                                                      {"major-11th", "Cmaj11"},
                                                      {"minor-11th", "Cm11"},
                                                      {"dominant-13th", "C13"},
                                                      {"major-13th", "Cmaj13"},
                                                      {"minor-13th", "Cm13"},
                                                      {"suspended-second", "Csus2"},
                                                      {"suspended-fourth", "Csus4"},
                                                      {"power", "C5"},
                                                      {"pedal", "C5"},
                                                      {"none", "N.C."}};
  for (const auto& [kind, symbol] : rows) EXPECT_EQ(chord(kind), symbol) << kind;
  for (const char* kind : {"Neapolitan", "Italian", "French", "German", "Tristan", "other", ""}) {
    EXPECT_EQ(chord(kind), "C") << kind;
  }
}

TEST(MusicXml, DegreesAddAlterAndSubtract) {
  const auto degree = [](int value, int alter, const char* type) {
    return fmt::format(
        "<degree><degree-value>{}</degree-value><degree-alter>{}</degree-alter><degree-type>{}"
        "</degree-type></degree>",
        value, alter, type);
  };
  EXPECT_EQ(chord("major", degree(9, 0, "add")), "Cadd9");
  EXPECT_EQ(chord("dominant", degree(9, -1, "add")), "C7b9");
  EXPECT_EQ(chord("dominant", degree(5, 1, "alter")), "Caug7");
  // An added seventh is the dominant's, a minor one.
  EXPECT_EQ(chord("major", degree(7, 0, "add")), "C7");
  EXPECT_EQ(chord("suspended-fourth", degree(7, 0, "add")), "C7sus4");
  EXPECT_EQ(chord("major", degree(3, 0, "subtract")), "C5");
}

TEST(MusicXml, TheWholeSong) {
  const std::string bass = "<bass><bass-step>F</bass-step><bass-alter>1</bass-alter></bass>";
  const std::string sung =
      "<note><pitch><step>D</step><octave>4</octave></pitch><duration>4</duration>"
      "<lyric number=\"1\"><syllabic>begin</syllabic><text>qui</text></lyric></note>"
      "<note><pitch><step>D</step><octave>4</octave></pitch><duration>4</duration>"
      "<lyric number=\"1\"><syllabic>end</syllabic><text>et</text></lyric></note>";
  EXPECT_EQ(
      imported(score(
          measure(std::string(kStart) +
                  "<direction><direction-type><rehearsal>Verse</rehearsal></direction-type></"
                  "direction>" +
                  "<barline location=\"left\"><repeat direction=\"forward\"/></barline>" +
                  harmony("D", "major") + sung) +
          measure(harmony("G", "major") + rest(2) + harmony("D", "major", bass) + rest(2)) +
          measure("<barline location=\"left\"><ending number=\"1\" type=\"start\"/></barline>" +
                  harmony("A", "dominant") + rest(4) +
                  "<barline><ending number=\"1\" type=\"stop\"/><repeat "
                  "direction=\"backward\"/></barline>") +
          measure("<barline location=\"left\"><ending number=\"2\" type=\"start\"/></barline>" +
                  harmony("D", "major") + rest(4) +
                  "<barline><ending number=\"2\" type=\"stop\"/></barline>") +
          measure("<direction><direction-type><rehearsal>Bridge</rehearsal></direction-type></"
                  "direction>"
                  "<attributes><time><beats>3</beats><beat-type>4</beat-type></time></attributes>" +
                  harmony("E", "minor") + rest(1) + harmony("A", "major") + rest(2)))),
      "title      Quay\n"
      "writers    composer: Nobody\n"
      "rights     Free\n"
      "key        D\n"
      "meter      4/4\n"
      "tempo      66\n"
      "\n"
      "section Verse\n"
      "|: D      | G D/F# |1. A7 :|2. D |\n"
      "\"  qui-et |\n"
      "\n"
      "section Bridge\n"
      "meter 3/4\n"
      "| Em A - |\n");
}

TEST(MusicXml, ShortBars) {
  // A pick-up at the front; a short bar and the bar that completes it; a short bar alone has its own meter.
  const std::string chart = imported(
      score(measure(std::string(kStart) + harmony("A", "major") + rest(1)) +
            measure(harmony("D", "major") + rest(4)) + measure(harmony("G", "major") + rest(3)) +
            measure(harmony("A", "major") + rest(1)) + measure(harmony("D", "major") + rest(2)) +
            measure(harmony("D", "major") + rest(4))));
  EXPECT_NE(chart.find("pick-up | A |\n"), std::string::npos) << chart;
  EXPECT_NE(chart.find("meter 2/4\n| D |\nmeter 4/4\n| D |"), std::string::npos) << chart;
  EXPECT_TRUE(chart::parse(chart, "again"));
}

TEST(MusicXml, WhatIsNoScoreIsRefused) {
  EXPECT_EQ(
      imported("<html></html>"),
      "quay.musicxml: error: it is XML, but no MusicXML score\n  export the song as MusicXML");
  EXPECT_EQ(imported("<score-timewise/>"),
            "quay.musicxml: error: it is a score by time (score-timewise)\n  export it as "
            "score-partwise, the usual kind");
  EXPECT_EQ(imported(score(measure(std::string(kStart) + rest(4)))),
            "quay.musicxml: error: it has no chord symbols (<harmony>)\n  export the song with its "
            "chord symbols, or import a MIDI file of it");
  EXPECT_NE(imported("<score-partwise><part>").find("no well-formed XML"), std::string::npos);
}

TEST(MusicXml, ADoctypeWithEntitiesIsNotExpanded) {
  const std::string chart =
      imported("<!DOCTYPE x [<!ENTITY a \"aaaaaaaaaa\"><!ENTITY b \"&a;&a;&a;&a;&a;&a;&a;\">]>" +
               score(measure(std::string(kStart) + harmony("C", "major") + rest(4)))
                   .substr(std::string("<?xml version=\"1.0\"?>\n").size()));
  EXPECT_NE(chart.find("| C |"), std::string::npos) << chart;
}

// ---- archives

struct Entry {
  std::string name;
  std::string content;
};

std::string archive_of(const std::vector<Entry>& entries) {
  zip_error_t error;
  zip_error_init(&error);
  zip_source_t* target = zip_source_buffer_create(nullptr, 0, 0, &error);
  zip_source_keep(target);
  zip_t* archive = zip_open_from_source(target, ZIP_TRUNCATE, &error);
  for (const Entry& entry : entries) {
    zip_source_t* source =
        zip_source_buffer(archive, entry.content.data(), entry.content.size(), 0);
    zip_file_add(archive, entry.name.c_str(), source, 0);
  }
  zip_close(archive);
  std::string out;
  zip_source_open(target);
  char buffer[4096];
  for (zip_int64_t got = 0; (got = zip_source_read(target, buffer, sizeof buffer)) > 0;)
    out.append(buffer, static_cast<std::size_t>(got));
  zip_source_close(target);
  zip_source_free(target);
  zip_error_fini(&error);
  return out;
}

constexpr const char* kContainer =
    "<container><rootfiles><rootfile full-path=\"quay.xml\"/></rootfiles></container>";

std::string unpacked(const std::string& bytes) {
  const Result<std::string> chart = import_file(bytes, "quay.mxl");
  return chart ? *chart : render(chart.error().front());
}

TEST(CompressedMusicXml, IsReadLikeTheScoreInside) {
  const std::string xml = score(measure(std::string(kStart) + harmony("C", "major") + rest(4)));
  EXPECT_EQ(unpacked(archive_of({{"META-INF/container.xml", kContainer}, {"quay.xml", xml}})),
            imported(xml));
}

TEST(CompressedMusicXml, HostileArchivesAreRefused) {
  EXPECT_NE(unpacked(archive_of({{"quay.xml", "<a/>"}})).find("holds no META-INF/container.xml"),
            std::string::npos);
  EXPECT_NE(
      unpacked(archive_of({{"META-INF/container.xml", kContainer}})).find("holds no quay.xml"),
      std::string::npos);
  EXPECT_NE(unpacked(archive_of({{"META-INF/container.xml", "<a"}})).find("no well-formed XML"),
            std::string::npos);
  // 65 MB of blanks in some kilobytes.
  EXPECT_NE(unpacked(archive_of({{"META-INF/container.xml", kContainer},
                                 {"quay.xml", std::string(std::size_t{65} << 20, ' ')}}))
                .find("larger than 64 MB"),
            std::string::npos);
  std::vector<Entry> many{{"META-INF/container.xml", kContainer}};
  for (int i = 0; i < 1001; ++i) many.push_back({std::to_string(i), ""});
  EXPECT_NE(unpacked(archive_of(many)).find("more than 1,000 entries"), std::string::npos);
  std::string cut = archive_of({{"META-INF/container.xml", kContainer}});
  cut.resize(cut.size() / 2);
  EXPECT_NE(unpacked(cut).find("the archive is damaged"), std::string::npos);
}

}  // namespace
}  // namespace stillhand::imports
