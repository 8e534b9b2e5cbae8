// Hearing the song: slower or faster, one hand or both, from a chord on or a part of it over and over.
import { Ear } from '../desk/hear/ear.ts';
import { type Heard, opened, placeOf, Player } from '../desk/hear/player.ts';
import type { Stretch } from '../desk/hear/schedule.ts';
import { type ChordAt, sameChord } from '../desk/state.ts';
import { keepAwake, mayGoDark } from './awake.ts';
import { show } from './dock.ts';
import { inKey } from './song.ts';
import { type Sounds, soundsOf, voiceOf } from './sounds.ts';

export const heard: Heard = { right: true, left: true, click: true, countIn: true };

let context: AudioContext | null = null;
let ear: Ear | null = null;
let sounds: Promise<Sounds> | null = null;
let player: Player | null = null;
let turn = 0; // of the last start or stop: what an earlier one waited for comes to nothing
let changed: () => void = () => {};
let told: (text: string) => void = () => {};
export function onChange(change: () => void, tell: (text: string) => void): void {
  changed = change;
  told = tell;
}
export const isPlaying = (): boolean => player !== null;

export const chordOf = (index: number): ChordAt | null => placeOf(inKey().performance, index);

// The first time a chord of the sheet is played; -1: never.
export const indexOf = (at: ChordAt): number => inKey().performance.chords.findIndex((_, i) => sameChord(chordOf(i), at));

export async function play(stretch: Stretch, rate: number, loops: boolean): Promise<void> {
  stop();
  const mine = ++turn;
  context ??= new AudioContext();
  ear ??= new Ear(context);
  void context.resume();
  sounds ??= soundsOf(context).catch(() => {
    told('This browser cannot play the piano that is in this page: a plain tone instead.');
    return new Map();
  });
  const samples = await sounds;
  if (mine !== turn || stretch.to <= stretch.from) return;
  const out = opened(context);
  player = new Player(
    { context, ear, performance: inKey().performance, voice: voiceOf(context, out, samples), out, stretch, rate, loops, heard },
    { chord: (index, next) => show({ at: chordOf(index), next: chordOf(next) }), ended: stop },
  );
  keepAwake();
  changed();
}

export const setRate = (rate: number): void => player?.setRate(rate);

export function stop(): void {
  ++turn;
  mayGoDark();
  if (!player) return;
  player.stop();
  player = null;
  changed();
}
