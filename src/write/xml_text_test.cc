#include "write/xml_text.h"

#include <gtest/gtest.h>

namespace stillhand::write {
namespace {

// XML 1.0, fifth edition, 2.2 and 2.4.
TEST(XmlText, OnlyWhatTheStandardAllows) {
  EXPECT_EQ(xml_text("a\nb"), "a b");
  EXPECT_EQ(xml_text("x\uFFFEy\uFFFF"), "x\uFFFDy\uFFFD");
  EXPECT_EQ(xml_escaped("<Lamps> & \"more\""), "&lt;Lamps&gt; &amp; &quot;more&quot;");
  EXPECT_EQ(xml_escaped("\uFFFE&"), "\uFFFD&amp;");
}

}  // namespace
}  // namespace stillhand::write
