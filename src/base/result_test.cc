#include "base/result.h"

#include <gtest/gtest.h>

namespace stillhand {
namespace {

TEST(Render, PlaceLineCaretAndSuggestion) {
  const Diagnostic d{Severity::error, Fault::chart,       "quay.stillhand", {7, 9, 3},
                     "no chord Amm",  "did you mean Am?", "| D    Amm |"};
  EXPECT_EQ(render(d),
            "quay.stillhand:7:9: error: no chord Amm\n"
            "  | D    Amm |\n"
            "          ^^^\n"
            "  did you mean Am?");
}

TEST(Render, ColumnsAreCharactersNotBytes) {
  const Diagnostic d{Severity::warning, Fault::chart, "-", {1, 4, 1}, "odd", "", "B♭ x"};
  EXPECT_EQ(render(d), "-:1:4: warning: odd\n  B♭ x\n     ^");
}

TEST(Render, TabsStayTabsSoThatTheCaretStandsRight) {
  const Diagnostic d{Severity::error, Fault::chart, "f", {1, 3, 1}, "odd", "", "\t| x"};
  EXPECT_EQ(render(d), "f:1:3: error: odd\n  \t| x\n  \t ^");
}

TEST(Render, WithoutALineOrAFile) {
  EXPECT_EQ(render(Diagnostic{Severity::error, Fault::file, "a/b", {}, "cannot read", "try", "x"}),
            "a/b: error: cannot read\n  try");
  EXPECT_EQ(render(Diagnostic{Severity::note, Fault::usage, "", {}, "say more", "", ""}),
            "note: say more");
}

TEST(Failure, CarriesOneDiagnostic) {
  const Result<int> failed = failure(Fault::usage, "", "no", "yes");
  ASSERT_FALSE(failed.has_value());
  ASSERT_EQ(failed.error().size(), 1U);
  EXPECT_EQ(failed.error()[0].fault, Fault::usage);
  EXPECT_EQ(failed.error()[0].severity, Severity::error);
  EXPECT_EQ(failed.error()[0].suggestion, "yes");
}

}  // namespace
}  // namespace stillhand
