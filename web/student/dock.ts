// The keyboard at the foot of the page, as the instrument stands under the music: the chord of the moment with both hands, the outline of
// the one that comes, and in words what moves to get there.
import { html, nothing, render } from 'lit';
import { type ChordAt, chordAt, moveBetween, neighbour, shapeAt } from '../desk/state.ts';
import { Frame, isBlack, keys, marks, node, outlines, type Mark } from '../desk/ui/keyboard.ts';
import { bassInWords, shapeInWords, symbol } from '../desk/ui/words.ts';
import { inKey } from './song.ts';

const HEIGHT = 46;

export interface Shown {
  at: ChordAt | null;
  next: ChordAt | null;
  down?: ReadonlySet<number>; // keys that the player holds
}

function hands(at: ChordAt): Mark[] {
  const { lesson } = inKey();
  const shape = shapeAt(lesson, at);
  const bass = chordAt(lesson, at)?.bass;
  return [
    ...(bass ? [bass, ...bass.figure] : []).map((one): Mark => ({ midi: one.midi, finger: one.finger, hand: 'left' })),
    ...(shape ? shape.midi.map((midi, i): Mark => ({ midi, finger: shape.fingers[i] ?? 0, hand: 'right' })) : []),
  ];
}

// All keys of the song, so that the keyboard stays where it is while it plays.
function span(): { low: number; high: number } {
  const all = inKey().performance.notes.map((note) => note.midi);
  return all.length ? { low: Math.min(...all), high: Math.max(...all) } : { low: 48, high: 72 };
}

function picture({ at, next, down }: Shown, label: string): SVGElement {
  const { low, high } = span();
  const list = at ? hands(at) : [];
  const outer = [...list.map((one) => one.midi), ...(down ?? [])];
  const frame = new Frame(Math.min(low, ...outer), Math.max(high, ...outer));
  const svg = node('svg', { viewBox: `-0.5 -0.5 ${frame.width + 1} ${HEIGHT + 1}`, class: 'keyboard big', preserveAspectRatio: 'xMidYMin meet', role: 'img', 'aria-label': label });
  const shape = at ? shapeAt(inKey().lesson, at) : null;
  const coming = next ? shapeAt(inKey().lesson, next) : null;
  svg.append(
    keys(frame, HEIGHT, (key, rect) => down?.has(key) && rect.classList.add('down')),
    outlines(frame, HEIGHT, coming && coming !== shape ? coming.midi : []),
    marks(frame, HEIGHT, list),
  );
  for (let key = frame.low; key <= frame.high; ++key)
    if (key % 12 === 0 && !isBlack(key)) svg.append(node('text', { x: frame.centre(key), y: HEIGHT - 12.8, class: key === 60 ? 'c middle' : 'c' }, `C${key / 12 - 1}`));
  return svg;
}

export function show(shown: Shown): void {
  const { lesson } = inKey();
  const { at, next } = shown;
  const chord = at ? chordAt(lesson, at) : null;
  const shape = at ? shapeAt(lesson, at) : null;
  const said = chord ? `${symbol(chord.chord)}${shape ? `: ${shapeInWords(shape)}` : ''}${chord.bass ? `; ${bassInWords(chord.bass)}` : ''}` : 'a piano keyboard';
  document.getElementById('keyboard')!.replaceChildren(picture(shown, said));
  const nextChord = next ? chordAt(lesson, next) : null;
  const move = moveBetween(lesson, at, next);
  render(
    html`<h2>${chord ? symbol(chord.chord) : next ? 'Count-in' : 'Touch a chord'}</h2>
      ${nextChord ? html`<p>then <b>${symbol(nextChord.chord)}</b>${move ? html`: ${move.words}` : nothing}</p>` : nothing}
      ${!at && !next ? html`<p class="note">You see its keys and fingers here. Discs are the right hand, squares the left.</p>` : nothing}`,
    document.getElementById('words')!,
  );
}

// What is to be said, to those who look and those who listen: one place that is always there.
export function say(text: string): void {
  const place = document.getElementById('status')!;
  if (place.textContent !== text) place.textContent = text;
}

// The chord that was touched, and the one after it.
// Behind the last chord of a section, the one that is played there the first time. `following`: of the performance.
export const showChosen = (at: ChordAt | null, following: (at: ChordAt) => ChordAt | null): void =>
  show({ at, next: at ? (neighbour(inKey().lesson, at, 1) ?? following(at)) : null });
