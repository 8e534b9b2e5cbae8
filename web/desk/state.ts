// What the page knows, and who is told when it changes.
//
//   on('arranged', draw);   set({ arranged });
import type { Arranged, Bar, BarChord, ChartText, Choices, Folder, Lesson, Move, Shape } from './api.ts';

// A chord of the lesson: indices as in Lesson.sections; option is null for the plain line.
export interface ChordAt {
  section: number;
  line: number;
  option: number | null;
  bar: number;
  chord: number;
}

export type Keeping = 'kept' | 'keeping' | 'not kept';

export interface State {
  name: string; // of the chart; "" before one is open
  text: string;
  choices: Choices;
  arranged: Arranged | null; // of a text that may be a few keys old
  lesson: Lesson | null; // the last one that could be made
  chosen: ChordAt | null;
  keeping: Keeping;
  trouble: string; // why it is not kept
  playing: boolean;
  folder: Folder | null; // null before it has been read
}

type Part = keyof State;
let state: State = { name: '', text: '', choices: {}, arranged: null, lesson: null, chosen: null, keeping: 'kept', trouble: '', playing: false, folder: null };
const hearers = new Map<Part, ((now: State, before: State) => void)[]>();

export const now = (): Readonly<State> => state;

export function on(part: Part, hear: (now: State, before: State) => void): void {
  hearers.set(part, [...(hearers.get(part) ?? []), hear]);
}

export function set(change: Partial<State>): void {
  const before = state;
  state = { ...state, ...change };
  const called = new Set<(now: State, before: State) => void>();
  for (const part of Object.keys(change) as Part[]) {
    if (Object.is(before[part], state[part])) continue;
    for (const hear of hearers.get(part) ?? []) {
      if (called.has(hear)) continue;
      called.add(hear);
      hear(state, before);
    }
  }
}

export const request = (): ChartText => ({ name: state.name, text: state.text, choices: state.choices });

export const sameChord = (a: ChordAt | null, b: ChordAt | null): boolean =>
  a === b || (!!a && !!b && a.section === b.section && a.line === b.line && a.option === b.option && a.bar === b.bar && a.chord === b.chord);

export function barsOf(lesson: Lesson, at: Pick<ChordAt, 'section' | 'line' | 'option'>): Bar[] {
  const line = lesson.sections[at.section]?.lines[at.line];
  return (at.option === null ? line?.bars : line?.options[at.option]?.bars) ?? [];
}
export const chordAt = (lesson: Lesson, at: ChordAt): BarChord | null => barsOf(lesson, at)[at.bar]?.chords[at.chord] ?? null;
export function shapeAt(lesson: Lesson, at: ChordAt): Shape | null {
  const index = chordAt(lesson, at)?.shape;
  return index === null || index === undefined ? null : (lesson.right_hand.shapes[index] ?? null);
}

// The chord struck before or after, in the order of writing, within its section.
export function neighbour(lesson: Lesson, at: ChordAt, step: -1 | 1): ChordAt | null {
  const all: ChordAt[] = [];
  const lines = lesson.sections[at.section]?.lines ?? [];
  lines.forEach((_, line) => {
    const option = line === at.line ? at.option : null;
    barsOf(lesson, { section: at.section, line, option }).forEach((bar, index) =>
      bar.chords.forEach((chord, c) => {
        const here = { section: at.section, line, option, bar: index, chord: c };
        if (!chord.held || sameChord(here, at)) all.push(here);
      }),
    );
  });
  return all[all.findIndex((one) => sameChord(one, at)) + step] ?? null;
}

export function moveBetween(lesson: Lesson, from: ChordAt | null, to: ChordAt | null): Move | null {
  if (!from || !to) return null;
  const a = chordAt(lesson, from)?.shape;
  const b = chordAt(lesson, to)?.shape;
  return lesson.moves.find((move) => move.from_shape === a && move.to_shape === b) ?? null;
}
