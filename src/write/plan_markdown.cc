#include <fmt/format.h>

#include <algorithm>
#include <string_view>

#include "write/plan.h"
#include "write/plan_document.h"

namespace stillhand::write {
namespace {

// CommonMark 0.31, 2.4: a backslash before ASCII punctuation makes it plain text.
std::string escaped(std::string_view text) {
  std::string out;
  for (const char c : text) {
    if (std::string_view("\\`*_[]<>&~#|").find(c) != std::string_view::npos) out += '\\';
    out += c;
  }
  return out;
}

// At the start of a line also what begins a list or a rule there (4.1, 4.3, 5.2): "-", "+", "=", "1999.".
std::string escaped_line(std::string_view text) {
  std::string out = escaped(text);
  const std::size_t digits = std::min(out.find_first_not_of("0123456789"), out.size());
  if (digits == out.size()) return out;
  const bool is_mark =
      digits == 0 && std::string_view("-+=").find(out[0]) != std::string_view::npos;
  const bool is_number = digits > 0 && (out[digits] == '.' || out[digits] == ')');
  if (is_mark || is_number) out.insert(digits, 1, '\\');
  return out;
}

class MarkdownWriter {
 public:
  explicit MarkdownWriter(const PlanDocument& document) {
    out_ = fmt::format("# {}: {}\n", escaped(document.title), escaped(lowered(document.kind)));
    for (const std::string& line : {document.writers, document.rights, document.facts}) {
      if (!line.empty()) out_ += "\n" + escaped_line(line) + "\n";
    }
    for (const PlanPart& part : document.parts) std::visit(*this, part);
  }

  std::string done() && { return std::move(out_); }

  void operator()(const PlanHeading& heading) {
    out_ += fmt::format("\n## {}{}\n", escaped(heading.text), aside(heading.after));
  }
  void operator()(const PlanStep& step) {
    out_ += fmt::format("\n### {}{}\n", escaped(step.text), aside(step.after));
  }
  void operator()(const PlanParagraph& paragraph) {
    out_ += "\n" + escaped_line(paragraph.text) + "\n";
  }
  void operator()(const PlanSpeech& speech) {
    out_ += '\n';
    for (std::size_t i = 0; i < speech.sentences.size(); ++i)
      out_ += fmt::format("{}> {}\n", i == 0 ? "" : ">\n", escaped_line(speech.sentences[i]));
  }
  void operator()(const PlanCounts& counts) {
    out_ += '\n';
    for (std::size_t i = 0; i < counts.lines.size(); ++i) {
      std::string line;
      for (const std::string& bar : counts.lines[i])
        line += (line.empty() ? "" : " \\| ") + escaped(bar);
      out_ += fmt::format("- {}\n", line);
    }
  }
  void operator()(const PlanPoints& points) {
    out_ += '\n';
    for (const std::string& point : points.points)
      out_ += fmt::format("- {}\n", escaped_line(point));
  }
  void operator()(const PlanRows& rows) {
    out_ += '\n';
    for (const PlanRow& row : rows.rows)
      out_ += fmt::format("- **{}** {}\n", escaped(row.label), escaped(row.text));
  }
  void operator()(const PlanShapes& shapes) {
    out_ += '\n';
    for (const PlanShapes::Item& item : shapes.shapes)
      out_ += fmt::format("- {}\n", escaped(item.words));
  }

 private:
  static std::string aside(const std::string& text) {
    return text.empty() ? "" : " (" + escaped(text) + ")";
  }

  static std::string lowered(std::string text) {
    if (!text.empty() && text.front() >= 'A' && text.front() <= 'Z')
      text.front() = static_cast<char>(text.front() - 'A' + 'a');
    return text;
  }

  std::string out_;
};

}  // namespace

std::string plan_markdown(const teach::Lesson& lesson, const PlanOptions& options) {
  const PlanDocument document = options.reader == PlanReader::teacher
                                    ? teacher_document(lesson)
                                    : student_document(lesson, options.tracks);
  return MarkdownWriter(document).done();
}

}  // namespace stillhand::write
