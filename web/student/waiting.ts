// Playing it oneself, at one's own pace: the page shows a chord and waits for it.
import { chordAt, shapeAt } from '../desk/state.ts';
import { note } from '../desk/ui/words.ts';
import { type Playing, type Step, stepOf, Waiting } from './along.ts';
import { keepAwake, mayGoDark } from './awake.ts';
import { say, show } from './dock.ts';
import { lastIndex } from '../desk/hear/schedule.ts';
import { chordOf } from './hearing.ts';
import { connect } from './instrument.ts';
import { inKey } from './song.ts';
import { fillCounts } from '../desk/hands/row.ts';
import { barKey } from '../desk/hands/model.ts';

let wait: Waiting | null = null;
let down: ReadonlySet<number> = new Set();
let begun = false; // the instrument has been asked for
let connection = '';
let changed: () => void = () => {};
export const isWaiting = (): boolean => wait !== null;
export const onWaiting = (told: () => void): void => void (changed = told);

// Every chord that begins between two moments; one that only goes on is no step.
function steps(from: number, to: number): Step[] {
  const { performance, lesson } = inKey();
  return performance.chords.flatMap((one, index) => {
    const at = chordOf(index);
    if (!at || one.start < from - 1 || one.start >= to - 1 || chordAt(lesson, at)?.held) return [];
    return [stepOf(index, shapeAt(lesson, at), chordAt(lesson, at)?.bass ?? null)];
  });
}

const NAMES = ['C', 'C#', 'D', 'Eb', 'E', 'F', 'F#', 'G', 'Ab', 'A', 'Bb', 'B'];
// As the chord spells it where it is one of its own.
function keyName(key: number, step: Step): string {
  const at = chordOf(step.index);
  const shape = at ? shapeAt(inKey().lesson, at) : null;
  const own = shape?.midi.indexOf(key) ?? -1;
  if (shape && own >= 0) return note(shape.notes[own]!);
  const bass = at ? chordAt(inKey().lesson, at)?.bass : null;
  return note([bass, ...(bass?.figure ?? [])].find((one) => one?.midi === key)?.note ?? NAMES[key % 12]!);
}

function said(waiting: Waiting, step: Step): string {
  if (down.size === 0 || waiting.isUntouched) return '';
  const heard = waiting.heard(down);
  const names = (keys: number[]): string => keys.map((key) => keyName(key, step)).join(' and ');
  if (heard.octaves) return `The right keys, but ${Math.abs(heard.octaves) === 1 ? 'an octave' : `${Math.abs(heard.octaves)} octaves`} too ${heard.octaves > 0 ? 'high' : 'low'}.`;
  if (heard.besides.length) return `${names(heard.besides)} ${heard.besides.length > 1 ? 'do' : 'does'} not belong here.`;
  return heard.missing.length ? `${names(heard.missing)} to come.` : '';
}

function draw(): void {
  if (!wait) return;
  const { step } = wait;
  if (!step) {
    endWaiting();
    say('That was all of it.');
    return;
  }
  const { performance } = inKey();
  const at = chordOf(step.index);
  const chord = performance.chords[step.index];
  const bar = chord ? performance.bars[chord.bar] : undefined;
  if (at && bar) fillCounts(barKey(at, bar.bar), lastIndex(bar.counts, (one) => one <= (chord?.start ?? 0) + 1));
  show({ at, next: wait.following ? chordOf(wait.following.index) : null, down });
  say(said(wait, step) || connection);
}

export function beginWaiting(from: number, to: number, playing: Playing): void {
  wait = new Waiting(steps(from, to), playing);
  if (!begun) {
    begun = true;
    void connect(
      (text) => {
        connection = text;
        draw();
      },
      (keys, struck) => {
        down = keys;
        if (!wait) return;
        if (struck) wait.strike();
        if (wait.heard(down).done) {
          connection = ''; // it is heard: that need not be said any longer
          wait.next();
        }
        draw();
      },
    );
  }
  keepAwake();
  changed();
  draw();
}
export function nextChord(): void {
  wait?.next();
  draw();
}
export function endWaiting(): void {
  if (!wait) return;
  wait = null;
  mayGoDark();
  fillCounts('', 0);
  say('');
  changed();
}
