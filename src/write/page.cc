#include "write/page.h"

#include <algorithm>
#include <nlohmann/json.hpp>
#include <set>
#include <string_view>

#include "base/base64.h"
#include "music/note_names.h"
#include "teach/other_keys.h"
#include "write/embedded.h"
#include "write/json.h"
#include "write/performance_json.h"
#include "write/plan_json.h"
#include "write/xml_text.h"

namespace stillhand::write {
namespace {

using Json = nlohmann::ordered_json;
using music::PianoKey;

constexpr int kDataVersion = 1;

std::size_t distance(PianoKey a, PianoKey b) {
  return static_cast<std::size_t>(std::abs((a - b).value()));
}

// Those that are nearest to some key of the performances.
std::set<PianoKey> needed(const std::vector<const teach::Lesson*>& lessons,
                          const PianoSamples& piano) {
  std::set<PianoKey> out;
  if (piano.empty()) return out;
  for (const teach::Lesson* lesson : lessons) {
    for (const perform::Note& note : lesson->performance.notes) {
      const auto near = std::min_element(piano.begin(), piano.end(), [&](auto& a, auto& b) {
        return distance(a.key, note.key) < distance(b.key, note.key);
      });
      out.insert(near->key);
    }
  }
  return out;
}

Json piano_json(const std::vector<const teach::Lesson*>& lessons, const PianoSamples& piano) {
  Json out = Json::array();
  const std::set<PianoKey> used = needed(lessons, piano);
  for (const PianoSample& sample : piano) {
    if (used.count(sample.key) == 0) continue;
    out.push_back({{"midi", sample.key.number()}, {"flac", to_base64(sample.flac)}});
  }
  return out;
}

Json key_json(const teach::Lesson& lesson, const teach::Lesson& own) {
  return {{"key", music::long_text(lesson.tonality, lesson.note_names)},
          {"up", teach::shortest_way(own.tonality, lesson.tonality).value()},
          {"lesson", read_part_json(lesson)},
          {"performance", performance_json(lesson)},
          {"plan", plan_json(student_document(lesson, {}))}};
}

// JSON in a script element: it ends at "</script", and "<!--" changes how it is read, so no "<" stays as it is.
std::string in_script(const Json& data) {
  const std::string text = data.dump(-1, ' ', false, Json::error_handler_t::replace);
  std::string out;
  out.reserve(text.size());
  for (const char c : text) {
    if (c == '<') {
      out += "\\u003c";
    } else {
      out += c;
    }
  }
  return out;
}

// Each mark of the frame once, in its order; what is put in is not looked at again.
std::string filled(std::string_view frame,
                   const std::vector<std::pair<std::string_view, std::string_view>>& marks) {
  std::string out;
  for (const auto& [mark, text] : marks) {
    const std::size_t at = frame.find(mark);
    if (at == std::string_view::npos) continue;  // a build without the page
    out += frame.substr(0, at);
    out += text;
    frame.remove_prefix(at + mark.size());
  }
  out += frame;
  return out;
}

}  // namespace

std::string page(const teach::Lesson& lesson, const PageOptions& options) {
  std::vector<const teach::Lesson*> lessons{&lesson};
  for (const teach::Lesson& other : options.other_keys) lessons.push_back(&other);
  // From the lowest key upwards, the song's own in its place.
  std::stable_sort(lessons.begin(), lessons.end(), [&](const auto* a, const auto* b) {
    return teach::shortest_way(lesson.tonality, a->tonality) <
           teach::shortest_way(lesson.tonality, b->tonality);
  });
  Json keys = Json::array();
  for (const teach::Lesson* each : lessons) keys.push_back(key_json(*each, lesson));
  const Json data{{"version", kDataVersion},
                  {"keys", std::move(keys)},
                  {"piano", options.piano ? piano_json(lessons, *options.piano) : Json::array()}};
  return filled(data::student_page,
                {{"@TITLE@", xml_escaped(lesson.title.empty() ? "Untitled" : lesson.title)},
                 {"@STYLE@", data::student_style},
                 {"@SONG@", in_script(data)},
                 {"@SCRIPT@", data::student_script}});
}

}  // namespace stillhand::write
