#include "chart/build.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <set>
#include <utility>

#include "base/nearest.h"
#include "chart/counts.h"

namespace stillhand::chart {
namespace {

// More than any song has (our judgement).
constexpr std::size_t kMostSections = 200;
constexpr std::size_t kMostOptions = 20;  // below one line
constexpr std::size_t kMostPins = 500;
constexpr std::size_t kMostPatterns = 50;
constexpr int kFewestPinKeys = 2;
constexpr int kMostPinKeys = 5;

// One bar of the section being read, with its signs.
struct WrittenBar {
  std::size_t line = 0;
  std::size_t bar = 0;
  BarSign before;
  BarSign after;
  bool ends_line = false;
};

// Works out the repeats and endings of one section from its signs.
class Repeats {
 public:
  Repeats(Section& section, const std::vector<WrittenBar>& written, Report& report)
      : section_(section), written_(written), report_(report) {}

  void apply() {
    for (std::size_t i = 0; i < written_.size(); ++i) {
      read_before(i);
      bar(i).endings = ending_;
      read_after(i);
    }
    if (!ending_.empty()) end_last_ending();
    finish_group();
    if (open_) report_.error(open_sign_, "this repeat is never closed", "end it with `:|`");
  }

 private:
  Bar& bar(std::size_t i) { return section_.lines[written_[i].line].bars[written_[i].bar]; }

  void read_before(std::size_t i) {
    const BarSign& sign = written_[i].before;
    if (sign.begins_repeat) {
      if (!ending_.empty()) end_last_ending();
      finish_group();
      if (open_) {
        report_.error(sign.piece, "this repeat begins inside another one",
                      "close the first with `:|`");
      }
      open_ = true;
      open_sign_ = sign.piece;
      bar(i).repeat_begins = true;
    }
    if (!sign.endings.empty()) {
      if (!ending_.empty()) {
        report_.error(sign.piece, "the ending before this one does not go back",
                      "close it with `:|`");
      }
      ending_ = sign.endings;
      if (numbers_.empty()) group_sign_ = sign.piece;
      numbers_.insert(numbers_.end(), sign.endings.begin(), sign.endings.end());
      must_follow_ = false;
    } else if (must_follow_) {
      report_.error(written_[i - 1].after.piece, "the next ending must follow this `:|`",
                    "begin it with `:|2.`, or close the last ending with `|`");
      must_follow_ = false;
      numbers_.clear();
      finish_group();
    } else if (ending_.empty()) {
      finish_group();
    }
  }

  void read_after(std::size_t i) {
    const WrittenBar& here = written_[i];
    if (here.after.ends_repeat) {
      if (ending_.empty()) {
        bar(i).repeat_times = here.after.times;
        bar(i).is_vamp = here.after.is_vamp;
      } else {
        closers_.push_back(i);
        ending_.clear();
        must_follow_ = true;
        if (here.after.is_vamp) {
          report_.error(here.after.piece, "a vamp has no endings",
                        "write the bars behind it without a number");
        }
      }
      open_ = false;
    } else if (here.ends_line && !ending_.empty() && !closers_.empty()) {
      end_last_ending();
    }
  }

  void end_last_ending() {
    ending_.clear();
    if (closers_.empty()) {
      report_.error(group_sign_, "this ending does not go back to the beginning",
                    "close it with `:|2.` and write the second ending behind it");
      numbers_.clear();
      open_ = false;
    }
  }

  // All endings of a repeat are known: they must be 1 … n, each once.
  void finish_group() {
    if (must_follow_) {
      report_.error(written_[closers_.back()].after.piece, "the next ending must follow this `:|`",
                    "begin it with `:|2.`, or close the last ending with `|`");
      must_follow_ = false;
      numbers_.clear();
    }
    if (numbers_.empty()) {
      closers_.clear();
      return;
    }
    std::sort(numbers_.begin(), numbers_.end());
    const auto passes = static_cast<int>(numbers_.size());
    bool right = passes >= 2;
    for (int i = 0; i < passes; ++i)
      right = right && numbers_[static_cast<std::size_t>(i)] == i + 1;
    if (!right) {
      report_.error(group_sign_, "the endings of a repeat are numbered 1, 2 and so on, each once",
                    "write `|1.` before the first, `:|2.` before the second");
    }
    for (const std::size_t closer : closers_) {
      const BarSign& sign = written_[closer].after;
      bar(closer).repeat_times = passes;
      if (right && sign.times_written && !sign.is_vamp && sign.times != passes) {
        report_.error(sign.piece,
                      fmt::format("{} times, but the endings are {}", sign.times, passes),
                      "leave the number out: the endings say it");
      }
    }
    numbers_.clear();
    closers_.clear();
  }

  Section& section_;
  const std::vector<WrittenBar>& written_;
  Report& report_;
  bool open_ = false;
  Piece open_sign_;
  std::vector<int> ending_;   // the one being read
  std::vector<int> numbers_;  // of all endings of this repeat so far
  Piece group_sign_;
  std::vector<std::size_t> closers_;  // bars whose `:|` ends an ending
  bool must_follow_ = false;
};

class Builder {
 public:
  Builder(const Source& source, const ChartText& text, Tonality key, Report& report)
      : source_(source), text_(text), report_(report) {
    song_.file = source.file();
    song_.tonality = key;
    song_.notation = text.notation;
  }

  Song build() {
    for (const TextLine& line : text_.lines) read(line);
    end_section();
    end_pattern();
    check_bars();
    read_road_map_line();
    check_length();
    for (const TextLine* pin : pins_) read_pin_line(*pin);
    return std::move(song_);
  }

 private:
  // ---- lines

  void read(const TextLine& line) {
    if (label_ != nullptr && line.kind != LineKind::bars && line.kind != LineKind::pick_up &&
        line.kind != LineKind::blank) {
      report_.error(label_->keyword, "no line of bars follows this `or`",
                    "write the bars that may be played instead in the next line");
      label_ = nullptr;
    }
    if (line.kind != LineKind::left && line.kind != LineKind::right && line.kind != LineKind::blank)
      end_pattern();
    switch (line.kind) {
      case LineKind::blank:
        break;
      case LineKind::unknown:
        said_no_bars_here_ = true;  // it may have been meant for one
        break;
      case LineKind::title:
      case LineKind::writers:
      case LineKind::rights:
      case LineKind::tempo:
      case LineKind::range:
        read_header(line);
        break;
      case LineKind::key:
        read_key(line);
        break;
      case LineKind::meter:
        read_meter(line);
        break;
      case LineKind::section:
        begin_section(line);
        break;
      case LineKind::bars:
      case LineKind::pick_up:
        read_bar_line(line);
        break;
      case LineKind::words:
        read_words_line(line);
        break;
      case LineKind::option:
        read_option(line);
        break;
      case LineKind::road_map:
        if (is_first(line)) road_map_ = &line;
        break;
      case LineKind::shape:
        if (pins_.size() == kMostPins) say_once(line, kMostPins, "shapes");
        if (pins_.size() < kMostPins) pins_.push_back(&line);
        break;
      case LineKind::pedal:
        read_pedal(line);
        break;
      case LineKind::pattern:
        read_pattern(line);
        break;
      case LineKind::left:
      case LineKind::right:
        read_pattern_hand(line);
        break;
    }
  }

  void say_once(const TextLine& line, std::size_t most, std::string_view what) {
    if (!said_too_many_.insert(line.kind).second) return;
    report_.error(line.keyword, fmt::format("a chart has at most {} {}", most, what),
                  "leave some out");
  }

  bool is_first(const TextLine& line) {
    if (seen_.insert(line.kind).second) return true;
    report_.error(line.keyword, fmt::format("a second `{}` line", keyword_of(line.kind)),
                  "keep one of them");
    return false;
  }

  bool has_content(const TextLine& line, const char* example) {
    if (!line.content.empty()) return true;
    report_.error(line.keyword, fmt::format("nothing stands behind `{}`", keyword_of(line.kind)),
                  fmt::format("write it like `{}`", example));
    return false;
  }

  void read_header(const TextLine& line) {
    if (!song_.sections.empty()) {
      report_.error(line.keyword,
                    fmt::format("`{}` belongs above the first section", keyword_of(line.kind)),
                    "move the line up");
      return;
    }
    if (!is_first(line)) return;
    const Piece content = line.content;
    switch (line.kind) {
      case LineKind::title:
        if (has_content(line, "title Lamps Along the Quay")) song_.title = collapsed(content.text);
        break;
      case LineKind::writers:
        song_.writers = collapsed(content.text);
        break;
      case LineKind::rights:
        song_.rights = collapsed(content.text);
        break;
      case LineKind::tempo:
        read_tempo(line);
        break;
      default:
        read_range(line);
    }
  }

  void read_tempo(const TextLine& line) {
    if (!has_content(line, "tempo 66")) return;
    const std::string_view text = line.content.text;
    int tempo = 0;
    const auto read = std::from_chars(text.data(), text.data() + text.size(), tempo);
    const bool whole = read.ec == std::errc{} && read.ptr == text.data() + text.size();
    if (whole && Tempo(tempo) >= music::kSlowestTempo && Tempo(tempo) <= music::kFastestTempo) {
      song_.tempo = Tempo(tempo);
      return;
    }
    report_.error(line.content, fmt::format("{} is no tempo", quoted(text)),
                  fmt::format("write counts per minute, a whole number from {} to {}",
                              music::kSlowestTempo.value(), music::kFastestTempo.value()));
  }

  void read_range(const TextLine& line) {
    if (!has_content(line, "range A3-B4")) return;
    song_.range = parse_range(line.content.text);
    if (!song_.range) {
      report_.error(line.content, fmt::format("{} is no range", quoted(line.content.text)),
                    "write the melody's lowest and highest note: `range A3-B4` (C4 is middle C)");
    }
  }

  void read_key(const TextLine& line) {
    const bool inside = !song_.sections.empty();
    if (!inside && !is_first(line)) return;
    if (!has_content(line, "key D")) return;
    const auto tonality = music::parse_tonality(collapsed(line.content.text));
    if (!tonality) {
      report_.error(line.content, fmt::format("{} is no key", quoted(line.content.text)),
                    "keys look like `D`, `Bb`, `F#m`, with at most seven sharps or flats");
      return;
    }
    if (!inside) {
      song_.tonality = *tonality;
      has_key_ = true;
    } else if (text_.notation != Notation::letters && !has_key_) {
      needs_key(line.keyword);
    }
    tonality_ = *tonality;
  }

  void read_meter(const TextLine& line) {
    const bool inside = !song_.sections.empty();
    if (!inside && !is_first(line)) return;
    if (!has_content(line, "meter 4/4")) return;
    const auto meter = music::parse_meter(line.content.text);
    if (!meter) {
      report_.error(line.content, fmt::format("{} is no meter", quoted(line.content.text)),
                    "meters are 1/4 to 12/4, 1/2 to 6/2, and 3/8, 5/8, 6/8, 7/8, 9/8, 12/8");
      return;
    }
    if (!inside) song_.meter = *meter;
    meter_ = *meter;
  }

  void needs_key(Piece where) {
    if (said_key_is_needed_) return;
    said_key_is_needed_ = true;
    report_.error(where, fmt::format("chords in {} need a key", name_of(text_.notation)),
                  "write `key D` above the first section");
  }

  // ---- sections

  void begin_section(const TextLine& line) {
    if (song_.sections.size() == kMostSections) return say_once(line, kMostSections, "sections");
    end_section();
    Section section;
    section.name = collapsed(line.content.text);
    section.place = source_.place(line.content);
    if (has_content(line, "section Verse 1")) check_section_name(line.content, section.name);
    song_.sections.push_back(std::move(section));
    section_lines_.push_back(&line);
  }

  void check_section_name(Piece piece, const std::string& name) {
    const std::string lower = lower_case(name);
    Piece rest = piece;
    if (lower == "road map") {
      report_.error(piece, "a section cannot be called `road map`",
                    "call it by its part in the song");
    } else if (name.find(',') != std::string::npos) {
      report_.error(piece, "a section's name holds no comma",
                    "the road map separates its sections by commas");
    } else if (take_times(rest)) {
      report_.error(piece, "a section's name does not end in `twice` or `times`",
                    "how often it is played stands in the road map");
    } else if (find_section(name)) {
      report_.error(piece, fmt::format("a second section {}", quoted(name)),
                    "give it a name of its own, or play the first one again in the road map");
    }
  }

  std::optional<std::size_t> find_section(std::string_view name) const {
    const std::string wanted = lower_case(collapsed(name));
    for (std::size_t i = 0; i < song_.sections.size(); ++i) {
      if (lower_case(song_.sections[i].name) == wanted) return i;
    }
    return std::nullopt;
  }

  std::optional<std::size_t> find_section_or_report(Piece name) {
    const auto found = find_section(name.text);
    if (found) return found;
    std::vector<std::string> names;
    for (const Section& section : song_.sections) names.push_back(section.name);
    const std::string lower = lower_case(collapsed(name.text));
    if (lower == "road map") {
      report_.error(name, "the road map cannot play itself", "name sections only");
      return std::nullopt;
    }
    std::string suggestion;
    if (const auto near = nearest(lower, names)) {
      suggestion = fmt::format("did you mean `{}`?", *near);
    } else if (names.empty()) {
      suggestion = "the chart has no sections yet";
    } else {
      constexpr std::size_t kMostNamed = 8;
      suggestion = "the sections are ";
      for (std::size_t i = 0; i < std::min(names.size(), kMostNamed); ++i)
        suggestion += (i == 0 ? "" : ", ") + quoted(names[i]);
      if (names.size() > kMostNamed) suggestion += " …";
    }
    report_.error(name, fmt::format("there is no section {}", quoted(name.text)), suggestion);
    return std::nullopt;
  }

  void end_section() {
    if (!song_.sections.empty()) {
      Repeats(song_.sections.back(), written_, report_).apply();
      give_options_their_repeats(song_.sections.back());
      if (song_.sections.back().lines.empty() && !said_no_bars_here_) {
        report_.error(section_lines_.back()->content, "this section has no bars",
                      "write a line such as `| D | G | A | D |` below it");
      }
    }
    said_no_bars_here_ = false;
    written_.clear();
    row_ = Row::none;
    held_.reset();
    pedal_.reset();
    meter_ = song_.meter;
    tonality_ = song_.tonality;
  }

  static void give_options_their_repeats(Section& section) {
    for (Line& line : section.lines) {
      for (Option& option : line.options) {
        for (std::size_t i = 0; i < line.bars.size(); ++i) {
          const Bar& from = line.bars[i];
          Bar& to = option.bars[i];
          to.repeat_begins = from.repeat_begins;
          to.repeat_times = from.repeat_times;
          to.is_vamp = from.is_vamp;
          to.endings = from.endings;
        }
      }
    }
  }

  // ---- bars

  enum class Row { none, line, option };

  Section& section_for(const TextLine& line) {
    if (song_.sections.empty()) {
      report_.error(line.keyword, "this line of bars stands in no section",
                    "write `section Verse 1` above it");
      end_section();
      song_.sections.emplace_back();
      section_lines_.push_back(&line);
    }
    return song_.sections.back();
  }

  void read_bar_line(const TextLine& line) {
    const TextLine* label = std::exchange(label_, nullptr);
    const bool is_pick_up = line.kind == LineKind::pick_up;
    Section& section = section_for(line);
    if (is_pick_up && !line.content.text.starts_with("|")) {
      report_.error(line.keyword, "`pick-up` needs a bar", "write it like `pick-up | D |`");
      said_no_bars_here_ = true;
      return;
    }
    const BarRow row = read_bars(line.content, text_.notation, report_);
    if (row.bars.empty()) {
      said_no_bars_here_ = true;
      return;
    }
    if (text_.notation != Notation::letters && !has_key_) needs_key(row.bars.front().piece);
    row_has_words_ = false;
    if (label == nullptr) {
      add_line(section, row, is_pick_up);
    } else if (row_ == Row::none) {
      row_ = Row::none;  // the `or` line itself was reported
    } else {
      add_option(section.lines.back(), *label, line, row, is_pick_up);
    }
  }

  void add_line(Section& section, const BarRow& row, bool is_pick_up) {
    check_outer_signs(row);
    held_at_line_begin_ = held_;
    Line line;
    for (std::size_t i = 0; i < row.bars.size(); ++i) {
      line.bars.push_back(read_bar(row.bars[i], meter_, tonality_, is_pick_up && i == 0));
      written_.push_back(
          {section.lines.size(), i, row.signs[i], row.signs[i + 1], i + 1 == row.bars.size()});
    }
    line.rows = {row.bars.front().piece.line, row.bars.front().piece.line};
    section.lines.push_back(std::move(line));
    row_ = Row::line;
  }

  void check_outer_signs(const BarRow& row) {
    const BarSign& first = row.signs.front();
    const BarSign& last = row.signs.back();
    if (first.ends_repeat) {
      report_.error(first.piece, "a line of bars cannot begin with `:|`",
                    "put it at the end of the line above");
    }
    if (last.begins_repeat) {
      report_.error(last.piece, "a repeat cannot begin at the end of a line",
                    "put `|:` at the beginning of the next line");
    }
    if (!last.endings.empty()) {
      report_.error(last.piece, "an ending cannot begin at the end of a line",
                    "put its number at the beginning of the next line: `|2.`");
    }
  }

  Bar read_bar(const BarText& text, Meter meter, Tonality tonality, bool is_pick_up) {
    Bar bar;
    bar.meter = meter;
    bar.tonality = tonality;
    bar.is_pick_up = is_pick_up;
    bar.place = source_.place(text.piece);
    const auto timed =
        is_pick_up ? time_pick_up(text, meter, report_) : time_tokens(text, meter, report_);
    for (const TimedToken& token : timed) add_event(bar, token);
    bar.length = Tick(0);
    for (const ChordEvent& event : bar.chords) bar.length += event.duration;
    // After an error the hold of the next bar must not be reported as well.
    if (timed.empty()) held_ = ChordEvent{};
    return bar;
  }

  void add_event(Bar& bar, const TimedToken& timed) {
    const Token& token = *timed.token;
    if (token.kind == Token::Kind::hold) {
      if (!bar.chords.empty()) {
        bar.chords.back().duration += timed.duration;
        return;
      }
      if (!held_) {
        report_.error(token.piece, "there is no chord yet that this dash could hold",
                      "write a chord, or `N.C.` for silence");
      }
      bar.chords.push_back(
          {held_ ? held_->chord : std::nullopt, timed.duration, source_.place(token.piece)});
      return;
    }
    ChordEvent event{std::nullopt, timed.duration, source_.place(token.piece)};
    if (token.symbol) {
      event.chord = chord_of(*token.symbol, bar.tonality);
      if (pedal_ && !event.chord->bass && *pedal_ != event.chord->root) event.chord->bass = *pedal_;
    }
    held_ = event;
    bar.chords.push_back(std::move(event));
  }

  void read_option(const TextLine& line) {
    if (row_ == Row::none) {
      report_.error(line.keyword, "this `or` stands under no line of bars",
                    "an `or` line names another way to play the line above it");
    } else if (line.content.text.find('|') != std::string_view::npos) {
      report_.error(line.content, "the bars of an `or` stand in the next line",
                    "write `or` and a name, and the bars below it");
    }
    label_ = &line;
  }

  void add_option(Line& line, const TextLine& label, const TextLine& written, const BarRow& row,
                  bool is_pick_up) {
    const bool has_signs = std::any_of(row.signs.begin(), row.signs.end(), [](const BarSign& s) {
      return s.ends_repeat || s.begins_repeat || !s.endings.empty();
    });
    if (has_signs) {
      report_.error(written.content, "an `or` line takes its repeats from the line above",
                    "write plain bar lines `|`");
    }
    if (row.bars.size() != line.bars.size()) {
      report_.error(written.content,
                    fmt::format("this line has {} {}, the line above has {}", row.bars.size(),
                                row.bars.size() == 1 ? "bar" : "bars", line.bars.size()),
                    "an `or` line stands for the line above, bar by bar");
      return;
    }
    if (is_pick_up != line.bars.front().is_pick_up) {
      report_.error(written.keyword,
                    is_pick_up ? "the line above has no pick-up" : "the line above has a pick-up",
                    is_pick_up ? "leave `pick-up` out" : "begin this line with `pick-up` too");
      return;
    }
    if (line.options.size() == kMostOptions) {
      report_.error(label.keyword,
                    fmt::format("a line has at most {} others to choose from", kMostOptions),
                    "leave some out");
      return;
    }
    const auto held_before = held_;
    held_ = held_at_line_begin_;
    Option option;
    option.label = collapsed(label.content.text);
    for (std::size_t i = 0; i < row.bars.size(); ++i) {
      const Bar& above = line.bars[i];
      Bar bar = read_bar(row.bars[i], above.meter, above.tonality, above.is_pick_up);
      if (above.is_pick_up && bar.length != above.length && !bar.chords.empty() &&
          !above.chords.empty()) {
        report_.error(row.bars[i].piece, "this pick-up is not as long as the one above",
                      "give it as many counts");
      }
      option.bars.push_back(std::move(bar));
    }
    held_ = held_before;
    for (const Option& other : line.options) {
      if (lower_case(other.label) == lower_case(option.label)) {
        report_.error(label.keyword, "this line has an `or` of that name already",
                      "give each its own name");
        return;
      }
    }
    option.rows = {written.content.line, written.content.line};
    line.options.push_back(std::move(option));
    row_ = Row::option;
  }

  void read_pedal(const TextLine& line) {
    if (song_.sections.empty()) {
      report_.error(line.keyword, "a pedal point stands in no section", "move it below `section`");
      return;
    }
    if (!has_content(line, "pedal D")) return;
    row_ = Row::none;
    if (lower_case(line.content.text) == "off") {
      if (!pedal_) {
        report_.error(line.content, "there is no pedal point to end",
                      "a section's end ends its pedal point by itself");
      }
      pedal_.reset();
      return;
    }
    const auto note = parse_symbol_note(line.content.text, text_.notation);
    if (!note) {
      report_.error(line.content, fmt::format("{} is no bass note", quoted(line.content.text)),
                    text_.notation == Notation::letters ? "write it like `pedal D` or `pedal off`"
                                                        : "write it like `pedal 1` or `pedal off`");
      return;
    }
    pedal_ = note_of(*note, tonality_);
  }

  // ---- patterns

  // A `pattern` line whose next line is a hand's defines a pattern; any other asks for one.
  bool defines(const TextLine& line) const {
    const TextLine* next = &line + 1;
    const TextLine* end = text_.lines.data() + text_.lines.size();
    while (next != end && next->kind == LineKind::blank) ++next;
    return next != end && (next->kind == LineKind::left || next->kind == LineKind::right);
  }

  void read_pattern(const TextLine& line) {
    row_ = Row::none;
    const bool is_named = has_content(line, "pattern boom-chick");
    const Place place = source_.place(line.content);
    if (defines(line)) {
      pattern_ = &line;
      new_pattern_ = {collapsed(line.content.text), {}, {}, place};
      return;
    }
    if (!is_named) return;
    std::optional<PatternUse>& use =
        song_.sections.empty() ? song_.pattern : song_.sections.back().pattern;
    if (use) {
      report_.error(line.keyword,
                    song_.sections.empty() ? "a second `pattern` line above the first section"
                                           : "a second `pattern` line in this section",
                    "keep one of them");
    }
    use = PatternUse{collapsed(line.content.text), place};
  }

  void read_pattern_hand(const TextLine& line) {
    if (pattern_ == nullptr) {
      report_.error(line.keyword,
                    fmt::format("this `{}` stands under no `pattern`", keyword_of(line.kind)),
                    "write `pattern` and a name above it");
      return;
    }
    const bool is_left = line.kind == LineKind::left;
    const TextLine*& seen = is_left ? left_line_ : right_line_;
    if (seen != nullptr) {
      report_.error(line.keyword,
                    fmt::format("a second `{}` line in this pattern", keyword_of(line.kind)),
                    "keep one of them");
      return;
    }
    seen = &line;
    const auto bar =
        read_pattern_bar(line.content, is_left ? PatternHand::left : PatternHand::right, report_);
    if (!bar) {
      pattern_is_broken_ = true;
      return;
    }
    (is_left ? new_pattern_.left : new_pattern_.right) = *bar;
  }

  void end_pattern() {
    if (pattern_ == nullptr) return;
    const TextLine& line = *std::exchange(pattern_, nullptr);
    const bool has_left = std::exchange(left_line_, nullptr) != nullptr;
    const TextLine* right = std::exchange(right_line_, nullptr);
    if (std::exchange(pattern_is_broken_, false)) return;
    if (!has_left || right == nullptr) {
      report_.error(line.content,
                    fmt::format("this pattern has no `{}` line", has_left ? "right" : "left"),
                    has_left ? "write `right | rest |` if the right hand does nothing"
                             : "write `left | rest |` if the left hand does nothing");
      return;
    }
    check_pattern_counts(*right);
    const auto same = [&](const PatternDefinition& other) {
      return lower_case(other.name) == lower_case(new_pattern_.name);
    };
    if (std::any_of(song_.patterns.begin(), song_.patterns.end(), same)) {
      report_.error(line.content, fmt::format("a second pattern {}", quoted(new_pattern_.name)),
                    "give each its own name");
    } else if (song_.patterns.size() == kMostPatterns) {
      say_once(line, kMostPatterns, "patterns");
    } else {
      song_.patterns.push_back(std::move(new_pattern_));
    }
  }

  void check_pattern_counts(const TextLine& right) {
    const int counts = std::max(new_pattern_.left.counts, new_pattern_.right.counts);
    if (with_counts(new_pattern_.left, counts) && with_counts(new_pattern_.right, counts)) return;
    report_.error(right.content,
                  fmt::format("the left hand has {} counts, the right hand {}",
                              new_pattern_.left.counts, new_pattern_.right.counts),
                  "give both hands the same counts, or end the shorter bar in `and so on`");
  }

  void read_words_line(const TextLine& line) {
    if (row_ == Row::none) {
      report_.error(line.keyword, "these words stand under no line of bars",
                    "write them directly below their bars");
      return;
    }
    if (row_has_words_) {
      report_.error(line.keyword, "the bars above have their words already",
                    "write a section for each verse");
      return;
    }
    row_has_words_ = true;
    Line& above = song_.sections.back().lines.back();
    std::vector<Bar>& bars = row_ == Row::line ? above.bars : above.options.back().bars;
    (row_ == Row::line ? above.rows : above.options.back().rows).last = line.content.line;
    const auto cells = read_words(line.content);
    for (std::size_t i = 0; i < std::min(cells.size(), bars.size()); ++i)
      bars[i].words = collapsed(cells[i].text);
    if (cells.size() > bars.size()) {
      report_.error(cells[bars.size()],
                    fmt::format("words for {} bars stand under {}", cells.size(), bars.size()),
                    "the words of a bar stand between the same bar lines as its chords");
    }
  }

  // ---- the whole

  std::size_t bars_in(const Section& section) const {
    std::size_t n = 0;
    for (const Line& line : section.lines) n += line.bars.size();
    return n;
  }

  void check_bars() {
    const bool any = std::any_of(song_.sections.begin(), song_.sections.end(),
                                 [&](const Section& s) { return bars_in(s) > 0; });
    if (any || report_.has_errors()) return;
    report_.error("the chart has no bars",
                  "write `section Verse 1` and below it a line such as `| D | G | A | D |`");
  }

  void read_road_map_line() {
    if (road_map_ != nullptr) {
      if (has_content(*road_map_, "road map Verse 1, Chorus, Verse 1, Chorus twice")) {
        for (const RoadMapText& entry : read_road_map(road_map_->content, report_)) {
          if (const auto section = find_section_or_report(entry.name))
            song_.road_map.push_back({*section, entry.times});
        }
      }
      warn_about_unplayed();
    }
    if (!song_.road_map.empty()) return;
    for (std::size_t i = 0; i < song_.sections.size(); ++i) song_.road_map.push_back({i, 1});
  }

  void warn_about_unplayed() {
    for (std::size_t i = 0; i < song_.sections.size(); ++i) {
      const bool played = std::any_of(song_.road_map.begin(), song_.road_map.end(),
                                      [&](const RoadMapEntry& e) { return e.section == i; });
      if (played) continue;
      report_.warning(section_lines_[i]->content,
                      fmt::format("the road map never plays {}", quoted(song_.sections[i].name)),
                      "add it to the road map, or leave it as it is");
    }
  }

  void check_length() {
    if (report_.has_errors()) return;
    const std::size_t bars = count_played_bars(song_);
    if (bars > kMostPlayedBars) {
      const std::string message =
          fmt::format("the song is {} bars long as played; {} is the most", bars, kMostPlayedBars);
      const char* remedy = "play fewer repeats";
      if (road_map_ != nullptr) {
        report_.error(road_map_->content, message, remedy);
      } else {
        report_.error(message, remedy);
      }
      return;
    }
    check_pick_ups();
  }

  // A pick-up takes its counts from the bar played before it, which must be longer.
  void check_pick_ups() {
    std::set<std::pair<int, int>> reported;
    const auto played = perform(song_);
    for (std::size_t i = 1; i < played.size(); ++i) {
      const Bar& bar = bar_of(song_, played[i]);
      if (!bar.is_pick_up || bar_of(song_, played[i - 1]).length > bar.length) continue;
      if (!reported.insert({bar.place.line, bar.place.column}).second) continue;
      report_.error(part(source_.line(bar.place.line), 0, 0),
                    "this pick-up is not shorter than the bar played before it",
                    "it takes its counts from the end of that bar");
    }
  }

  // ---- pins

  void read_pin_line(const TextLine& line) {
    const PinText text = read_pin(line.content, text_.notation, report_);
    if (!text.symbol) return;
    if (text_.notation != Notation::letters && !has_key_) return needs_key(text.name);
    Pin pin;
    pin.place = source_.place(text.name);
    pin.chord = chord_of(*text.symbol, song_.tonality);
    pin.pitches = text.pitches;
    pin.fingers = text.fingers;
    if (pin.chord.bass) {
      report_.error(text.name, "a shape has no bass note: the left hand plays it",
                    "leave the slash and what follows out");
      return;
    }
    if (text.section) {
      if (text.section->empty()) return;  // reported by the reader
      pin.section = find_section_or_report(*text.section);
      if (!pin.section) return;
    }
    if (!check_pitches(line, text, pin) || !check_fingers(text)) return;
    check_against_song(text, pin);
    song_.pins.push_back(std::move(pin));
  }

  bool check_pitches(const TextLine& line, const PinText& text, const Pin& pin) {
    const auto count = static_cast<int>(pin.pitches.size());
    if (count < kFewestPinKeys || count > kMostPinKeys) {
      report_.error(line.content,
                    fmt::format("a shape has {} to {} piano keys, this one has {}", kFewestPinKeys,
                                kMostPinKeys, count),
                    "write them from low to high: `shape G  G3 B3 D4`");
      return false;
    }
    bool right = true;
    const auto notes = pin.chord.notes();
    for (std::size_t i = 0; i < pin.pitches.size(); ++i) {
      const auto pitch_class = pin.pitches[i].key().pitch_class();
      const bool belongs = std::any_of(notes.begin(), notes.end(), [&](music::NoteName n) {
        return n.pitch_class() == pitch_class;
      });
      if (!belongs) {
        std::string names;
        for (const auto note : notes) names += (names.empty() ? "" : " ") + music::text(note);
        report_.error(text.pitch_pieces[i],
                      fmt::format("{} is no note of {}", quoted(text.pitch_pieces[i].text),
                                  quoted(text.name.text)),
                      fmt::format("its notes are {}", names));
        right = false;
      }
      if (i > 0 && pin.pitches[i].key() <= pin.pitches[i - 1].key()) {
        report_.error(text.pitch_pieces[i],
                      fmt::format("{} is not above {}", quoted(text.pitch_pieces[i].text),
                                  quoted(text.pitch_pieces[i - 1].text)),
                      "write the piano keys from low to high");
        right = false;
      }
    }
    return right;
  }

  bool check_fingers(const PinText& text) {
    if (text.fingers.empty()) return true;
    if (text.fingers.size() != text.pitches.size()) {
      report_.error(
          text.finger_pieces.front(),
          fmt::format("{} fingers for {} piano keys", text.fingers.size(), text.pitches.size()),
          "give every key its finger from low to high, or leave the fingers out");
      return false;
    }
    for (std::size_t i = 0; i < text.fingers.size(); ++i) {
      const bool is_finger = text.fingers[i] >= 1 && text.fingers[i] <= 5;
      if (is_finger && (i == 0 || text.fingers[i] > text.fingers[i - 1])) continue;
      report_.error(text.finger_pieces[i],
                    is_finger ? "the fingers do not rise from low to high"
                              : fmt::format("there is no finger {}", text.fingers[i]),
                    "the right hand goes from 1 (thumb) to 5 (little finger)");
      return false;
    }
    return true;
  }

  void check_against_song(const PinText& text, const Pin& pin) {
    for (const Pin& other : song_.pins) {
      if (other.chord == pin.chord && other.section == pin.section) {
        report_.error(text.name, fmt::format("a second shape for {}", quoted(text.name.text)),
                      "keep one, or limit one to a section: `in Chorus`");
        return;
      }
    }
    if (chords_.empty()) collect_chords();
    const std::string chord = music::text(pin.chord);
    for (std::size_t i = 0; i < chords_.size(); ++i) {
      if ((!pin.section || *pin.section == i) && chords_[i].contains(chord)) return;
    }
    report_.warning(
        text.name,
        pin.section ? fmt::format("{} has no chord {}", quoted(song_.sections[*pin.section].name),
                                  quoted(text.name.text))
                    : fmt::format("the song has no chord {}", quoted(text.name.text)),
        "this shape has no effect");
  }

  void collect_chords() {
    const auto collect = [](const std::vector<Bar>& bars, std::set<std::string>& chords) {
      for (const Bar& bar : bars) {
        for (const ChordEvent& event : bar.chords) {
          if (event.chord) chords.insert(music::text(event.chord->without_bass()));
        }
      }
    };
    for (const Section& section : song_.sections) {
      std::set<std::string>& chords = chords_.emplace_back();
      for (const Line& line : section.lines) {
        collect(line.bars, chords);
        for (const Option& option : line.options) collect(option.bars, chords);
      }
    }
  }

  const Source& source_;
  const ChartText& text_;
  Report& report_;
  Song song_;
  std::set<LineKind> seen_;
  std::set<LineKind> said_too_many_;
  std::vector<std::set<std::string>> chords_;  // of each section, without bass, once pins ask
  bool has_key_ = false;
  bool said_key_is_needed_ = false;
  const TextLine* road_map_ = nullptr;
  std::vector<const TextLine*> pins_;
  std::vector<const TextLine*> section_lines_;
  // of the section being read
  std::vector<WrittenBar> written_;
  Meter meter_;
  Tonality tonality_;
  std::optional<music::NoteName> pedal_;
  std::optional<ChordEvent> held_;  // what a dash at the next bar's beginning would hold
  std::optional<ChordEvent> held_at_line_begin_;
  Row row_ = Row::none;  // what `"` and `or` would belong to
  bool row_has_words_ = false;
  bool said_no_bars_here_ = false;
  // of the pattern being defined
  const TextLine* pattern_ = nullptr;
  const TextLine* left_line_ = nullptr;
  const TextLine* right_line_ = nullptr;
  bool pattern_is_broken_ = false;  // reported
  PatternDefinition new_pattern_;
  const TextLine* label_ = nullptr;  // of an `or` whose bars come next
};

}  // namespace

Song build_song(const Source& source, const ChartText& text, Tonality key_if_missing,
                Report& report) {
  return Builder(source, text, key_if_missing, report).build();
}

bool has_key_line(const ChartText& text) {
  for (const TextLine& line : text.lines) {
    if (line.kind == LineKind::section) return false;
    if (line.kind == LineKind::key) return true;
  }
  return false;
}

}  // namespace stillhand::chart
