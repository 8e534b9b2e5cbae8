#include "write/sheet.h"

#include <gtest/gtest.h>

#include <cstdio>
#include <fstream>

#include "write/demo_lesson.h"

namespace stillhand::write {
namespace {

TEST(SheetPdf, Draft) {
  for (const auto& [paper, name] : {std::pair{Paper::a4, "a4"}, {Paper::letter, "letter"}}) {
    const auto pdf = sheet_pdf(test::demo_lesson(), {paper});
    ASSERT_TRUE(pdf);
    std::ofstream(std::string(STILLHAND_BINARY_DIR) + "/demo-" + name + ".pdf", std::ios::binary)
        << *pdf;
  }
}

}  // namespace
}  // namespace stillhand::write
