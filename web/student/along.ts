// Playing it oneself: the song waits at every chord until its keys are down. What is heard of the player: which keys are down.
//
//   const wait = new Waiting(steps, 'right');
//   wait.strike();
//   wait.heard(new Set([57, 62, 66]))     { done: true, missing: [], besides: [], octaves: 0 }
import type { Bass, Shape } from '../desk/api.ts';

export type Playing = 'right' | 'left' | 'both';
export interface Step {
  index: number; // of the performance's chords
  right: readonly number[];
  left: readonly number[]; // the bass note first, then the rest of the pattern's figure
}
export interface Heard {
  done: boolean;
  missing: number[]; // keys that are not down yet
  besides: number[]; // keys that are down and that neither hand has in this chord
  octaves: number; // everything is played so many octaves too high; 0: in its place
}

export const stepOf = (index: number, shape: Shape | null, bass: Bass | null): Step => ({
  index,
  right: shape?.midi ?? [],
  left: bass ? [bass.midi, ...bass.figure.map((one) => one.midi)] : [],
});

// Of the left hand the bass note is waited for; the rest of its figure may be played with it or not.
export function wanted(step: Step, playing: Playing): number[] {
  return [...(playing === 'right' ? [] : step.left.slice(0, 1)), ...(playing === 'left' ? [] : step.right)].sort((a, b) => a - b);
}

const OCTAVE = 12;

// `keys` are wanted; the chord's other keys, of either hand, are not in the way.
export function judge(keys: readonly number[], down: ReadonlySet<number>, chord: readonly number[] = keys): Heard {
  const missing = keys.filter((key) => !down.has(key));
  const besides = [...down].filter((key) => !keys.includes(key) && !chord.includes(key)).sort((a, b) => a - b);
  const done = keys.length > 0 && missing.length === 0 && besides.length === 0;
  let octaves = 0;
  if (!done && down.size === keys.length && keys.length > 0) {
    const higher = Math.min(...down) - Math.min(...keys);
    if (higher % OCTAVE === 0 && keys.every((key) => down.has(key + higher))) octaves = higher / OCTAVE;
  }
  return { done, missing, besides, octaves };
}

// Goes from step to step. A chord that is held down over a change counts anew: at least one key must have been struck since.
export class Waiting {
  private at = 0;
  private struck = false;
  constructor(
    private readonly steps: readonly Step[],
    readonly playing: Playing,
  ) {
    this.skip();
  }
  get step(): Step | null {
    return this.steps[this.at] ?? null;
  }
  get following(): Step | null {
    return this.steps[this.at + 1] ?? null;
  }
  // Nothing has been played for this step yet: what is still held belongs to the one before.
  get isUntouched(): boolean {
    return !this.struck;
  }
  // Where this hand has nothing to do (N.C.) there is nothing to wait for.
  private skip(): void {
    while (this.step && wanted(this.step, this.playing).length === 0) ++this.at;
    this.struck = false;
  }
  next(): void {
    ++this.at;
    this.skip();
  }
  strike(): void {
    this.struck = true;
  }
  heard(down: ReadonlySet<number>): Heard {
    const { step } = this;
    const heard = step ? judge(wanted(step, this.playing), down, [...step.right, ...step.left]) : judge([], down);
    return { ...heard, done: heard.done && this.struck };
  }
}
