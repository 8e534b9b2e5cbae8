#include "desk/chart_text.h"

#include <fmt/format.h>

namespace stillhand::desk {
namespace {

// A fault of another file than the chart: no place in the text to be underlined.
Answer of_other_file(const Diagnostics& errors, const std::string& file) {
  if (errors.empty()) return problem(Status::chart_error, file + " cannot be read", "");
  const Diagnostic& first = errors.front();
  const std::string where =
      first.place.line > 0 ? fmt::format("{}, line {}: ", file, first.place.line) : "";
  return problem(Status::chart_error, where + first.message, first.suggestion);
}

OrProblem<arrange::Student> read_student(const std::string& name, const Shelf& shelf,
                                         Diagnostics& remarks) {
  const std::string file = name + ".student";
  const Result<std::string> text = shelf.student(name);
  if (!text) return tl::unexpected(of_other_file(text.error(), file));
  Result<arrange::ParsedStudent> parsed = arrange::read_student(*text, file);
  if (!parsed) return tl::unexpected(of_other_file(parsed.error(), file));
  for (Diagnostic& remark : parsed->remarks) {
    remark.message = fmt::format("{}, line {}: {}", file, remark.place.line, remark.message);
    remark.place = {};
    remark.source_line.clear();
    remarks.push_back(std::move(remark));
  }
  return std::move(parsed->student);
}

OrProblem<arrange::Manner> read_manner(const std::string& name, const Shelf& shelf) {
  if (const auto known = arrange::Manner::named(name)) return *known;
  const std::string file = name + ".manner";
  const Result<std::string> text = shelf.manner(name);
  if (!text) return tl::unexpected(of_other_file(text.error(), file));
  Result<arrange::Manner> manner = arrange::Manner::read(*text, file);
  if (!manner) return tl::unexpected(of_other_file(manner.error(), file));
  return std::move(*manner);
}

// As typed; read before anything is looked up.
struct TypedChoices {
  std::optional<std::string> manner, hand_size, student, left_hand, pattern, note_names, paper;
  std::optional<int> level;
  std::optional<bool> second_shapes;
};

TypedChoices read_choices(Fields& fields) {
  TypedChoices out;
  out.manner = fields.text_if_any("manner");
  out.hand_size = fields.word_if_any("hand_size", {"small", "medium", "large"});
  out.student = fields.text_if_any("student");
  out.level = fields.number_if_any("level", 1, arrange::kHighestLevel);
  out.left_hand = fields.word_if_any("left_hand", teach::rung_names());
  out.second_shapes = fields.flag_if_any("second_shapes");
  out.pattern = fields.text_if_any("pattern");
  out.note_names = fields.word_if_any("note_names", {"english", "german", "do-re-mi"});
  out.paper = fields.word_if_any("paper", {"A4", "Letter"});
  return out;
}

}  // namespace

OrProblem<AskedChart> read_chart_text(Fields& fields, const Shelf& shelf) {
  AskedChart out;
  out.name = fields.text("name");
  out.text = fields.text("text");
  const Json choices = fields.object_if_any("choices");
  Fields own(choices, "choices");
  const TypedChoices typed = read_choices(own);
  if (auto fault = own.fault()) return tl::unexpected(*fault);
  teach::Wishes& wishes = out.wishes;
  if (typed.student && typed.level) {
    return tl::unexpected(problem(Status::not_understood,
                                  "`student` and `level` both say what the student has learned",
                                  "choose only one of them"));
  }
  if (typed.student) {
    auto student = read_student(*typed.student, shelf, wishes.remarks);
    if (!student) return tl::unexpected(student.error());
    wishes.student = std::move(*student);
  }
  if (typed.level) wishes.student = arrange::student_of(*arrange::Level::make(*typed.level));
  if (typed.hand_size) {
    wishes.hand = *hand::HandSize::named(*typed.hand_size);
    if (wishes.student) {
      wishes.student->hand_size = *typed.hand_size;
      wishes.student->span.reset();
    }
  }
  if (typed.note_names) {
    out.note_names = music::note_names_named(*typed.note_names);
    if (wishes.student && out.note_names) wishes.student->note_names = *out.note_names;
  }
  if (wishes.student) {
    wishes.hand = wishes.student->hand();
    if (wishes.student->paper == arrange::StudentPaper::letter) out.paper = write::Paper::letter;
  }
  if (typed.paper) out.paper = *write::paper_named(*typed.paper);
  if (typed.left_hand) wishes.rung = teach::rung_named(*typed.left_hand);
  if (typed.second_shapes.value_or(false)) wishes.second_shapes = arrange::SecondShapes::allow;
  wishes.pattern = typed.pattern;
  if (typed.manner) {
    auto manner = read_manner(*typed.manner, shelf);
    if (!manner) return tl::unexpected(manner.error());
    wishes.manner = std::move(*manner);
  }
  return out;
}

OrProblem<AskedChart> read_chart_text(const Json& body, const Shelf& shelf) {
  Fields fields(body);
  auto asked = read_chart_text(fields, shelf);
  if (auto fault = fields.fault()) return tl::unexpected(*fault);
  return asked;
}

Result<teach::Arranged> arrange_loaded(teach::LoadedFor song, const AskedChart& asked,
                                       Diagnostics& remarks) {
  Result<teach::Arranged> out = teach::arrange_loaded(std::move(song), asked.wishes, remarks);
  if (out && asked.note_names) out->note_names = *asked.note_names;
  return out;
}

OrProblem<teach::LoadedFor> load(const AskedChart& asked) {
  Diagnostics remarks;
  auto song = teach::load_for(asked.text, asked.name, asked.wishes, remarks);
  if (!song) return tl::unexpected(problem(song.error()));
  return std::move(*song);
}

OrProblem<teach::Arranged> arranged(const AskedChart& asked) {
  auto song = load(asked);
  if (!song) return tl::unexpected(song.error());
  Diagnostics remarks;
  auto out = arrange_loaded(std::move(*song), asked, remarks);
  if (!out) return tl::unexpected(problem(out.error()));
  return std::move(*out);
}

}  // namespace stillhand::desk
