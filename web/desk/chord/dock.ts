// The one keyboard at the bottom, as below a music desk: the chosen chord with both hands, the way to it and from it, its other shapes and
// their prices; keys can be chosen by hand or on an instrument, and pinned. While the song plays: the present shape and the outline of the next.
import { html, render, nothing } from 'lit';
import type { Lesson, Prices, Shape, Text as ChartTextAnswer } from '../api.ts';
import { ask, inWords } from '../server.ts';
import { chordAt, type ChordAt, moveBetween, neighbour, now, on, request, set, shapeAt } from '../state.ts';
import { Frame, isBlack, keyboard, keys, marks, node, outlines, type Mark } from '../ui/keyboard.ts';
import { bassInWords, note, shapeInWords, symbol } from '../ui/words.ts';
import { say } from '../ui/view.ts';

const HEIGHT = 46;
const LOW = 36; // C2, below every left hand's usual place
const HIGH = 76; // E5, above the right hand's register

let replaceText: (text: string) => void = () => {};
let picked: number[] = []; // keys chosen for a pin
let prices: Prices | null = null;
let asked = 0;
let inSection = false;
const place = (): HTMLElement => document.getElementById('dock-chord')!;
const board = (): HTMLElement => document.getElementById('dock-keys')!;

export function startDock(replace: (text: string) => void): void {
  replaceText = replace;
  on('chosen', (after) => {
    picked = [];
    prices = null;
    draw();
    if (after.chosen) void price();
  });
  // Prices take a search each: they come when the keys have rested.
  let rest = 0;
  on('lesson', () => {
    draw();
    window.clearTimeout(rest);
    rest = window.setTimeout(() => void price(), 300);
  });
  draw();
}

async function price(): Promise<void> {
  const { chosen, lesson } = now();
  if (!chosen || !lesson || now().playing) return;
  const shape = shapeAt(lesson, chosen);
  if (!shape) return;
  const turn = ++asked;
  const answer = await ask<Prices>('/api/prices', { ...request(), chord: shape.chord }).catch(() => null);
  if (turn !== asked) return;
  prices = answer;
  draw();
}

const asMarks = (shape: Pick<Shape, 'midi' | 'fingers'>): Mark[] => shape.midi.map((midi, i) => ({ midi, finger: shape.fingers[i] ?? 0, hand: 'right' }));

function bothHands(lesson: Lesson, at: ChordAt): Mark[] {
  const shape = shapeAt(lesson, at);
  const bass = chordAt(lesson, at)?.bass;
  const left = bass ? [bass, ...bass.figure] : [];
  return [...left.map((one): Mark => ({ midi: one.midi, finger: one.finger, hand: 'left' })), ...(shape ? asMarks(shape) : [])];
}

// The large keyboard; its keys are buttons when a chord is chosen.
function drawBoard(list: Mark[], outline: number[], label: string, choose: boolean): void {
  const focused = (document.activeElement as HTMLElement | null)?.dataset?.['key'];
  const frame = new Frame(Math.min(LOW, ...picked, ...list.map((m) => m.midi)), Math.max(HIGH, ...picked, ...list.map((m) => m.midi)));
  const svg = node('svg', { viewBox: `-0.5 -0.5 ${frame.width + 1} ${HEIGHT + 1}`, class: 'keyboard big', preserveAspectRatio: 'xMidYMin meet', role: choose ? 'group' : 'img', 'aria-label': label });
  svg.append(
    keys(frame, HEIGHT, (key, rect) => {
      if (!choose) return;
      const name = `${['C', 'C♯', 'D', 'E♭', 'E', 'F', 'F♯', 'G', 'A♭', 'A', 'B♭', 'B'][key % 12]}${Math.floor(key / 12) - 1}`;
      rect.setAttribute('role', 'button');
      rect.setAttribute('aria-label', name);
      rect.setAttribute('aria-pressed', String(picked.includes(key)));
      rect.setAttribute('tabindex', key === (picked[0] ?? 60) ? '0' : '-1');
      rect.dataset['key'] = String(key);
      rect.addEventListener('click', () => pick(key));
      rect.addEventListener('keydown', (event) => {
        const step = { ArrowLeft: -1, ArrowRight: 1, ArrowUp: 12, ArrowDown: -12 }[event.key];
        if (step !== undefined) svg.querySelector<SVGElement>(`[data-key="${key + step}"]`)?.focus();
        else if (event.key === ' ' || event.key === 'Enter') pick(key);
        else return;
        event.preventDefault();
      });
    }),
    outlines(frame, HEIGHT, outline),
    marks(frame, HEIGHT, list),
  );
  for (let key = frame.low; key <= frame.high; ++key) if (key % 12 === 0 && !isBlack(key)) svg.append(node('text', { x: frame.centre(key), y: HEIGHT - 0.8 - 12, class: key === 60 ? 'c middle' : 'c' }, `C${key / 12 - 1}`));
  board().replaceChildren(svg);
  if (focused) svg.querySelector<SVGElement>(`[data-key="${focused}"]`)?.focus();
}

export function pick(key: number): void {
  picked = picked.includes(key) ? picked.filter((one) => one !== key) : [...picked, key].sort((a, b) => a - b);
  draw();
}
export function pickAll(held: number[]): void {
  picked = [...held].sort((a, b) => a - b);
  draw();
}

async function pin(midi: number[], fingers?: number[]): Promise<void> {
  const { chosen, lesson } = now();
  const shape = chosen && lesson ? shapeAt(lesson, chosen) : null;
  if (!chosen || !lesson || !shape) return;
  const section = inSection ? lesson.sections[chosen.section]?.name : undefined;
  try {
    const answer = await ask<ChartTextAnswer>('/api/pin', { ...request(), chord: shape.chord, midi, ...(fingers ? { fingers } : {}), ...(section ? { section } : {}) });
    picked = [];
    replaceText(answer.text);
    say(`${symbol(shape.chord)} is pinned${section ? ` in ${section}` : ''}. Undo takes it back.`);
  } catch (reason) {
    say(inWords(reason));
  }
}
async function unpin(shape: Shape): Promise<void> {
  try {
    replaceText((await ask<ChartTextAnswer>('/api/unpin', { ...request(), chord: shape.chord, ...(shape.where ? { section: shape.where } : {}) })).text);
    say(`${symbol(shape.chord)} is chosen by Stillhand again.`);
  } catch (reason) {
    say(inWords(reason));
  }
}

function draw(): void {
  const { chosen, lesson, playing } = now();
  if (playing) return;
  const shape = chosen && lesson ? shapeAt(lesson, chosen) : null;
  const chord = chosen && lesson ? chordAt(lesson, chosen) : null;
  if (!chosen || !lesson || !shape || !chord) {
    drawBoard([], [], 'a piano keyboard', false);
    render(html`<p class="hint">Put the cursor on a chord, or click its hands: here you see it, and decide.</p>`, place());
    return;
  }
  const said = `${symbol(chord.chord)}: ${shapeInWords(shape)}${chord.bass ? `; ${bassInWords(chord.bass)}` : ''}`;
  drawBoard(bothHands(lesson, chosen), picked, said, true);
  const [previous, next] = [neighbour(lesson, chosen, -1), neighbour(lesson, chosen, 1)];
  const before = moveBetween(lesson, previous, chosen);
  const after = moveBetween(lesson, chosen, next);
  const written = (at: ChordAt | null): string => symbol((at && chordAt(lesson, at)?.chord) ?? '');
  const all = shape.midi;
  const low = Math.min(...all, ...(prices?.shapes.flatMap((s) => s.midi) ?? []));
  const high = Math.max(...all, ...(prices?.shapes.flatMap((s) => s.midi) ?? []));
  render(
    html`
      <div class="chord-head">
        <h2>${symbol(chord.chord)}</h2>
        <p>${shape.notes.map(note).join(' ')}, ${shape.inversion}${shape.pinned ? ', pinned' : ''}${chord.bass ? html`; left hand ${note(chord.bass.note)}` : nothing}</p>
        <p class="sr" aria-live="polite">${said}</p>
        ${shape.pinned ? html`<button @click=${() => unpin(shape)}>Unpin</button>` : nothing}
        ${picked.length ? html`<button class="strong" @click=${() => pin(picked)}>Pin these ${picked.length} keys</button><button @click=${() => pickAll([])}>Clear</button>` : nothing}
        <label><input type="checkbox" .checked=${inSection} @change=${(e: Event) => (inSection = (e.target as HTMLInputElement).checked)} /> only in ${lesson.sections[chosen.section]?.name}</label>
      </div>
      <div class="chord-moves">
        ${before ? html`<p><b>From ${written(previous)}</b> ${before.words}</p>` : nothing}
        ${after ? html`<p><b>To ${written(next)}</b> ${after.words}</p>` : nothing}
      </div>
      ${prices && prices.shapes.length > 1
        ? html`<ul class="prices" aria-label="other shapes of ${symbol(shape.chord)}">
            <li class="note">Other shapes, and what each<br />adds to the song’s cost</li>
            ${prices.shapes.slice(0, 8).map(
              (one) => html`<li>
                <button ?disabled=${one.taken && shape.pinned} @click=${() => pin(one.midi, one.fingers)}>
                  <span class="sr">${one.notes.map(note).join(' ')}, ${one.inversion},</span>
                  ${keyboard({ low, high, height: 28, marks: asMarks(one), label: '' })}
                  <span>${one.taken ? 'played now' : more(one.more)}</span><span class="sr">, pin it</span>
                </button>
              </li>`,
            )}
          </ul>`
        : nothing}
    `,
    place(),
  );
}

// What a shape would add to the whole song's cost, against that cost.
function more(points: number): string {
  const cost = now().lesson?.right_hand.cost ?? 0;
  return cost > 0 ? `+${Math.max(1, Math.round((100 * points) / cost))} %` : `+${points}`;
}

// While playing.
export function showPlayed(at: ChordAt | null, next: ChordAt | null): void {
  const { lesson } = now();
  if (!lesson) return;
  const shape = at ? shapeAt(lesson, at) : null;
  const chord = at ? chordAt(lesson, at) : null;
  const coming = next ? shapeAt(lesson, next) : null;
  drawBoard(at ? bothHands(lesson, at) : [], coming && coming !== shape ? coming.midi : [], chord ? symbol(chord.chord) : 'count-in', false);
  const nextChord = next ? chordAt(lesson, next) : null;
  render(html`<div class="chord-head"><h2>${chord ? symbol(chord.chord) : 'Count-in'}</h2>${nextChord ? html`<p>then <b>${symbol(nextChord.chord)}</b></p>` : nothing}</div>`, place());
}
export const stopPlayed = (): void => {
  set({ playing: false });
  draw();
};
