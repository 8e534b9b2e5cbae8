// Playing it oneself: the song waits at every chord until its keys are down. What is heard of the player: which keys are down.
//
//   const wait = new Waiting(steps, 'right');
//   wait.heard(new Set([57, 62, 66]))     { done: true, missing: [], besides: [] }
import type { Bass, Shape } from '../desk/api.ts';

export type Playing = 'right' | 'left' | 'both';
export interface Step {
  index: number; // of the performance's chords
  right: readonly number[];
  left: number | null;
}
export interface Heard {
  done: boolean;
  missing: number[]; // keys that are not down yet
  besides: number[]; // keys that are down and do not belong to it
  octaves: number; // everything is played so many octaves too high; 0: in its place
}

export const stepOf = (index: number, shape: Shape | null, bass: Bass | null): Step => ({ index, right: shape?.midi ?? [], left: bass?.midi ?? null });

export function wanted(step: Step, playing: Playing): number[] {
  const left = step.left === null ? [] : [step.left];
  return [...(playing === 'right' ? [] : left), ...(playing === 'left' ? [] : step.right)].sort((a, b) => a - b);
}

const OCTAVE = 12;

export function judge(keys: readonly number[], down: ReadonlySet<number>): Heard {
  const missing = keys.filter((key) => !down.has(key));
  const besides = [...down].filter((key) => !keys.includes(key)).sort((a, b) => a - b);
  const done = keys.length > 0 && missing.length === 0 && besides.length === 0;
  let octaves = 0;
  if (!done && down.size === keys.length && keys.length > 0) {
    const lowest = Math.min(...down) - Math.min(...keys);
    const moved = lowest % OCTAVE === 0 && keys.every((key) => down.has(key + lowest));
    if (moved) octaves = lowest / OCTAVE;
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
    const step = this.step;
    const heard = judge(step ? wanted(step, this.playing) : [], down);
    return { ...heard, done: heard.done && this.struck };
  }
}
