// One line's hands: for every chord a small keyboard with the right hand, the bass note of the left, and what moves to get there.
import type { Lesson } from '../api.ts';
import { barsOf, type ChordAt, moveBetween, neighbour, set, shapeAt } from '../state.ts';
import { keyboard, node } from '../ui/keyboard.ts';
import { bassInWords, note, shapeInWords, symbol } from '../ui/words.ts';

const element = (name: string, className: string, ...inside: (Node | string)[]): HTMLElement => {
  const out = document.createElement(name);
  out.className = className;
  out.append(...inside);
  return out;
};

// "1 A–G, 3 stays" in as few signs as will do: the fingers that go somewhere.
function moved(lesson: Lesson, at: ChordAt): string {
  const move = moveBetween(lesson, neighbour(lesson, at, -1), at);
  if (!move) return '';
  const parts = move.fingers.map((one) => `${one.finger} ${note(one.from)}→${note(one.to)}`);
  for (const one of move.added) parts.push(`${one.finger} on ${note(one.note)}`);
  return parts.join('  ');
}

export const countsOf = (meter: string, length: number): number => {
  const [, lower = '4'] = meter.split('/');
  const compound = lower === '8' && ['3', '6', '9', '12'].includes(meter.split('/')[0] ?? '');
  const count = compound ? 1440 : lower === '8' ? 480 : lower === '2' ? 1920 : 960;
  return Math.max(1, Math.round(length / count));
};

export function handsRow(lesson: Lesson, line: Pick<ChordAt, 'section' | 'line' | 'option'>): HTMLElement {
  const all = lesson.right_hand.shapes.flatMap((shape) => shape.midi);
  const low = Math.min(...all);
  const high = Math.max(...all);
  const row = element('div', 'hands');
  row.setAttribute('role', 'group');
  row.setAttribute('aria-label', line.option === null ? 'hands of this line' : 'hands of this other way');
  barsOf(lesson, line).forEach((bar, b) => {
    const box = element('div', 'hands-bar');
    box.dataset['bar'] = `${line.section}.${line.line}.${line.option ?? 'x'}.${b}`;
    const chords = element('div', 'hands-chords');
    bar.chords.forEach((chord, c) => {
      const at: ChordAt = { ...line, bar: b, chord: c };
      const shape = shapeAt(lesson, at);
      if (chord.held || !shape) {
        chords.append(element('span', 'hands-held', chord.held ? 'held' : symbol(chord.chord)));
        return;
      }
      const before = neighbour(lesson, at, -1);
      const held = new Set(moveBetween(lesson, before, at)?.held.filter((one) => one.before === one.after).map((one) => one.after) ?? []);
      const button = document.createElement('button');
      button.type = 'button';
      button.className = 'hands-chord';
      button.tabIndex = -1; // reached by the cursor in the text; there would be too many stops
      // Its name is these words; the signs that one sees would be read as a heap of numbers.
      const said = element('span', 'sr', `${symbol(chord.chord)}: ${shapeInWords(shape)}${chord.bass ? `; ${bassInWords(chord.bass)}` : ''}`);
      const name = element('span', `hands-name${shape.pinned ? ' pinned' : ''}`, symbol(chord.chord));
      const picture = keyboard({
        low, high, height: 30, label: '',
        marks: shape.midi.map((midi, i) => ({ midi, finger: shape.fingers[i] ?? 0, hand: 'right' as const, stays: held.has(shape.fingers[i] ?? 0) })),
      });
      const bass = element('span', 'hands-bass');
      if (chord.bass) {
        const square = node('svg', { viewBox: '0 0 11 11', width: 12, height: 12, class: 'square', 'aria-hidden': 'true' });
        square.append(node('rect', { x: 1, y: 1, width: 9, height: 9 }), node('text', { x: 5.5, y: 8.2 }, String(chord.bass.finger)));
        bass.append(square, note(chord.bass.note), chord.bass.shifts ? ' moves' : chord.bass.reach !== 'none' ? ' reach' : '');
      }
      const signs = [name, bass, element('span', 'hands-moved', moved(lesson, at))];
      for (const one of signs) one.setAttribute('aria-hidden', 'true');
      button.append(said, name, picture, ...signs.slice(1));
      button.addEventListener('click', () => set({ chosen: at }));
      chords.append(button);
    });
    const counts = element('div', 'hands-counts');
    for (let i = countsOf(bar.meter, bar.length); i > 0; --i) counts.append(element('i', ''));
    box.append(chords, counts);
    row.append(box);
  });
  return row;
}

// Fills the marks of a bar up to a count; bar "" empties all.
export function fillCounts(bar: string, count: number): void {
  for (const box of document.querySelectorAll<HTMLElement>('.hands-bar.now')) {
    if (box.dataset['bar'] !== bar) {
      box.classList.remove('now');
      for (const mark of box.querySelectorAll('i.full')) mark.classList.remove('full');
    }
  }
  if (!bar) return;
  const box = document.querySelector<HTMLElement>(`.hands-bar[data-bar="${bar}"]`);
  if (!box) return;
  if (!box.classList.contains('now')) {
    box.classList.add('now');
    box.scrollIntoView({ block: 'nearest' }); // what is played is seen; without motion
  }
  box.querySelectorAll('i').forEach((mark, i) => mark.classList.toggle('full', i <= count));
}

