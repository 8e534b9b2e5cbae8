#include "desk/answers.h"
#include "desk/chart_text.h"
#include "write/sheet.h"

namespace stillhand::desk {

Answer sheet_answer(const Json& body, const Shelf& shelf) {
  Fields fields(body);
  const auto asked = read_chart_text(fields, shelf);
  std::vector<std::string> kinds;
  for (const write::SheetKind kind : write::all_sheet_kinds())
    kinds.emplace_back(write::name(kind));
  const auto kind = fields.word_if_any("kind", kinds);
  const auto print = fields.word_if_any("print", {"normal", "large"});
  if (auto fault = fields.fault()) return *fault;
  if (!asked) return asked.error();
  write::SheetOptions options;
  options.paper = asked->paper;
  if (kind) options.kind = *write::sheet_kind_named(*kind);
  if (print) options.print = *write::print_named(*print);
  if (options.kind == write::SheetKind::moves && options.print == write::Print::large) {
    return problem(Status::chart_error, "the sheet of moves has no large print",
                   "its pictures are large already: choose the normal print");
  }
  const auto song = arranged(*asked);
  if (!song) return song.error();
  const auto pages = write::sheet_svg(teach::lesson_of(*song), options);
  if (!pages) return problem(pages.error());
  return answer(Json{{"pages", *pages}});
}

}  // namespace stillhand::desk
