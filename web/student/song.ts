// What stands in the page: the song in one or several keys, and the piano (src/write/page.h writes it).
import type { Lesson, Performance } from '../desk/api.ts';
import { set } from '../desk/state.ts';

export interface Song {
  version: 1;
  keys: InKey[]; // from the lowest upwards
  piano: { midi: number; flac: string }[]; // base64; none: a plain tone
}
export interface InKey {
  key: string; // "D major", with the lesson's note names
  up: number; // half steps from the song's own key
  lesson: Lesson & { ladder?: { words: string } };
  performance: Performance;
  plan: PlanPart[];
}
export type PlanPart =
  | { kind: 'heading' | 'step'; text: string; after: string }
  | { kind: 'paragraph'; text: string }
  | { kind: 'speech'; sentences: string[] }
  | { kind: 'counts'; lines: string[][] }
  | { kind: 'points'; points: string[] }
  | { kind: 'rows'; rows: { label: string; text: string }[] }
  | { kind: 'shapes'; shapes: { shape: number; words: string }[] };

export const song = JSON.parse(document.getElementById('song')?.textContent ?? '') as Song;

let current = Math.max(0, song.keys.findIndex((one) => one.up === 0));
export const inKey = (): InKey => song.keys[current]!;
export const keyIndex = (): number => current;

// The words of notes and the shapes of chords are those of this key from now on.
export function take(index: number): void {
  current = index;
  set({ lesson: inKey().lesson, chosen: null });
}

export const bytesOf = (base64: string): ArrayBuffer => Uint8Array.from(atob(base64), (c) => c.charCodeAt(0)).buffer;
