// A performance being heard: gives the voice what is due, a little ahead, fills the count marks, and tells which chord it has come to.
// The desk and the student's page both hear with it.
//
//   const player = new Player({ context, ear, performance, voice, out, stretch, rate: 0.6, loops: true, heard }, { chord: show, ended });
//   player.setRate(0.8);  player.stop();
import type { Performance } from '../api.ts';
import { barKey } from '../hands/model.ts';
import { fillCounts } from '../hands/row.ts';
import type { ChordAt } from '../state.ts';
import type { Ear } from './ear.ts';
import { click, type Voice } from './piano.ts';
import { momentAt, Run, type Stretch } from './schedule.ts';

const AHEAD = 0.25; // seconds scheduled in advance (our judgement: a busy page wakes later than it wants)
const EVERY = 60; // ms between two looks at what is due
const LEAD = 0.1; // seconds from the press of Play to the first sound
const LOUDNESS = 0.8; // of full scale: a chord of both hands and a click together do not clip (our judgement)

export interface Heard {
  right: boolean;
  left: boolean;
  click: boolean; // in the song; those of a count-in are always heard
  countIn: boolean;
}
export interface Play {
  context: AudioContext;
  ear: Ear;
  performance: Performance;
  voice: Voice;
  out: AudioNode; // the voice's and the clicks'; of this playing alone: it is cut off at the end
  stretch: Stretch;
  rate: number; // 0.4–1.2 of the song's tempo
  loops: boolean;
  heard: Readonly<Heard>; // may change while it plays
}
export interface Told {
  chord(index: number, next: number): void; // into the performance's chords, as each begins; -1: it counts in
  ended(): void; // by itself
}

export function opened(context: AudioContext): GainNode {
  const out = context.createGain();
  out.gain.value = LOUDNESS;
  out.connect(context.destination);
  return out;
}

// Where a chord of the performance stands in the lesson.
export function placeOf(performance: Performance, index: number): ChordAt | null {
  const chord = performance.chords[index];
  const bar = chord ? performance.bars[chord.bar] : undefined;
  return chord && bar ? { section: bar.section, line: bar.line, option: bar.option, bar: bar.bar, chord: chord.chord } : null;
}

export class Player {
  private readonly run: Run;
  private readonly pump: number;
  private shown: number | null = null;
  private isOver = false;

  constructor(
    private readonly play: Play,
    private readonly told: Told,
  ) {
    const { context, performance, stretch, rate, loops, heard } = play;
    this.run = new Run(performance, stretch, rate, context.currentTime + LEAD, loops, heard.countIn);
    this.feed();
    this.pump = window.setInterval(() => this.feed(), EVERY);
    requestAnimationFrame((drawn) => this.frame(drawn));
  }

  setRate(rate: number): void {
    this.run.setRate(rate, this.play.context.currentTime);
  }

  stop(): void {
    this.isOver = true;
    window.clearInterval(this.pump);
    this.play.out.disconnect(); // what has been scheduled already is not heard any more
    fillCounts('', 0);
  }

  private feed(): void {
    const { context, heard, voice, out } = this.play;
    for (const due of this.run.due(context.currentTime + AHEAD)) {
      if (due.kind === 'note') {
        if (heard[due.hand]) voice.play(due.midi, due.velocity, due.at, due.end);
      } else if (heard.click || due.counting) click(context, out, due.at, due.first);
    }
  }

  private frame(drawn: number): void {
    if (this.isOver) return;
    const { performance, ear, stretch, loops } = this.play;
    const at = this.run.where(ear.at(drawn));
    if (at === null) {
      this.stop();
      return this.told.ended();
    }
    const moment = momentAt(performance, at);
    const bar = performance.bars[moment.bar];
    fillCounts(bar ? barKey(bar, bar.bar) : '', moment.count);
    if (this.shown !== moment.chord) {
      const begins = performance.chords[moment.chord + 1]?.start ?? Infinity;
      const first = Math.max(0, performance.chords.findIndex((one) => one.start >= stretch.from - 1));
      this.told.chord(moment.chord, !bar || (loops && begins >= stretch.to) ? first : moment.chord + 1);
    }
    this.shown = moment.chord;
    requestAnimationFrame((next) => this.frame(next));
  }
}
