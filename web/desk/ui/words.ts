// Notes, chords, fingers and shapes in words, with the lesson's note names; the data have the English ones. The names are those of
// src/music/note_names.h: in German notes have names of their own, chord symbols keep the signs.
import type { Bass, Shape } from '../api.ts';
import { now } from '../state.ts';

const FINGERS = ['', 'thumb', 'finger 2', 'finger 3', 'finger 4', 'little finger'];
export const finger = (number: number): string => FINGERS[number] ?? String(number);

const DO_RE_MI: Record<string, string> = { C: 'Do', D: 'Re', E: 'Mi', F: 'Fa', G: 'Sol', A: 'La', B: 'Si' };
const sign = (accidentals: string): string => accidentals.replace(/#/g, '♯').replace(/b/g, '♭');
const names = (): string => now().lesson?.note_names ?? 'english';

function germanNote(letter: string, accidentals: string): string {
  if (letter === 'B' && accidentals === 'b') return 'B';
  const stem = letter === 'B' ? 'H' : letter;
  if (accidentals.startsWith('#')) return stem + 'is'.repeat(accidentals.length);
  const end = letter === 'A' ? 'as' : 'es';
  // Es and As: the vowel is spoken once.
  return accidentals === '' ? stem : stem + (letter === 'A' || letter === 'E' ? 's' : end) + end.repeat(accidentals.length - 1);
}
function root(letter: string, accidentals: string): string {
  if (names() === 'do-re-mi') return (DO_RE_MI[letter] ?? letter) + sign(accidentals);
  if (names() === 'german' && letter === 'B') return accidentals.startsWith('b') ? `B${sign(accidentals.slice(1))}` : `H${sign(accidentals)}`;
  return letter + sign(accidentals);
}

// "F#3" → "F♯", "Fis", "Fa♯"
export const note = (text: string): string =>
  text.replace(/^([A-G])(#*|b*)(-?\d+)?$/, (_, letter: string, accidentals: string) => (names() === 'german' ? germanNote(letter, accidentals) : root(letter, accidentals)));
// "Bbm7b5/D" → "B♭m7♭5/D"; other text, "N.C.", as it is
export const symbol = (text: string): string =>
  text.replace(/(^|\/)([A-G])(#+|b+)?/g, (_, before: string, letter: string, accidentals = '') => before + root(letter, accidentals as string)).replace(/[#b](?=\d)/g, sign);
// The signs alone, in a text that says more than a chord.
export const signs = (text: string): string => text.replace(/#/g, '♯').replace(/\b([A-G])b/g, '$1♭');

export const shapeInWords = (shape: Shape): string =>
  `right hand ${shape.notes.map((name, i) => `${note(name)} ${finger(shape.fingers[i] ?? 0)}`).join(', ')}`;
export const bassInWords = (bass: Bass): string =>
  `left hand ${note(bass.note)} ${finger(bass.finger)}${bass.shifts ? ', the hand has moved here' : bass.reach === 'none' ? '' : bass.reach === 'slide' ? ', sliding' : `, reaching ${bass.reach}`}`;

export const counted = (number: number, one: string, many = `${one}s`): string => `${number} ${number === 1 ? one : many}`;
