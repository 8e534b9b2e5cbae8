#include <fmt/format.h>

#include <algorithm>

#include "cli/arrange_output.h"
#include "teach/words.h"

namespace stillhand::cli {
namespace {

std::string notes_of(const hand::Shape& shape, music::NoteNames names) {
  std::string out;
  for (const hand::ShapeNote& note : shape.notes) {
    if (!out.empty()) out += ' ';
    out += music::text(note.pitch, names);
  }
  return out;
}

std::string fingers_of(const hand::Shape& shape) {
  std::string out;
  for (const hand::ShapeNote& note : shape.notes) {
    if (!out.empty()) out += ' ';
    out += std::to_string(note.finger.number());
  }
  return out;
}

std::string proof(arrange::Status status, arrange::Cost lower_bound) {
  if (status == arrange::Status::optimal) return "proven least";
  return fmt::format("not proven: at least {}", lower_bound.value());
}

std::string head(const teach::Lesson& lesson) {
  std::string out = lesson.title.empty() ? "Untitled" : lesson.title;
  out += fmt::format("\nkey {}{}, {}, {} counts a minute; {} manner, {} hand\n",
                     music::text(lesson.tonality, lesson.note_names),
                     lesson.tonality_was_proposed ? " (proposed)" : "", music::text(lesson.meter),
                     lesson.tempo.value(), lesson.manner, lesson.hand_size);
  if (lesson.student) out += lesson.student->news + "\n";
  return out;
}

std::string shape_line(const teach::TaughtShape& taught, music::NoteNames names) {
  std::string out =
      fmt::format("  {:<8} {:<16} {:<8} {}", music::text_of_symbol(taught.chord, names),
                  notes_of(taught.shape, names), fingers_of(taught.shape), teach::about(taught));
  if (taught.is_pinned) out += ", pinned";
  if (!taught.where.empty()) out += ", in " + taught.where;
  return out + '\n';
}

std::string right_hand(const teach::Lesson& lesson) {
  std::string plain;
  std::string optional;
  int shapes = 0;
  for (const teach::TaughtShape& taught : lesson.shapes) {
    (taught.is_optional ? optional : plain) += shape_line(taught, lesson.note_names);
    shapes += taught.is_optional ? 0 : 1;
  }
  std::string out =
      fmt::format("\nRight hand: {} {}, cost {} ({})\n", shapes, shapes == 1 ? "shape" : "shapes",
                  lesson.cost.value(), proof(lesson.right_status, lesson.lower_bound));
  out += plain;
  if (!optional.empty()) out += "\nRight hand, only for the `or` lines\n" + optional;
  return out;
}

// What the left hand does in the `or` lines, where that is to be said.
std::string left_hand_options(const teach::Lesson& lesson) {
  std::string out;
  for (const teach::SheetSection& section : lesson.sections) {
    for (const teach::SheetLine& line : section.lines) {
      for (const teach::SheetOption& option : line.options) {
        if (option.remarks.empty()) continue;
        out += fmt::format("  {}, or{}{}: {}\n", section.name, option.label.empty() ? "" : " ",
                           option.label, fmt::join(option.remarks, "; "));
      }
    }
  }
  return out;
}

std::string left_hand(const teach::Lesson& lesson) {
  std::string out =
      lesson.one_position ? "\nLeft hand: one position for the whole song\n" : "\nLeft hand\n";
  for (const teach::SectionPosition& entry : lesson.positions) {
    std::vector<std::string> parts = entry.remarks;
    if (!entry.position.is_open()) {
      parts.insert(parts.begin(),
                   fmt::format("little finger on {}, thumb on {}",
                               music::text(entry.position.little_finger(), lesson.note_names),
                               music::text(entry.position.thumb(), lesson.note_names)));
    }
    out += fmt::format("  {}: {}\n", entry.section, fmt::join(parts, "; "));
  }
  return out + left_hand_options(lesson);
}

// A chord that has several shapes is told apart by where it is played.
std::string name_of(const teach::Lesson& lesson, std::size_t shape) {
  const teach::TaughtShape& taught = lesson.shapes.at(shape);
  const std::string symbol = music::text_of_symbol(taught.chord, lesson.note_names);
  return taught.where.empty() ? symbol : fmt::format("{} in {}", symbol, taught.where);
}

std::string move_line(const teach::Lesson& lesson, const teach::Move& move) {
  return fmt::format("  {} to {}{}: {}\n", name_of(lesson, move.from), name_of(lesson, move.to),
                     move.times == 1 ? "" : fmt::format(" ({} times)", move.times), move.words);
}

std::string moves(const teach::Lesson& lesson) {
  std::string plain;
  std::string optional;
  for (const teach::Move& move : lesson.moves)
    (move.is_optional ? optional : plain) += move_line(lesson, move);
  std::string out;
  if (!plain.empty()) out += "\nWhat moves\n" + plain;
  if (!optional.empty()) out += "\nWhat moves in the `or` lines\n" + optional;
  return out;
}

// Named only: what they do stands above, at "What moves".
std::string hardest(const teach::Lesson& lesson) {
  std::string list;
  for (const std::size_t i : lesson.hardest) {
    list += (list.empty() ? "" : ", ") + hardest_move_text(lesson, lesson.moves.at(i));
  }
  return list.empty() ? "" : fmt::format("\nHardest moves: {}\n", list);
}

std::string price_list(const teach::Lesson& lesson, const PriceList& list) {
  std::string out = fmt::format("\nOther shapes of {}, and what each would add to the cost\n",
                                music::text(list.chord, lesson.note_names));
  for (const arrange::Price& price : list.prices) {
    const bool is_taken =
        std::any_of(lesson.shapes.begin(), lesson.shapes.end(), [&](const auto& taught) {
          return taught.chord == music::text(list.chord.without_bass()) &&
                 taught.shape == price.shape;
        });
    const std::string more = is_taken ? "taken" : fmt::format("+{}", price.more.value());
    out += fmt::format("  {:<8} {:<16} {:<8} {}\n", more, notes_of(price.shape, lesson.note_names),
                       fingers_of(price.shape), hand::name(price.shape.inversion));
  }
  return out;
}

}  // namespace

std::string arrange_text(const teach::Lesson& lesson, const PriceList* prices) {
  std::string out =
      head(lesson) + right_hand(lesson) + left_hand(lesson) + moves(lesson) + hardest(lesson);
  if (prices != nullptr) out += price_list(lesson, *prices);
  return out;
}

std::string hardest_move_text(const teach::Lesson& lesson, const teach::Move& move) {
  const std::int64_t bits = move.difficulty.index.value();
  const std::int64_t time = move.shortest.value();
  return fmt::format("{} to {} ({}.{:02} bits in {}.{} s)", name_of(lesson, move.from),
                     name_of(lesson, move.to), bits / 1000, bits % 1000 / 10, time / 1000,
                     time % 1000 / 100);
}

}  // namespace stillhand::cli
