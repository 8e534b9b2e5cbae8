#include "arrange/manner.h"

#include <fmt/format.h>

#include <nlohmann/json.hpp>
#include <set>

#include "arrange/embedded.h"

namespace stillhand::arrange {
namespace {

using nlohmann::json;

constexpr std::string_view kFormat = "stillhand-manner-1";

class Reader {
 public:
  Reader(std::string_view text, const std::string& file) : text_(text), file_(file) {}

  Result<Manner> read() {
    // Repeated names would silently keep the last value.
    std::vector<std::set<std::string>> names;
    std::string repeated;
    const auto watch = [&](int, json::parse_event_t event, json& value) {
      if (event == json::parse_event_t::object_start) names.emplace_back();
      if (event == json::parse_event_t::object_end) names.pop_back();
      if (event == json::parse_event_t::key &&
          !names.back().insert(value.get<std::string>()).second) {
        repeated = value.get<std::string>();
      }
      return true;
    };
    const json root = json::parse(text_.begin(), text_.end(), watch, false);
    if (root.is_discarded() || !root.is_object()) {
      return failure(Fault::usage, file_, "this is not a manner file: it is not JSON",
                     "start from a copy of data/manners/home.json");
    }
    if (!repeated.empty())
      complain(fmt::format("`{}` is written twice", repeated), "keep one of the two");
    if (root.value("format", json()) != json(kFormat)) {
      complain(
          fmt::format("the manner's format is not `{}`", kFormat),
          "it may come from another version of Stillhand; its weights cannot be taken over unread");
    }
    Manner manner;
    if (const auto name = root.find("name"); name != root.end() && name->is_string())
      manner.name = *name;
    else
      complain("the manner has no name", "add \"name\": \"…\"");
    read_bass(root, manner);
    read_weights(root, manner);
    if (!errors_.empty()) return tl::unexpected(std::move(errors_));
    return manner;
  }

 private:
  void complain(std::string message, std::string suggestion) {
    errors_.push_back(
        {Severity::error, Fault::usage, file_, {}, std::move(message), std::move(suggestion), {}});
  }

  void read_bass(const json& root, Manner& manner) {
    const json value = root.value("descending_bass", json("slide little finger"));
    if (value == json("slide little finger"))
      manner.descending_bass = DescendingBass::slide_little_finger;
    else if (value == json("announced shift"))
      manner.descending_bass = DescendingBass::announced_shift;
    else
      complain("`descending_bass` is unknown",
               "write \"slide little finger\" or \"announced shift\"");
  }

  void read_weights(const json& root, Manner& manner) {
    const auto weights = root.find("right_hand");
    if (weights == root.end() || !weights->is_object()) {
      complain("the manner has no `right_hand` weights",
               "start from a copy of data/manners/home.json");
      return;
    }
    for (const WeightName& known : right_hand_weight_names()) {
      const auto value = weights->find(known.name);
      if (value == weights->end()) {
        complain(fmt::format("the weight `{}` is missing", known.name),
                 "every weight must be stated once");
      } else if (!value->is_number_integer() || *value < 0 || *value > kLargestWeight) {
        complain(fmt::format("the weight `{}` must be a whole number from 0 to {}", known.name,
                             kLargestWeight),
                 "");
      } else {
        manner.right.*known.member = value->get<int>();
      }
    }
    for (const auto& [name, value] : weights->items()) {
      bool is_known = false;
      for (const WeightName& known : right_hand_weight_names())
        is_known = is_known || known.name == name;
      if (!is_known) complain(fmt::format("there is no weight `{}`", name), "take it out");
    }
  }

  std::string_view text_;
  const std::string& file_;
  Diagnostics errors_;
};

// The built-in files are tested; a fault in them is our own bug.
Manner built_in(std::string_view text, const char* file) {
  return Manner::read(text, file).value();
}

}  // namespace

const std::vector<WeightName>& right_hand_weight_names() {
  using W = RightHandWeights;
  static const std::vector<WeightName> names{
      {"stretch", &W::stretch},
      {"skipped_finger", &W::skipped_finger},
      {"thumb_on_black", &W::thumb_on_black},
      {"little_on_black", &W::little_on_black},
      {"outside_register", &W::outside_register},
      {"register_pull", &W::register_pull},
      {"inversion", &W::inversion},
      {"tonic_inversion", &W::tonic_inversion},
      {"missing_fifth", &W::missing_fifth},
      {"missing_root", &W::missing_root},
      {"extra_note", &W::extra_note},
      {"learn_root_position", &W::learn_root_position},
      {"learn_inversion", &W::learn_inversion},
      {"second_shape", &W::second_shape},
      {"shift", &W::shift},
      {"leap", &W::leap},
      {"semitones", &W::semitones},
      {"finger", &W::finger},
      {"frame", &W::frame},
      {"grip", &W::grip},
      {"finger_change", &W::finger_change},
      {"haste", &W::haste},
  };
  return names;
}

Manner Manner::home() { return built_in(data::manner_home_json, "home.json"); }
Manner Manner::closest() { return built_in(data::manner_closest_json, "closest.json"); }

std::optional<Manner> Manner::named(std::string_view name) {
  if (name == "home") return home();
  if (name == "closest") return closest();
  return std::nullopt;
}

Result<Manner> Manner::read(std::string_view json, const std::string& file) {
  return Reader(json, file).read();
}

}  // namespace stillhand::arrange
