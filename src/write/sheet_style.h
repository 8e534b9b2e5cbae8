// Every size of the sheet in one place; large print is another value of this struct.
//
// Points (1/72 inch). Origin of the values: our own judgement, after the needs of a music stand
// read at arm's length: chords at least 13 pt, words at least 11 pt, fingers at least 7.5 pt. Type
// sizes step by about 1.2.
#pragma once

#include "write/sheet_page.h"

namespace stillhand::write {

struct SheetStyle {
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
  Font finger{Face::sans_bold, 7.6};
  double leading = 1.28;       // of running text, times its size
  double road_leading = 1.42;  // of the road map

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

// The same sheet with less white space between sections and rows, and smaller sentences below the music.
inline SheetStyle tighter(SheetStyle style) {
  style.margin_top = 38;
  style.margin_bottom = 44;
  style.section_gap = 14;
  style.row_gap = 10;
  style.road_leading = 1.3;
  style.body.size = 9.6;
  style.body_strong.size = 9.6;
  style.leading = 1.2;
  return style;
}

}  // namespace stillhand::write
