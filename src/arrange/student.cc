#include "arrange/student.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cassert>
#include <utility>

#include "arrange/embedded.h"
#include "arrange/simplify.h"

namespace stillhand::arrange {
namespace {

using hand::Millimetre;
using music::Semitones;

// ---- levels

struct LevelRow {
  std::string_view about;
  Skills skills;  // with those of all lower levels
};

std::string_view cut(std::string_view& text, char at) {
  const std::size_t end = std::min(text.find(at), text.size());
  const std::string_view head = text.substr(0, end);
  text.remove_prefix(std::min(end + 1, text.size()));
  return head;
}

// The built-in table is tested; a fault in it is our own bug.
std::vector<LevelRow> read_levels() {
  std::vector<LevelRow> rows;
  std::string_view rest = data::levels_tsv;
  while (!rest.empty()) {
    std::string_view line = cut(rest, '\n');
    if (line.empty() || line.front() == '#') continue;
    cut(line, '\t');
    LevelRow row;
    row.about = cut(line, '\t');
    if (!rows.empty()) row.skills = rows.back().skills;
    while (!line.empty()) {
      std::string_view word = cut(line, ';');
      if (word.starts_with(' ')) word.remove_prefix(1);
      const std::optional<Skill> skill = skill_named(word);
      assert(skill);
      row.skills.insert(*skill);
    }
    rows.push_back(std::move(row));
  }
  return rows;
}

const LevelRow& row_of(Level level) {
  static const std::vector<LevelRow> rows = read_levels();
  return rows[static_cast<std::size_t>(level.number())];
}

// ---- stretches named by an interval

constexpr std::array<std::pair<std::string_view, int>, 6> kStretches{
    {{"fifth", 7}, {"sixth", 9}, {"seventh", 11}, {"octave", 12}, {"ninth", 14}, {"tenth", 16}}};

// The widest pair of keys so many semitones apart.
Millimetre widest(int semitones) {
  Millimetre most(0);
  for (PianoKey low(0); low < PianoKey(12); low = low + Semitones(1))
    most = std::max(most, hand::distance(low, low + Semitones(semitones)));
  return most;
}

std::string tenths(Millimetre length) {
  const int whole = length.value() / 10;
  const int rest = length.value() % 10;
  return rest == 0 ? fmt::format("{} mm", whole) : fmt::format("{}.{} mm", whole, rest);
}

std::string stretch_text(Millimetre stretch) {
  for (const auto& [word, semitones] : kStretches) {
    if (widest(semitones) == stretch) return std::string(word);
  }
  return tenths(stretch);
}

// ---- words

std::string_view name_of(StudentPaper paper) { return paper == StudentPaper::a4 ? "a4" : "letter"; }

std::string listed(const KnownShape& known) {
  std::string out = text(known.chord);
  for (const Pitch& pitch : known.pitches) out += " " + text(pitch);
  for (Finger finger : known.fingers) out += fmt::format(" {}", finger.number());
  return out;
}

std::string called(const Student& student) {
  return student.name.empty() ? "the student" : student.name;
}

// "C first inversion"; root position is what one expects.
std::string shape_text(const ShapeChoice& choice, music::NoteNames names) {
  std::string symbol = text(choice.chord, names);
  if (choice.shape.inversion == hand::Inversion::root_position && !choice.shape.is_reduction)
    return symbol;
  return fmt::format("{} {}", symbol, hand::described(choice.shape, choice.chord));
}

// Skills that show in what the hands do, not in what the chart says.
Skills skills_of_hands(const Arrangement& a) {
  Skills needed;
  for (const ShapeChoice& choice : a.right.shapes) {
    if (hand::is_triad(choice.chord) && choice.shape.inversion != hand::Inversion::root_position)
      needed.insert(Skill::inversions);
  }
  for (std::size_t i = 0; i < a.right.shapes.size(); ++i) {
    for (std::size_t j = 0; j < i; ++j) {
      if (a.right.shapes[i].chord == a.right.shapes[j].chord &&
          !(a.right.shapes[i].shape == a.right.shapes[j].shape))
        needed.insert(Skill::second_shape);
    }
  }
  for (const std::optional<BassNote>& note : a.left.bass) {
    if (!note) continue;
    switch (note->rung) {
      case Rung::one_root:
        break;
      case Rung::position:
        needed.insert(Skill::bass_position);
        if (note->reach != Reach::none) needed.insert(Skill::bass_reach);
        if (note->shifts) needed.insert(Skill::bass_shift);
        break;
      case Rung::root_and_fifth:
        needed.insert(Skill::root_and_fifth);
        break;
      case Rung::octave:
        needed.insert(Skill::octave);
        break;
      case Rung::root_fifth_octave:
        needed.insert(Skill::root_fifth_octave);
        break;
      case Rung::walking_bass:
        needed.insert(Skill::walking_bass);
        break;
    }
  }
  return needed;
}

}  // namespace

std::optional<Level> Level::make(int number) {
  if (number < 0 || number > kHighestLevel) return std::nullopt;
  return Level(number);
}

Skills skills_of_level(Level level) { return row_of(level).skills; }
std::string_view about(Level level) { return row_of(level).about; }

std::optional<Millimetre> stretch_named(std::string_view interval) {
  for (const auto& [word, semitones] : kStretches) {
    if (word == interval) return widest(semitones);
  }
  return std::nullopt;
}

std::vector<std::string> stretch_names() {
  std::vector<std::string> names;
  for (const auto& [word, unused] : kStretches) names.emplace_back(word);
  return names;
}

Skills Student::skills() const {
  Skills all = level ? skills_of_level(*level) : Skills{};
  all.insert(also.begin(), also.end());
  for (Skill skill : not_yet) all.erase(skill);
  return all;
}

hand::HandSize Student::hand() const {
  hand::HandSize size =
      span ? *hand::HandSize::from_span(*span) : *hand::HandSize::named(hand_size);
  return stretch ? size.stretching_at_most(*stretch) : size;
}

Student student_of(Level level) {
  Student student;
  student.level = level;
  return student;
}

std::string write_student(const Student& s) {
  std::string out;
  const auto line = [&](std::string_view keyword, std::string_view value) {
    out += fmt::format("{:<8} {}\n", keyword, value);
  };
  if (!s.name.empty()) line("name", s.name);
  if (s.level) line("level", std::to_string(s.level->number()));
  if (!s.also.empty()) line(s.level ? "also" : "skills", listed(s.also));
  if (!s.not_yet.empty()) line("not yet", listed(s.not_yet));
  for (const KnownShape& known : s.knows) line("knows", listed(known));
  if (s.span)
    line("span", tenths(*s.span));
  else
    line("hand", s.hand_size);
  if (s.stretch) line("stretch", stretch_text(*s.stretch));
  line("notes", music::name(s.note_names));
  line("paper", name_of(s.paper));
  if (s.tempo) line("tempo", std::to_string(s.tempo->value()));
  return out;
}

Choices choices_for(const Student& student, const Manner& manner) {
  Choices choices;
  choices.manner = manner;
  choices.hand = student.hand();
  choices.skills = student.skills();
  if (choices.skills->contains(Skill::second_shape)) choices.second_shapes = SecondShapes::allow;
  choices.known = student.knows;
  return choices;
}

NewForStudent new_for(const Student& student, const Arrangement& arrangement) {
  NewForStudent news;
  for (std::size_t i = 0; i < arrangement.right.shapes.size(); ++i) {
    const ShapeChoice& choice = arrangement.right.shapes[i];
    if (!is_known(choice.chord, choice.shape, student.knows)) news.shapes.push_back(i);
  }
  Skills needed = skills_of(arrangement.song);
  needed.merge(skills_of_hands(arrangement));
  const Skills has = student.skills();
  for (Skill skill : needed) {
    if (!has.contains(skill)) news.skills.insert(skill);
  }
  return news;
}

std::string in_words(const NewForStudent& news, const Student& student,
                     const Arrangement& arrangement) {
  if (news.is_nothing()) return fmt::format("Nothing in this song is new for {}.", called(student));
  std::string out = fmt::format("New for {}: ", called(student));
  if (!news.shapes.empty()) {
    out += fmt::format("{} {} (", news.shapes.size(), news.shapes.size() == 1 ? "shape" : "shapes");
    for (std::size_t i = 0; i < news.shapes.size(); ++i) {
      if (i > 0) out += "; ";  // what a shape leaves out has commas
      out += shape_text(arrangement.right.shapes[news.shapes[i]], student.note_names);
    }
    out += ")";
  }
  if (!news.skills.empty()) {
    if (!news.shapes.empty()) out += "; ";
    out += fmt::format("{}: {}", news.skills.size() == 1 ? "one skill" : "skills",
                       listed(news.skills));
  }
  return out + ".";
}

}  // namespace stillhand::arrange
