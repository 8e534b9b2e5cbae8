// The student's page: the song as it is written, one keyboard below it, and three ways to use them: look at a chord, hear a part of the
// song, or play it oneself while the song waits.
import '../look/common.css';
import './look/student.css';
import { html, nothing, render } from 'lit';
import type { Move } from '../desk/api.ts';
import { chordKey } from '../desk/hands/model.ts';
import { chordAt, now, on, set, shapeAt, type ChordAt } from '../desk/state.ts';
import { signs } from '../desk/ui/words.ts';
import type { Stretch } from '../desk/hear/schedule.ts';
import type { Playing } from './along.ts';
import { show, showChosen } from './dock.ts';
import { chordOf, heard, indexOf, isPlaying, onChange, play, setRate, stop } from './hearing.ts';
import { drawSong } from './lines.ts';
import { changes, plan } from './plan.ts';
import { inKey, keyIndex, song, take } from './song.ts';
import { beginWaiting, connectionSaid, endWaiting, isWaiting, nextChord, onWaiting } from './waiting.ts';

type Part = 'song' | 'section' | 'line' | 'change';
let what: Part = 'song';
let percent = 60; // one begins slowly (common practice, no source); the plan says when to go on
let playing: Playing = 'right';

let unfolded = false; // the settings, where there is little room
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
        <h1>${title}</h1>
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
  showChosen(null);
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
  showChosen(chosen);
});

// ---- what is heard

function stretch(): Stretch {
  const { bars, chords: all } = inKey().performance;
  const end = bars[bars.length - 1]?.end ?? 0;
  const chosen: ChordAt | null = now().chosen;
  const index = Math.max(0, chosen ? indexOf({ ...chosen, option: null }) : 0);
  const from = all[index];
  const bar = from ? bars[from.bar] : undefined;
  if (!from || !bar) return { from: bars[0]?.start ?? 0, to: end };
  if (what === 'song') return { from: chosen ? bar.start : (bars[0]?.start ?? 0), to: end };
  if (what === 'change') return { from: from.start, to: all[index + 2]?.start ?? end };
  const same = (i: number): boolean => bars[i]?.section === bar.section && (what === 'section' || bars[i]?.line === bar.line);
  let [first, last] = [from.bar, from.bar];
  while (same(first - 1)) --first;
  while (same(last + 1)) ++last;
  return { from: bars[first]!.start, to: bars[last]!.end };
}

function hear(): void {
  endWaiting();
  if (isPlaying()) stop();
  else void play(stretch(), percent / 100, what !== 'song');
}

// The first place where the one follows the other.
function practise(move: Move): void {
  const { lesson, performance } = inKey();
  const shapeOf = (i: number): number | null => {
    const at = chordOf(i);
    return at ? (chordAt(lesson, at)?.shape ?? null) : null;
  };
  const index = performance.chords.findIndex((_, i) => shapeOf(i) === move.from_shape && shapeOf(i + 1) === move.to_shape);
  const at = chordOf(index);
  if (!at) return;
  what = 'change';
  stop();
  endWaiting();
  set({ chosen: at });
  void play(stretch(), percent / 100, true);
}

function waitForMe(): void {
  if (isWaiting()) return endWaiting();
  stop();
  const { from, to } = stretch();
  beginWaiting(from, to, playing);
}

function drawTransport(): void {
  const box = (field: keyof typeof heard, label: string) => html`<label><input type="checkbox" .checked=${heard[field]} @change=${(e: Event) => (heard[field] = (e.target as HTMLInputElement).checked)} /> ${label}</label>`;
  const hasChord = !!(now().chosen && shapeAt(inKey().lesson, now().chosen!));
  render(
    html`
      <button class="strong" @click=${hear}>${isPlaying() ? 'Stop' : 'Hear it'}</button>
      <button @click=${waitForMe}>${isWaiting() ? 'Enough' : 'Play it yourself'}</button>
      ${isWaiting() ? html`<button @click=${nextChord}>Next chord</button>` : nothing}
      ${isWaiting() ? html`<span class="note" role="status">${connectionSaid()}</span>` : nothing}
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
  drawTransport();
  if (!isPlaying() && !isWaiting()) showChosen(now().chosen);
}
onChange(settled);
onWaiting(settled);
on('chosen', drawTransport);

take(keyIndex());
drawAll();
show({ at: null, next: null });
