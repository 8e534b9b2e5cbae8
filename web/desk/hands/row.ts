// One line's hands on the page: for every chord a small keyboard with the right hand, the bass note of the left, and what moves to get there.
import { now, on, set } from '../state.ts';
import { keyboard, node } from '../ui/keyboard.ts';
import { chordKey, type HandsChord, type HandsRow } from './model.ts';

const element = (name: string, className: string, ...inside: (Node | string)[]): HTMLElement => {
  const out = document.createElement(name);
  out.className = className;
  out.append(...inside);
  return out;
};

function chordButton(chord: HandsChord, row: HandsRow): HTMLElement {
  const button = document.createElement('button');
  button.type = 'button';
  button.className = 'hands-chord';
  button.tabIndex = -1; // reached by the cursor in the text; there would be too many stops
  button.dataset['chord'] = chordKey(chord.at);
  const { chosen } = now();
  if (chosen && chordKey(chosen) === chordKey(chord.at)) button.classList.add('chosen');
  const bass = element('span', 'hands-bass');
  if (chord.bass) {
    const square = node('svg', { viewBox: '0 0 11 11', width: 12, height: 12, class: 'square' });
    square.append(node('rect', { x: 1, y: 1, width: 9, height: 9 }), node('text', { x: 5.5, y: 8.2 }, String(chord.bass.finger)));
    bass.append(square, chord.bass.note, ' ', chord.bass.remark);
  }
  const name = element('span', `hands-name${chord.pinned ? ' pinned' : ''}`, chord.symbol);
  const moved = element('span', 'hands-moved', chord.moved);
  // Its name are the words; the signs that one sees would be read as a heap of numbers.
  for (const one of [name, bass, moved]) one.setAttribute('aria-hidden', 'true');
  button.append(element('span', 'sr', chord.said), name, keyboard({ low: row.low, high: row.high, height: 30, label: '', marks: chord.marks }), bass, moved);
  button.addEventListener('click', () => set({ chosen: chord.at }));
  return button;
}

export function drawRow(row: HandsRow): HTMLElement {
  const out = element('div', 'hands');
  out.setAttribute('role', 'group');
  out.setAttribute('aria-label', row.label);
  for (const bar of row.bars) {
    const chords = bar.chords.map((one) => (typeof one === 'string' ? element('span', 'hands-held', one) : chordButton(one, row)));
    const counts = Array.from({ length: bar.counts }, () => element('i', ''));
    const box = element('div', 'hands-bar', element('div', 'hands-chords', ...chords), element('div', 'hands-counts', ...counts));
    box.dataset['bar'] = bar.key;
    out.append(box);
  }
  return out;
}

// The chosen chord has a frame.
on('chosen', ({ chosen }) => {
  for (const one of document.querySelectorAll('.hands-chord.chosen')) one.classList.remove('chosen');
  if (chosen) document.querySelector(`.hands-chord[data-chord="${chordKey(chosen)}"]`)?.classList.add('chosen');
});

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
