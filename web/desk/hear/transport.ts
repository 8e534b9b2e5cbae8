// Hearing: from the cursor's bar, a section, a line or two chords over and over, slower or faster, each hand and the click on or off.
// The count marks fill under the bars, and the keyboard shows the present shape and the outline of the next.
import { html, render } from 'lit';
import type { Performance } from '../api.ts';
import { showPlayed, stopPlayed } from '../chord/dock.ts';
import { ask, inWords, Refused } from '../server.ts';
import { type ChordAt, neighbour, now, on, request, set } from '../state.ts';
import { say } from '../ui/view.ts';
import { Ear } from './ear.ts';
import { SampledPiano, type Samples, type Voice } from './piano.ts';
import { type Heard, opened, placeOf, Player } from './player.ts';
import { passOf } from './schedule.ts';
import { fetchSamples } from './samples.ts';

type What = 'song' | 'section' | 'line' | 'pair';
let context: AudioContext | null = null;
let ear: Ear | null = null;
let piano: Promise<Samples> | null = null;
let coming = ''; // how far the piano is, while it is on its way
let voice: Voice | null = null;
let turn = 0; // of the last press of Play or Stop: what an earlier one has waited for comes to nothing
let out: GainNode | null = null;
let player: Player | null = null;
let what: What = 'song';
let percent = 100;
const heard: Heard = { right: true, left: true, click: true, countIn: true };

function fetchPiano(): Promise<Samples> {
  piano ??= fetchSamples((ready, all) => {
    coming = ready < all ? `piano: ${ready} of ${all}` : '';
    draw();
  }).catch((reason: unknown) => {
    piano = null; // asked for again at the next Play
    coming = '';
    draw();
    throw reason;
  });
  return piano;
}

function openSound(): AudioContext {
  context ??= new AudioContext();
  ear ??= new Ear(context);
  return context;
}
async function ready(): Promise<AudioContext> {
  const context = openSound();
  const mine = (out ??= opened(context));
  await context.resume();
  if (!voice) {
    let told = false;
    const wait = window.setTimeout(() => {
      told = true;
      say('The piano is on its way; it plays as soon as it is here.');
    }, 300);
    try {
      const samples = await fetchPiano();
      if (out === mine) voice = SampledPiano.of(context, mine, samples);
      if (told) say('');
    } catch (reason) {
      // Without a voice: the next touch or Play asks for the piano again.
      say(reason instanceof Refused ? `${inWords(reason)} Click and marks run without it.` : inWords(reason));
    }
    window.clearTimeout(wait);
  }
  return context;
}
export async function sound(midi: number): Promise<void> {
  const live = await ready();
  voice?.play(midi, 80, live.currentTime, live.currentTime + 1);
}

function barAt(performance: Performance, at: ChordAt | null): number {
  if (!at) return 0;
  const found = performance.bars.findIndex((bar) => bar.section === at.section && bar.line === at.line && bar.option === at.option && bar.bar === at.bar);
  return found < 0 ? 0 : found;
}

// The stretch that is wanted, as bars of the performance.
function stretchOf(performance: Performance): { from: number; to: number } {
  const first = barAt(performance, now().chosen);
  const start = performance.bars[first];
  const end = performance.bars[performance.bars.length - 1]?.end ?? performance.end;
  if (!start || what === 'song') return { from: start?.start ?? 0, to: end };
  if (what === 'pair') {
    // Of a chord that is held: where it was struck.
    const chosen = now().chosen?.chord ?? 0;
    const index = Math.max(0, performance.chords.findLastIndex((one) => one.bar < first || (one.bar === first && one.chord <= chosen)));
    const from = performance.chords[index]?.start ?? start.start;
    return { from, to: performance.chords[index + 2]?.start ?? end };
  }
  return passOf(performance, first, what);
}

const performanceOf = (text: string, option: string): Promise<Performance> => ask<Performance>('/api/performance', { ...request(), text, ...(option ? { options: [option] } : {}) });

// The name of the `or` line that the chord stands in, which is then played in its place; those without a name cannot be asked for.
const optionOf = (at: ChordAt | null): string => (at && at.option !== null ? (now().lesson?.sections[at.section]?.lines[at.line]?.options[at.option]?.label ?? '') : '');

async function play(): Promise<void> {
  if (now().playing) return stop();
  const mine = ++turn;
  void ready().catch(() => {}); // while the performance is made
  try {
    const performance = await performanceOf(now().text, optionOf(now().chosen));
    if (mine === turn) await start(performance, stretchOf(performance), what !== 'song');
  } catch (reason) {
    say(inWords(reason));
  }
}

// The lesson's line that stands at a line of the text.
const lineAt = (line: number): { section: number; index: number } | undefined =>
  now()
    .arranged?.places?.sections.flatMap((section, s) => section.lines.map((one, index) => ({ section: s, index, one })))
    .find(({ one }) => line >= one.first && line <= one.last);

// A text's line with the bar before and after it, once; `option` names the `or` lines to be played in the place of lines.
export async function playText(text: string, line: number, option = ''): Promise<void> {
  stop();
  const mine = ++turn;
  try {
    const { bars, ...performance } = await performanceOf(text, option);
    const place = lineAt(line);
    const ofLine = (i: number): boolean => bars[i]?.section === place?.section && bars[i]?.line === place?.index;
    const first = Math.max(0, bars.findIndex((_, i) => ofLine(i)));
    let last = first;
    while (ofLine(last + 1)) ++last;
    const [from, to] = [bars[Math.max(0, first - 1)], bars[Math.min(bars.length - 1, last + 1)]];
    if (from && to && mine === turn) await start({ ...performance, bars }, { from: from.start, to: to.end }, false);
  } catch (reason) {
    say(inWords(reason));
  }
}

async function start(performance: Performance, stretch: { from: number; to: number }, loops: boolean): Promise<void> {
  const mine = turn;
  const live = await ready();
  if (mine !== turn || !out || !ear || stretch.to <= stretch.from) return;
  const place = (index: number): ChordAt | null => placeOf(performance, index);
  player = new Player(
    { context: live, ear, performance, voice: voice ?? SILENT, out, stretch, rate: percent / 100, loops, heard },
    { chord: (index, next) => showPlayed(place(index), place(next) ?? after(place(index))), ended: stop },
  );
  set({ playing: true });
  draw();
}
const SILENT: Voice = { play: () => {} }; // without a piano: click and marks run on

// Behind the end of what is played: the one that is written there.
const after = (at: ChordAt | null): ChordAt | null => (at && now().lesson ? neighbour(now().lesson!, at, 1) : null);

function stop(): void {
  ++turn;
  out?.disconnect(); // also of what was waited for, and of a chord that was touched
  out = null;
  voice = null; // its samples stay
  player?.stop();
  player = null;
  if (!now().playing) return;
  stopPlayed();
  draw();
}

function draw(): void {
  const box = (field: keyof typeof heard, label: string) => html`<label><input type="checkbox" .checked=${heard[field]} @change=${(e: Event) => (heard[field] = (e.target as HTMLInputElement).checked)} /> ${label}</label>`;
  render(
    html`
      <button class="strong" @click=${() => void play()}>${now().playing ? 'Stop' : 'Play'} ${coming ? html`<span class="coming">${coming}</span>` : html`<kbd>Ctrl Enter</kbd>`}</button>
      <label>what
        <select @change=${(e: Event) => (what = (e.target as HTMLSelectElement).value as What)}>
          <option value="song">on from here</option><option value="section">this section, over and over</option><option value="line">this line, over and over</option><option value="pair">this chord and the next, over and over</option>
        </select></label>
      <label>tempo <input type="range" min="40" max="120" step="5" .value=${String(percent)} @input=${(e: Event) => { percent = Number((e.target as HTMLInputElement).value); player?.setRate(percent / 100); draw(); }} /> <output>${percent} %</output></label>
      <span class="row" role="group" aria-label="heard">${box('right', 'right hand')}${box('left', 'left hand')}${box('click', 'click')}${box('countIn', 'count-in')}</span>
    `,
    document.getElementById('transport')!,
  );
}

// The piano is here before it is wanted: fetched when the first hands are on the screen and nothing else is to be done; not where the
// browser is told to save data. Where it fails, nothing is said before Play.
function fetchEarly(): void {
  const saves = (navigator as { connection?: { saveData?: boolean } }).connection?.saveData ?? matchMedia('(prefers-reduced-data: reduce)').matches;
  if (fetching || saves) return;
  fetching = true;
  const begin = (): void => {
    fetchPiano()
      .then(() => (context ? undefined : openSound().suspend())) // to open it takes a while too; it sounds from Play on
      .catch(() => {});
  };
  if (typeof requestIdleCallback === 'function') requestIdleCallback(begin, { timeout: 4000 });
  else window.setTimeout(begin, 1000);
}
let fetching = false;

export function startHearing(): void {
  draw();
  on('lesson', (after) => after.lesson && fetchEarly());
  on('name', stop);
  document.addEventListener('keydown', (event) => {
    if (event.key !== 'Enter' || !(event.ctrlKey || event.metaKey) || event.altKey || event.shiftKey || event.repeat) return;
    if (document.querySelector('dialog[open]')) return; // what is seen is not the song
    event.preventDefault();
    void play();
  });
}
