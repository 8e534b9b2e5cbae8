#include "write/plan_document.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <string_view>

#include "teach/plan.h"
#include "teach/speaking.h"
#include "teach/words.h"
#include "write/sheet_hands.h"
#include "write/sheet_text.h"

namespace stillhand::write {
namespace {

using teach::Claim;
using teach::Minutes;

std::string shown(std::string_view text) { return pretty_notes(one_line(text)); }

std::vector<std::string> shown(const std::vector<std::string>& texts) {
  std::vector<std::string> out;
  for (const std::string& text : texts) out.push_back(shown(text));
  return out;
}

std::string in_words(Minutes minutes) {
  return fmt::format("{} {}", minutes.value(), minutes == Minutes(1) ? "minute" : "minutes");
}

std::string raised(std::size_t number) {
  constexpr std::array<std::string_view, 10> kDigits{"⁰", "¹", "²", "³", "⁴",
                                                     "⁵", "⁶", "⁷", "⁸", "⁹"};
  std::string out;
  for (const char digit : std::to_string(number))
    out += kDigits[static_cast<std::size_t>(digit - '0')];
  return out;
}

class Builder {
 public:
  explicit Builder(const teach::Lesson& lesson) : lesson_(lesson) {
    document_.title = one_line(lesson.title);
    if (document_.title.empty()) document_.title = "Untitled";
    document_.writers = one_line(lesson.writers);
    document_.rights = one_line(lesson.rights);
    document_.facts = facts();
  }

  PlanDocument teacher() && {
    document_.kind = "Teaching plan" + for_whom();
    const teach::Plan plan = teach::teaching_plan(lesson_);
    overview(plan);
    news();
    if (!lesson_.cautions.empty()) {
      heading("Before you begin", "");
      document_.parts.emplace_back(PlanPoints{shown(lesson_.cautions)});
    }
    std::size_t number = 0;
    for (std::size_t s = 0; s < plan.sittings.size(); ++s) {
      heading(fmt::format("Sitting {}", s + 1), in_words(plan.sittings[s].minutes));
      for (const teach::Step& step : plan.sittings[s].steps)
        add_step(step, fmt::format("{}. {}", ++number, step.title));
    }
    if (!plan.options.empty()) {
      heading("Optional", in_words(plan.optional_minutes));
      for (const teach::Step& step : plan.options) add_step(step, step.title);
    }
    sources();
    return std::move(document_);
  }

  PlanDocument student(const std::vector<teach::PracticeTrack>& tracks) && {
    document_.kind = "Practice plan" + for_whom();
    const teach::Practice practice = teach::practice_plan(lesson_, tracks);
    const int days = static_cast<int>(practice.days.size());
    paragraph(fmt::format("{} a day, {} days a week{}. Each day is a goal, not a date: where it "
                          "takes longer, it takes longer.",
                          in_words(teach::kMinutesADay), teach::number_in_words(teach::kDaysAWeek),
                          days == 0
                              ? ""
                              : fmt::format("; this plan has {} {}", teach::number_in_words(days),
                                            days == 1 ? "day" : "days")) +
              marks({Claim::custom, Claim::judgement}));
    news();
    heading("Before you start", "");
    rules(practice.before);
    heading("How to practise", "");
    rules(practice.rules);
    drills(practice);
    counts_of_sections();
    days_of(practice);
    ladder(practice);
    sources();
    return std::move(document_);
  }

 private:
  // ---- small things

  void heading(std::string text, std::string after) {
    document_.parts.emplace_back(PlanHeading{std::move(text), std::move(after)});
  }
  void paragraph(std::string text) {
    if (!text.empty()) document_.parts.emplace_back(PlanParagraph{std::move(text)});
  }

  std::string for_whom() const {
    if (!lesson_.student || one_line(lesson_.student->name).empty()) return "";
    return " for " + one_line(lesson_.student->name);
  }

  std::string facts() const {
    std::vector<std::string> all{shown(music::long_text(lesson_.tonality, lesson_.note_names)) +
                                     (lesson_.tonality_was_proposed ? " (proposed)" : ""),
                                 music::text(lesson_.meter),
                                 fmt::format("{} counts a minute", lesson_.tempo.value())};
    const auto shapes = std::count_if(lesson_.shapes.begin(), lesson_.shapes.end(),
                                      [](const auto& shape) { return !shape.is_optional; });
    all.push_back(fmt::format("{} {}", shapes, shapes == 1 ? "shape" : "shapes"));
    if (lesson_.range) {
      all.push_back(shown(fmt::format("melody {} to {}",
                                      music::text(lesson_.range->lowest, lesson_.note_names),
                                      music::text(lesson_.range->highest, lesson_.note_names))));
    }
    const std::string names = names_in_words(lesson_.note_names);
    if (!names.empty()) all.push_back(names);
    return fmt::format("{}", fmt::join(all, ", "));
  }

  // The numbers of the claims behind a sentence.
  std::string marks(const std::vector<Claim>& claims) {
    std::string out;
    for (const Claim claim : claims) {
      auto known = std::find(claims_.begin(), claims_.end(), claim);
      if (known == claims_.end()) known = claims_.insert(claims_.end(), claim);
      out +=
          (out.empty() ? "" : " ") + raised(static_cast<std::size_t>(known - claims_.begin()) + 1);
    }
    return out;
  }

  void sources() {
    if (claims_.empty()) return;
    heading("Sources", "");
    PlanRows rows;
    for (std::size_t i = 0; i < claims_.size(); ++i)
      rows.rows.push_back({std::to_string(i + 1), std::string(teach::source(claims_[i]))});
    document_.parts.emplace_back(std::move(rows));
  }

  void news() {
    if (!lesson_.student) return;
    paragraph(shown(lesson_.student->news));
    if (!lesson_.student->reductions.empty()) {
      PlanPoints points;
      for (const std::string& reduction : lesson_.student->reductions)
        points.points.push_back(shown(reduction) + ".");
      document_.parts.emplace_back(std::move(points));
    }
  }

  static std::vector<std::vector<std::string>> bars_of(const teach::CountAloud& counts) {
    std::vector<std::vector<std::string>> out;
    for (const teach::CountedLine& line : counts.lines) {
      std::vector<std::string> bars;
      for (const teach::CountedBar& bar : line.bars) {
        std::string text = bar.before.empty() ? bar.words : bar.before + " " + bar.words;
        if (!bar.after.empty()) text += "; " + bar.after;
        bars.push_back(one_line(text));
      }
      out.push_back(std::move(bars));
    }
    return out;
  }

  // ---- the teacher's

  void overview(const teach::Plan& plan) {
    const auto sittings = static_cast<int>(plan.sittings.size());
    std::string text = sittings == 1
                           ? fmt::format("One sitting of {}", in_words(plan.minutes))
                           : fmt::format("{} sittings, {} in all, best on different days",
                                         teach::number_in_words(sittings), in_words(plan.minutes));
    if (text.front() >= 'a' && text.front() <= 'z')
      text.front() = static_cast<char>(text.front() - 'a' + 'A');
    if (!plan.options.empty())
      text += fmt::format("; {} more for what is optional", in_words(plan.optional_minutes));
    paragraph(text + "." + marks({Claim::judgement, Claim::nights_between}) +
              " What stands beside an upright line is said to the student.");
    PlanRows rows;
    for (std::size_t s = 0; s < plan.sittings.size(); ++s) {
      std::vector<std::string> titles;
      for (const teach::Step& step : plan.sittings[s].steps) titles.push_back(shown(step.title));
      rows.rows.push_back(
          {fmt::format("Sitting {}, {} min", s + 1, plan.sittings[s].minutes.value()),
           fmt::format("{}.", fmt::join(titles, "; "))});
    }
    document_.parts.emplace_back(std::move(rows));
  }

  void add_step(const teach::Step& step, const std::string& title) {
    document_.parts.emplace_back(PlanStep{shown(title), in_words(step.minutes)});
    if (!step.why.empty()) paragraph(shown(step.why) + marks(step.claims));
    if (!step.shapes.empty()) document_.parts.emplace_back(shapes(step.shapes));
    if (!step.say.empty()) document_.parts.emplace_back(PlanSpeech{shown(step.say)});
    // What is counted as a section before is not printed again: the step says so.
    const bool is_printed =
        std::find(counted_.begin(), counted_.end(), step.counts) != counted_.end();
    if (!step.counts.lines.empty() && !is_printed && !step.counted_as) {
      document_.parts.emplace_back(PlanCounts{bars_of(step.counts)});
      counted_.push_back(step.counts);
    }
    PlanRows rows;
    if (!step.fallback.empty()) rows.rows.push_back({"Fallback", shown(step.fallback)});
    for (const std::string& repeat : step.repeat) rows.rows.push_back({"Repeat", shown(repeat)});
    if (!rows.rows.empty()) document_.parts.emplace_back(std::move(rows));
  }

  PlanShapes shapes(const std::vector<std::size_t>& indices) const {
    PlanShapes out;
    for (const std::size_t i : indices) {
      const teach::TaughtShape& taught = lesson_.shapes[i];
      std::vector<std::string> notes;
      std::vector<int> fingers;
      for (const hand::ShapeNote& note : taught.shape.notes) {
        notes.push_back(display(note.pitch.name, lesson_.note_names) +
                        std::to_string(note.pitch.octave));
        fingers.push_back(note.finger.number());
      }
      out.shapes.push_back(
          {i, fmt::format("{}: {}, fingers {}, {}", shown_chord(taught.chord, lesson_.note_names),
                          fmt::join(notes, " "), fmt::join(fingers, " "), teach::about(taught)) +
                  (taught.where.empty() ? "" : ", in " + one_line(taught.where))});
    }
    return out;
  }

  // ---- the student's

  void rules(const std::vector<teach::Rule>& rules) {
    PlanPoints points;
    for (const teach::Rule& rule : rules) points.points.push_back(rule.text + marks(rule.claims));
    document_.parts.emplace_back(std::move(points));
  }

  static std::string tracks_in_words(const std::vector<std::string>& tracks) {
    if (tracks.empty()) return "";
    return fmt::format(" {}: {}.", tracks.size() == 1 ? "Track" : "Tracks",
                       teach::list_in_words(tracks));
  }

  void drills(const teach::Practice& practice) {
    if (practice.drills.empty()) return;
    heading("The hardest changes", "your drills, right hand");
    PlanRows rows;
    for (const teach::Drill& drill : practice.drills) {
      std::string text = fmt::format("{}", fmt::join(shown(drill.words), " "));
      if (!drill.time.empty()) text += " " + drill.time;
      rows.rows.push_back({shown(drill.title), text + tracks_in_words(drill.tracks)});
    }
    document_.parts.emplace_back(std::move(rows));
  }

  void counts_of_sections() {
    if (lesson_.sections.empty()) return;
    heading("Count aloud", "say the chord's name when it comes, the number while it stays");
    std::vector<teach::CountAloud> known;
    std::vector<std::string> names;
    for (const teach::SheetSection& section : lesson_.sections) {
      teach::CountAloud counts = teach::count_aloud(section, lesson_.note_names);
      const auto alike = std::find_if(known.begin(), known.end(), [&](const auto& before) {
        return teach::is_counted_alike(before, counts);
      });
      document_.parts.emplace_back(PlanStep{one_line(section.name), ""});
      if (alike != known.end()) {
        const std::string& before = names[static_cast<std::size_t>(alike - known.begin())];
        paragraph(teach::capitalised(teach::counted_as(before, *alike, counts)) + ".");
        continue;
      }
      document_.parts.emplace_back(PlanCounts{bars_of(counts)});
      known.push_back(std::move(counts));
      names.push_back(one_line(section.name));
    }
  }

  void days_of(const teach::Practice& practice) {
    for (const teach::PracticeDay& day : practice.days) {
      if ((day.number - 1) % teach::kDaysAWeek == 0) {
        heading(fmt::format("Week {}", (day.number - 1) / teach::kDaysAWeek + 1),
                day.number == 1 ? "two free days wherever they suit you" : "");
      }
      document_.parts.emplace_back(
          PlanStep{fmt::format("Day {}. {}", day.number, shown(day.aim)), in_words(day.minutes)});
      PlanRows rows;
      for (const teach::PracticeBlock& block : day.blocks) {
        rows.rows.push_back(
            {fmt::format("{} min  {}", block.minutes.value(), block.name),
             shown(block.what) + marks(block.claims) + tracks_in_words(block.tracks)});
      }
      document_.parts.emplace_back(std::move(rows));
    }
  }

  void ladder(const teach::Practice& practice) {
    heading("Tempo ladder", "");
    paragraph(practice.ladder_words + marks({Claim::custom}));
    PlanRows rows;
    for (const music::Tempo step : practice.ladder.steps)
      rows.rows.push_back({std::to_string(step.value()), "☐ ☐ ☐"});
    if (!rows.rows.empty()) document_.parts.emplace_back(std::move(rows));
  }

  const teach::Lesson& lesson_;
  PlanDocument document_;
  std::vector<teach::CountAloud> counted_;
  std::vector<Claim> claims_;  // in order of first use
};

}  // namespace

PlanDocument teacher_document(const teach::Lesson& lesson) { return Builder(lesson).teacher(); }

PlanDocument student_document(const teach::Lesson& lesson,
                              const std::vector<teach::PracticeTrack>& tracks) {
  return Builder(lesson).student(tracks);
}

}  // namespace stillhand::write
