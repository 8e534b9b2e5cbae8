#include "write/reading_order.h"

#include <glib.h>

#include <memory>

#include "base/utf8.h"

namespace stillhand::write {

std::string reading_order(std::string_view text) {
  using Text = std::unique_ptr<gchar, decltype(&g_free)>;
  const std::string whole = repaired(text);
  const Text split(
      g_utf8_normalize(whole.data(), static_cast<gssize>(whole.size()), G_NORMALIZE_NFD), &g_free);
  const Text folded(g_utf8_casefold(split.get(), -1), &g_free);
  std::string out;
  for (const gchar* at = folded.get(); *at != 0; at = g_utf8_next_char(at)) {
    const gunichar c = g_utf8_get_char(at);
    if (g_unichar_ismark(c) != 0 || g_unichar_ispunct(c) != 0) continue;
    const gchar* const next = g_utf8_next_char(at);
    out.append(at, next);
  }
  return out;
}

}  // namespace stillhand::write
