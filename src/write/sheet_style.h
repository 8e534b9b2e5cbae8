// Every size of the sheet in one place; large print is another value of this struct.
//
// Points (1/72 inch). Origin of the values: our own judgement, after the needs of a music stand
// read at arm's length: chords at least 13 pt, words at least 11 pt, fingers at least 7.5 pt. Type
// sizes step by about 1.2.
#pragma once

#include "write/sheet_page.h"

namespace stillhand::write {

// Large print is set anew at 16 points and more, never the normal sheet made bigger (UK Association for Accessible Formats, G003).
enum class Print { normal, large };

struct SheetStyle {
  Print print = Print::normal;  // what rules of layout depend on; the sizes say the rest
  double page_width = 595.28, page_height = 841.89;  // A4
  double margin_side = 48, margin_top = 46, margin_bottom = 52;

  Font title{Face::serif_bold, 27};
  Font section{Face::serif_bold, 16};
  Font head{Face::sans_bold, 9.5};
  Font road{Face::serif, 14};
  Font chord{Face::sans_bold, 14};
  Font chord_light{Face::sans, 14};
  Font chord_option{Face::sans, 13.5};
  Font picture_chord{Face::sans_bold, 14};
  Font words{Face::serif, 11.5};
  Font body{Face::serif, 10.5};
  Font body_strong{Face::sans_bold, 10.5};
  Font fact{Face::sans, 10.5};
  Font note{Face::sans, 8.5};
  Font bass{Face::sans, 9.5};  // note names of the left hand in the bars
  Font finger{Face::sans_bold, 7.6};
  double leading = 1.28;       // of running text, times its size
  double road_leading = 1.42;  // of the road map

  double unit = 1;            // of the small distances between marks
  int most_columns = 4;       // of keyboard pictures side by side
  int most_bars = 5;          // in a row
  int fact_columns = 4;       // key, meter, tempo, melody
  double column_gap = 15;     // between the columns of the page grid
  double section_gap = 20;    // above a section
  double row_gap = 15;        // between rows of bars
  double bar_padding = 9;     // from a bar line to what stands in the bar
  double chord_gap = 6;       // least space between two chords of a bar
  double count_radius = 1.7;  // the marks of the counts
  double keyboard_height = 38;
  double smallest_white_key = 9;  // narrower keys would not hold a finger number

  // A section up to this part of the page moves to the next page whole; a longer one is broken
  // between its lines.
  double longest_moved_whole = 0.6;

  double width() const { return page_width - 2 * margin_side; }
  double height() const { return page_height - margin_top - margin_bottom; }
};

// The same sheet with less white space between sections and rows, and smaller sentences below the music. Large print keeps
// its sizes.
inline SheetStyle tighter(SheetStyle style) {
  style.margin_top = 38;
  style.margin_bottom = 44;
  style.section_gap *= 0.7;
  style.row_gap *= 0.67;
  if (style.print == Print::large) return style;
  style.road_leading = 1.3;
  style.body.size = 9.6;
  style.body_strong.size = 9.6;
  style.leading = 1.2;
  return style;
}

// Large print: 16 points at least, 18 for what is read while playing; sans serif throughout, nothing light or small that
// carries a meaning, fewer things side by side. Source: UK Association for Accessible Formats, G003 (2012): 16 points is
// the minimum, 18 is better, no serifs, no italics, aligned left, set anew rather than enlarged.
inline SheetStyle large(SheetStyle style) {
  style.print = Print::large;
  style.margin_side = 42;
  style.margin_top = 42;
  style.title = {Face::sans_bold, 30};
  style.section = {Face::sans_bold, 22};
  style.head = {Face::sans_bold, 17};
  style.road = {Face::sans, 19};
  style.chord = {Face::sans_bold, 21};
  style.chord_light = {Face::sans, 21};
  style.chord_option = {Face::sans, 20};
  style.picture_chord = {Face::sans_bold, 21};
  style.words = {Face::sans, 18};
  style.body = {Face::sans, 18};
  style.body_strong = {Face::sans_bold, 18};
  style.fact = {Face::sans, 18};
  style.note = {Face::sans, 16};
  style.bass = {Face::sans, 17};
  style.finger = {Face::sans_bold, 16};
  style.leading = 1.32;
  style.unit = 1.7;
  style.most_columns = 2;
  style.fact_columns = 2;
  style.column_gap = 24;
  style.section_gap = 30;
  style.row_gap = 22;
  style.bar_padding = 12;
  style.chord_gap = 10;
  style.count_radius = 3;
  style.keyboard_height = 74;
  style.smallest_white_key = 19;
  return style;
}

}  // namespace stillhand::write
