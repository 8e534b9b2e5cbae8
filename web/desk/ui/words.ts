// Notes, fingers and shapes in words.
import type { Bass, Shape } from '../api.ts';

const FINGERS = ['', 'thumb', 'finger 2', 'finger 3', 'finger 4', 'little finger'];
export const finger = (number: number): string => FINGERS[number] ?? String(number);

// "F#3" → "F♯", "Bb" → "B♭"
export const note = (text: string): string => text.replace(/-?\d+$/, '').replace(/#/g, '♯').replace(/(?<=^[A-G])b/g, '♭').replace(/(?<=♭)b/g, '♭');
export const symbol = (text: string): string => text.replace(/#/g, '♯').replace(/(^|\/)([A-G])b/g, '$1$2♭');

export const shapeInWords = (shape: Shape): string =>
  `right hand ${shape.notes.map((name, i) => `${note(name)} ${finger(shape.fingers[i] ?? 0)}`).join(', ')}`;
export const bassInWords = (bass: Bass): string =>
  `left hand ${note(bass.note)} ${finger(bass.finger)}${bass.shifts ? ', the hand has moved here' : bass.reach === 'none' ? '' : bass.reach === 'slide' ? ', sliding' : `, reaching ${bass.reach}`}`;

export const counted = (number: number, one: string, many = `${one}s`): string => `${number} ${number === 1 ? one : many}`;
