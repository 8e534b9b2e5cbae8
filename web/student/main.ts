// The student's page: the song as it is written, one keyboard below it, and three ways to use them: look at a chord, hear a part of the
// song, or play it oneself while the song waits.
import '../look/common.css';
import './look/student.css';
import { html, nothing, render } from 'lit';
import type { Move } from '../desk/api.ts';
import { chordKey } from '../desk/hands/model.ts';
import { chordAt, now, on, set, shapeAt, type ChordAt } from '../desk/state.ts';
import { signs } from '../desk/ui/words.ts';
import { passOf, type Stretch } from '../desk/hear/schedule.ts';
import type { Playing } from './along.ts';
import { say, show, showChosen } from './dock.ts';
import { chordOf, heard, indexOf, isPlaying, onChange, play, setRate, stop } from './hearing.ts';
import { drawSong } from './lines.ts';
import { changes, plan } from './plan.ts';
import { inKey, keyIndex, song, take } from './song.ts';
import { beginWaiting, endWaiting, isWaiting, nextChord, onWaiting } from './waiting.ts';

type Part = 'song' | 'section' | 'line' | 'change';
let what: Part = 'song';
let percent = 60; // one begins slowly (common practice, no source); the plan says when to go on
let playing: Playing = 'right';

let unfolded = false; // the settings, where there is little room
const following = (at: ChordAt): ChordAt | null => {
  const index = indexOf(at);
  return index < 0 ? null : chordOf(index + 1);
};
const body = document.getElementById('page')!;
render(
  html`
    <header id="head"></header>
    <main id="column">
      <section id="song-lines" aria-label="the song"></section>
      <section id="changes"></section>
      <section id="plan"></section>
      <footer id="foot"></footer>
    </main>
    <section id="dock" aria-label="keyboard">
      <div id="transport"></div>
      <div id="keyboard"></div>
      <div id="words"></div>
      <p id="status" role="status"></p>
    </section>
  `,
  body,
);

function drawHead(): void {
  const { lesson } = inKey();
  const { title, writers, meter, tempo } = lesson.song;
  render(
    html`
      <div>
        <h1>${title || 'Untitled'}</h1>
        <p class="note">${writers ? html`${writers}. ` : nothing}${meter}, ${tempo} counts a minute${lesson.student?.name ? html`. For ${lesson.student.name}` : nothing}</p>
      </div>
      ${song.keys.length > 1
        ? html`<label>key
            <select @change=${(e: Event) => changeKey(Number((e.target as HTMLSelectElement).value))}>
              ${song.keys.map((one, i) => html`<option value=${i} ?selected=${i === keyIndex()}>${signs(one.key)}${one.up === 0 ? '' : ` (${Math.abs(one.up)} half step${Math.abs(one.up) === 1 ? '' : 's'} ${one.up > 0 ? 'up' : 'down'})`}</option>`)}
            </select></label>`
        : html`<p class="note">${signs(inKey().key)}</p>`}
    `,
    document.getElementById('head')!,
  );
}

function drawAll(): void {
  drawHead();
  drawSong(document.getElementById('song-lines')!);
  rove();
  render(html`<h2>The changes</h2><p class="note">The hardest first. A ring marks a finger that stays.</p>${changes(practise)}`, document.getElementById('changes')!);
  render(html`<details><summary><h2>The practice plan</h2></summary>${plan()}</details>`, document.getElementById('plan')!);
  const { lesson } = inKey();
  render(
    html`${lesson.cautions.map((one) => html`<p>${one}</p>`)}${lesson.song.rights ? html`<p>${lesson.song.rights}</p>` : nothing}${song.piano.length ? nothing : html`<p>This page was made without the piano’s sound: it plays a plain tone.</p>`}`,
    document.getElementById('foot')!,
  );
  showChosen(null, following);
  drawTransport();
}

function changeKey(index: number): void {
  stop();
  endWaiting();
  take(index);
  drawAll();
}

// ---- one stop of the tab key for all chords; the arrows go from one to the next

const chords = (): HTMLElement[] => [...document.querySelectorAll<HTMLElement>('#song-lines .hands-chord')];
function rove(to?: HTMLElement): void {
  const all = chords();
  const chosen = now().chosen;
  const one = to ?? all.find((each) => chosen && each.dataset['chord'] === chordKey(chosen)) ?? all[0];
  for (const each of all) each.tabIndex = each === one ? 0 : -1;
}
document.addEventListener('keydown', (event) => {
  const step = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
  const target = event.target as HTMLElement;
  if (!step || !target.classList.contains('hands-chord')) return;
  const all = chords();
  const next = all[all.indexOf(target) + step];
  if (!next) return;
  event.preventDefault();
  rove(next);
  next.focus();
});

on('chosen', ({ chosen }) => {
  if (!chosen) return;
  rove();
  if (isPlaying() || isWaiting()) return;
  showChosen(chosen, following);
});

// ---- what is heard

// The played chord to begin with: the one that was touched; of an `or` line, the bar in whose place it stands. -1: the song never comes to it.
function begin(): number {
  const { bars, chords: all } = inKey().performance;
  const { chosen } = now();
  if (!chosen) return 0;
  const exact = indexOf({ ...chosen, option: null });
  if (exact >= 0 && chosen.option === null) return exact;
  const inLine = (bar: number): number => all.findIndex((one) => bars[one.bar]?.section === chosen.section && bars[one.bar]?.line === chosen.line && bars[one.bar]!.bar >= bar);
  const there = inLine(chosen.bar);
  return there >= 0 ? there : inLine(0);
}

function stretch(index: number): Stretch | null {
  const { performance } = inKey();
  const { bars, chords: all } = performance;
  const from = all[index];
  const bar = from ? bars[from.bar] : undefined;
  if (!from || !bar) return null;
  const end = bars[bars.length - 1]!.end;
  if (what === 'song') return { from: now().chosen ? bar.start : bars[0]!.start, to: end };
  if (what === 'change') return { from: from.start, to: all[index + 2]?.start ?? end };
  return passOf(performance, from.bar, what);
}

function hear(index = begin()): void {
  endWaiting();
  say('');
  if (isPlaying()) return stop();
  const part = stretch(index);
  if (part) void play(part, percent / 100, what !== 'song');
  else say('The song never comes to this place.');
}

// The first place where the one follows the other.
function practise(move: Move): void {
  const { lesson, performance } = inKey();
  const shapeOf = (i: number): number | null => {
    const at = chordOf(i);
    return at ? (chordAt(lesson, at)?.shape ?? null) : null;
  };
  const index = performance.chords.findIndex((_, i) => shapeOf(i) === move.from_shape && shapeOf(i + 1) === move.to_shape);
  what = 'change';
  stop();
  set({ chosen: chordOf(index) });
  hear(index);
}

function waitForMe(): void {
  if (isWaiting()) return endWaiting();
  stop();
  const part = stretch(begin());
  if (part) beginWaiting(part.from, part.to, playing);
  else say('The song never comes to this place.');
}

function drawTransport(): void {
  const box = (field: keyof typeof heard, label: string) => html`<label><input type="checkbox" .checked=${heard[field]} @change=${(e: Event) => (heard[field] = (e.target as HTMLInputElement).checked)} /> ${label}</label>`;
  const hasChord = !!(now().chosen && shapeAt(inKey().lesson, now().chosen!));
  render(
    html`
      <button class="strong" @click=${() => hear()}>${isPlaying() ? 'Stop' : 'Hear it'}</button>
      <button id="self" @click=${waitForMe}>${isWaiting() ? 'Enough' : 'Play it yourself'}</button>
      ${isWaiting() ? html`<button id="next" @click=${nextChord}>Next chord</button>` : nothing}
      <button id="how" class="plain" aria-expanded=${unfolded ? 'true' : 'false'} aria-controls="settings" @click=${() => { unfolded = !unfolded; drawTransport(); }}>How</button>
        <div id="settings" class="row ${unfolded ? '' : 'folded'}">
          <label>what
            <select .value=${what} @change=${(e: Event) => { what = (e.target as HTMLSelectElement).value as Part; }}>
              <option value="song">on from ${hasChord ? 'here' : 'the beginning'}</option><option value="section">this section, over and over</option><option value="line">this line, over and over</option><option value="change">this chord and the next, over and over</option>
            </select></label>
          <label>tempo <input type="range" min="40" max="120" step="5" .value=${String(percent)} @input=${(e: Event) => { percent = Number((e.target as HTMLInputElement).value); setRate(percent / 100); drawTransport(); }} />
            <output>${percent} %, ${Math.round((inKey().lesson.song.tempo * percent) / 100)} a minute</output></label>
          <span class="row" role="group" aria-label="heard">${box('right', 'right hand')}${box('left', 'left hand')}${box('click', 'click')}${box('countIn', 'count-in')}</span>
          <label>you play
            <select .value=${playing} @change=${(e: Event) => { playing = (e.target as HTMLSelectElement).value as Playing; if (isWaiting()) { endWaiting(); waitForMe(); } }}>
              <option value="right">the right hand</option><option value="left">the left hand</option><option value="both">both hands</option>
            </select></label>
        </div>
    `,
    document.getElementById('transport')!,
  );
}
function settled(): void {
  const atNext = document.activeElement?.id === 'next';
  drawTransport();
  if (atNext && !isWaiting()) document.getElementById('self')?.focus(); // its button has gone
  if (!isPlaying() && !isWaiting()) showChosen(now().chosen, following);
}
onChange(settled, say);
onWaiting(settled);
on('chosen', drawTransport);

take(keyIndex());
drawAll();
show({ at: null, next: null });
