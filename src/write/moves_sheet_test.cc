#include "write/moves_sheet.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "write/demo_lesson.h"

namespace stillhand::write {
namespace {

TEST(MovesSheetPdf, SameLessonSameBytes) {
  for (const Paper paper : {Paper::a4, Paper::letter}) {
    const std::string pdf = moves_sheet_pdf(test::demo_lesson(), {paper}).value();
    EXPECT_THAT(pdf, testing::StartsWith("%PDF-"));
    EXPECT_TRUE(pdf == moves_sheet_pdf(test::demo_lesson(), {paper}).value());
  }
}

}  // namespace
}  // namespace stillhand::write
