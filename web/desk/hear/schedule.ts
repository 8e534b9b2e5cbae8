// When what sounds: a performance in its own milliseconds against a clock in seconds, with tempo, loop and count-in. Knows no sound.
//
//   const run = new Run(performance, { from: 4000, to: 12000 }, 0.6, clock.now());
//   for (const due of run.due(clock.now() + 0.2)) …      // each exactly once, a little ahead
import type { Performance } from '../api.ts';

export interface Stretch {
  from: number; // ms of the performance
  to: number;
}
export type Due =
  | { kind: 'note'; at: number; end: number; hand: 'right' | 'left'; midi: number; velocity: number }
  | { kind: 'click'; at: number; first: boolean; counting: boolean };

// What is shown at a moment: indices into the performance's bars, the bar's counts, the performance's chords. Bar -1: it counts in.
export interface Moment {
  bar: number;
  count: number;
  chord: number;
}

// The last that holds; -1: none. Array.findLastIndex is younger than many a tablet.
export function lastIndex<T>(list: readonly T[], holds: (one: T) => boolean): number {
  let at = list.length - 1;
  while (at >= 0 && !holds(list[at]!)) --at;
  return at;
}

// The one time through its section, or through its line, that a played bar belongs to.
export function passOf({ bars }: Performance, bar: number, what: 'section' | 'line'): Stretch {
  const goesOn = (i: number): boolean => {
    const [one, next] = [bars[i], bars[i + 1]];
    if (!one || !next || next.begins) return false;
    return what === 'section' || (next.line === one.line && next.bar > one.bar);
  };
  let [first, last] = [bar, bar];
  while (goesOn(first - 1)) --first;
  while (goesOn(last)) ++last;
  return { from: bars[first]?.start ?? 0, to: bars[last]?.end ?? 0 };
}

export function momentAt(performance: Performance, at: number): Moment {
  const late = at + 0.001; // ms; times are whole, and `at` has been reckoned
  const bar = at < 0 ? -1 : lastIndex(performance.bars, (one) => one.start <= late);
  const count = lastIndex(performance.bars[bar]?.counts ?? [], (one) => one <= late);
  return { bar, count, chord: bar < 0 ? -1 : lastIndex(performance.chords, (one) => one.start <= late) };
}

interface Event {
  ms: number;
  make(at: (ms: number) => number): Due;
}

export class Run {
  private events: Event[] = [];
  private next = 0;
  readonly countIn: number; // ms before each pass
  private horizon = -Infinity; // what begins before it is out of our hands
  private earlier: { ms: number; at: number; rate: number } | null = null; // what holds before the anchor
  private passes = 0; // that have been scheduled to their end
  private anchor: { ms: number; at: number }; // a moment of the pass and its time, for changes of tempo

  // `rate` 0.4–1.2 of the song's tempo.
  constructor(
    performance: Performance,
    readonly stretch: Stretch,
    private rate: number,
    begin: number,
    readonly loops: boolean,
    countsIn: boolean,
  ) {
    // Clicks of the song's own count-in, which lasts as long in any place.
    const clicks = performance.clicks.filter((one) => one.start < performance.count_in);
    this.countIn = countsIn ? performance.count_in : 0;
    const shift = this.countIn - stretch.from;
    if (countsIn) for (const one of clicks) this.events.push({ ms: one.start, make: (at) => ({ kind: 'click', at: at(one.start), first: one.first, counting: true }) });
    for (const one of performance.clicks) {
      if (one.start < Math.max(stretch.from, performance.count_in) || one.start >= stretch.to) continue;
      this.events.push({ ms: one.start + shift, make: (at) => ({ kind: 'click', at: at(one.start + shift), first: one.first, counting: false }) });
    }
    for (const one of performance.notes) {
      if (one.start < stretch.from - 1 || one.start >= stretch.to - 1) continue;
      const end = Math.min(Run.held(performance, one.end), stretch.to) + shift;
      this.events.push({ ms: one.start + shift, make: (at) => ({ kind: 'note', at: at(one.start + shift), end: at(end), hand: one.hand, midi: one.midi, velocity: one.velocity }) });
    }
    this.events.sort((a, b) => a.ms - b.ms);
    this.anchor = { ms: 0, at: begin };
  }

  // With the pedal down a key sounds on until it comes up.
  private static held(performance: Performance, end: number): number {
    let down = false;
    for (const one of performance.pedal) {
      if (one.start > end) return down && !one.down ? one.start : end;
      down = one.down;
    }
    return end;
  }

  get length(): number {
    return this.countIn + this.stretch.to - this.stretch.from;
  }
  private at = (ms: number): number => this.anchor.at + (ms - this.anchor.ms) / 1000 / this.rate;

  setRate(rate: number, nowAt: number): void {
    // From the horizon on: what is on its way keeps its time, and the next follows it at the new pace.
    const at = Math.max(nowAt, this.horizon);
    const ms = this.anchor.ms + (at - this.anchor.at) * 1000 * this.rate;
    if (this.anchor.at <= nowAt) this.earlier = { ...this.anchor, rate: this.rate };
    this.anchor = { ms, at };
    this.rate = rate;
  }

  // What begins before `until`, in order; each once.
  due(until: number): Due[] {
    const out: Due[] = [];
    this.horizon = Math.max(this.horizon, until);
    for (;;) {
      const event = this.events[this.next];
      if (event) {
        if (this.at(event.ms) >= until) return out;
        out.push(event.make(this.at));
        ++this.next;
      } else {
        if (!this.loops || this.length <= 0 || this.at(this.length) >= until) return out;
        ++this.passes;
        this.earlier = { ...this.anchor, rate: this.rate };
        this.anchor = { ms: 0, at: this.at(this.length) };
        this.next = 0;
      }
    }
  }

  // Where it is at a moment: ms of the performance; negative while it counts in; null after the end.
  where(at: number): number | null {
    const from = this.earlier && at < this.anchor.at ? this.earlier : { ...this.anchor, rate: this.rate };
    let ms = from.ms + (at - from.at) * 1000 * from.rate;
    if (ms < 0 && this.passes > 0) ms += this.length; // the next pass has been scheduled already
    if (ms >= this.length) return this.loops ? this.stretch.to - 1 : null;
    return ms < this.countIn ? ms - this.countIn - 1 : ms - this.countIn + this.stretch.from;
  }
}
