// What one line's hands show, as a value: rows that are equal look equal, so that only those that differ are drawn.
import type { Arranged, Bass, Lesson } from '../api.ts';
import { barsOf, type ChordAt, moveBetween, neighbour, shapeAt } from '../state.ts';
import type { Mark } from '../ui/keyboard.ts';
import { bassInWords, note, shapeInWords, symbol } from '../ui/words.ts';

export type LineAt = Pick<ChordAt, 'section' | 'line' | 'option'>;

export interface HandsChord {
  at: ChordAt;
  symbol: string;
  said: string; // the whole in words
  pinned: boolean;
  marks: Mark[];
  bass: { finger: number; note: string; remark: string } | null;
  moved: string; // "1 A→G  5 on D": what the fingers do to get there
}
export interface HandsBar {
  key: string; // names the bar on the page
  counts: number;
  chords: (HandsChord | string)[]; // a word where nothing is struck
}
export interface HandsRow {
  label: string;
  low: number; // the right hand's keys in the whole song
  high: number;
  bars: HandsBar[];
}

export const barKey = (at: LineAt, bar: number): string => `${at.section}.${at.line}.${at.option ?? 'x'}.${bar}`;
export const chordKey = (at: ChordAt): string => `${barKey(at, at.bar)}.${at.chord}`;

const remark = (bass: Bass): string => (bass.shifts ? 'moves' : bass.reach === 'none' ? '' : bass.reach === 'slide' ? 'slides' : `reaches ${bass.reach}`);

function chordOf(lesson: Lesson, at: ChordAt): HandsChord | string {
  const chord = barsOf(lesson, at)[at.bar]!.chords[at.chord]!;
  const shape = shapeAt(lesson, at);
  if (chord.held) return 'held';
  if (!shape) return symbol(chord.chord);
  const move = moveBetween(lesson, neighbour(lesson, at, -1), at);
  const stay = new Set(move?.held.filter((one) => one.before === one.after).map((one) => one.after));
  const moved = move
    ? [
        ...move.fingers.map((one) => ({ finger: one.finger, text: `${note(one.from)}→${note(one.to)}` })),
        ...move.held.filter((one) => one.before !== one.after).map((one) => ({ finger: one.after, text: `on ${note(one.note)}` })),
        ...move.added.map((one) => ({ finger: one.finger, text: `on ${note(one.note)}` })),
      ].sort((a, b) => a.finger - b.finger)
    : [];
  return {
    at,
    symbol: symbol(chord.chord),
    said: `${symbol(chord.chord)}: ${shapeInWords(shape)}${chord.bass ? `; ${bassInWords(chord.bass)}` : ''}`,
    pinned: shape.pinned,
    marks: shape.midi.map((midi, i) => ({ midi, finger: shape.fingers[i] ?? 0, hand: 'right', stays: stay.has(shape.fingers[i] ?? 0) })),
    bass: chord.bass ? { finger: chord.bass.finger, note: note(chord.bass.note), remark: remark(chord.bass) } : null,
    moved: moved.map((one) => `${one.finger} ${one.text}`).join('  '),
  };
}

// Every line of bars of the chart, with the line of the text under which it belongs; by that line.
export function handsRows(arranged: Arranged): { under: number; row: HandsRow }[] {
  const { lesson, places } = arranged;
  if (!lesson || !places) return [];
  const all = lesson.right_hand.shapes.flatMap((shape) => shape.midi);
  const low = Math.min(...all);
  const high = Math.max(...all);
  const out: { under: number; row: HandsRow }[] = [];
  const add = (under: number, at: LineAt, bars: readonly { counts: number }[]): void => {
    out.push({
      under,
      row: {
        label: at.option === null ? 'hands of this line' : 'hands of this other way',
        low,
        high,
        bars: barsOf(lesson, at).map((bar, b) => ({
          key: barKey(at, b),
          counts: bars[b]?.counts ?? 0,
          chords: bar.chords.map((_, chord) => chordOf(lesson, { ...at, bar: b, chord })),
        })),
      },
    });
  };
  places.sections.forEach((section, s) =>
    section.lines.forEach((place, l) => {
      add(place.last, { section: s, line: l, option: null }, place.bars);
      place.options.forEach((option, o) => add(option.last, { section: s, line: l, option: o }, option.bars));
    }),
  );
  return out.sort((a, b) => a.under - b.under);
}
