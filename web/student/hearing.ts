// Hearing the song: slower or faster, one hand or both, from a chord on or a part of it over and over.
import { click, type Voice } from '../desk/hear/piano.ts';
import { Ear } from '../desk/hear/ear.ts';
import { momentAt, Run, type Stretch } from '../desk/hear/schedule.ts';
import { fillCounts } from '../desk/hands/row.ts';
import { barKey } from '../desk/hands/model.ts';
import type { ChordAt } from '../desk/state.ts';
import { show } from './dock.ts';
import { inKey } from './song.ts';
import { PlainTone, voiceFor } from './sounds.ts';
import { keepAwake, mayGoDark } from './awake.ts';

const AHEAD = 0.25; // seconds scheduled in advance (our judgement: a busy tablet wakes later than it wants)
const LEAD = 0.12; // from the press of Play to the first sound
const LOUDNESS = 0.8;

export const heard = { right: true, left: true, click: true, countIn: true };

let context: AudioContext | null = null;
let ear: Ear | null = null;
let voice: (Voice & { out: AudioNode }) | null = null;
let loading: Promise<Voice & { out: AudioNode }> | null = null;
let out: GainNode | null = null;
let run: Run | null = null;
let pump = 0;
let turn = 0; // of the last start or stop: what an earlier one waited for comes to nothing
let changed: () => void = () => {};
let told: (text: string) => void = () => {};
export function onChange(change: () => void, tell: (text: string) => void): void {
  changed = change;
  told = tell;
}
export const isPlaying = (): boolean => run !== null;

export function chordOf(index: number): ChordAt | null {
  const { performance } = inKey();
  const chord = performance.chords[index];
  const bar = chord ? performance.bars[chord.bar] : undefined;
  return chord && bar ? { section: bar.section, line: bar.line, option: null, bar: bar.bar, chord: chord.chord } : null;
}

// The first time a chord of the sheet is played; -1: never.
export const indexOf = (at: ChordAt): number =>
  inKey().performance.chords.findIndex((_, i) => {
    const here = chordOf(i);
    return here?.section === at.section && here.line === at.line && here.bar === at.bar && here.chord === at.chord && at.option === null;
  });

export async function play(stretch: Stretch, rate: number, loops: boolean): Promise<void> {
  stop();
  const mine = ++turn;
  context ??= new AudioContext();
  ear ??= new Ear(context);
  void context.resume();
  loading ??= voiceFor(context, context.destination).catch(() => {
    told('This browser cannot play the piano that is in this page: a plain tone instead.');
    return new PlainTone(context!, context!.destination);
  });
  voice = await loading;
  if (mine !== turn || stretch.to <= stretch.from) return;
  out = context.createGain();
  out.gain.value = LOUDNESS;
  out.connect(context.destination);
  voice.out = out;
  run = new Run(inKey().performance, stretch, rate, context.currentTime + LEAD, loops, heard.countIn);
  feed();
  pump = window.setInterval(feed, 60);
  keepAwake();
  changed();
  requestAnimationFrame((drawn) => frame(mine, drawn, ''));
}

function feed(): void {
  if (!run || !context || !out) return;
  for (const due of run.due(context.currentTime + AHEAD)) {
    if (due.kind === 'note') {
      if (heard[due.hand]) voice?.play(due.midi, due.velocity, due.at, due.end);
    } else if (heard.click || due.counting) click(context, out, due.at, due.first);
  }
}

export function setRate(rate: number): void {
  if (run && context) run.setRate(rate, context.currentTime);
}

export function stop(): void {
  ++turn;
  window.clearInterval(pump);
  out?.disconnect(); // what has been scheduled already is not heard any more
  out = null;
  mayGoDark();
  if (!run) return;
  run = null;
  fillCounts('', 0);
  changed();
}

function frame(mine: number, drawn: number, shown: string): void {
  if (mine !== turn || !run || !ear) return;
  const { performance } = inKey();
  const at = run.where(ear.at(drawn));
  if (at === null) return stop();
  const moment = momentAt(performance, at);
  const bar = performance.bars[moment.bar];
  let now = 'count-in';
  if (!bar) {
    fillCounts('', 0);
    if (shown !== now) show({ at: null, next: chordOf(firstIn(run.stretch)) });
  } else {
    fillCounts(barKey({ section: bar.section, line: bar.line, option: null }, bar.bar), moment.count);
    now = String(moment.chord);
    const begins = performance.chords[moment.chord + 1]?.start ?? Infinity;
    if (shown !== now) show({ at: chordOf(moment.chord), next: chordOf(run.loops && begins >= run.stretch.to ? firstIn(run.stretch) : moment.chord + 1) });
  }
  requestAnimationFrame((next) => frame(mine, next, now));
}
const firstIn = (stretch: Stretch): number => Math.max(0, inKey().performance.chords.findIndex((one) => one.start >= stretch.from - 1));
