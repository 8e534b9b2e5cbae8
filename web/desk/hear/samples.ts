// The sampled keys that the desk renders from the installed sound font.
import type { Piano } from '../api.ts';
import { ask, bytes } from '../server.ts';
import type { Samples } from './piano.ts';

const RATE = 44_100; // Hz, of the samples

// One after another, so that what is typed meanwhile does not wait. Needs no context that may sound yet.
export async function fetchSamples(told: (ready: number, all: number) => void = () => {}): Promise<Samples> {
  const decoder = new OfflineAudioContext(1, 1, RATE);
  const { keys } = await ask<Piano>('/api/piano');
  const samples = new Map<number, AudioBuffer>();
  for (const key of keys) {
    told(samples.size, keys.length);
    samples.set(key, await decoder.decodeAudioData(await bytes(`/api/piano/${key}`)));
  }
  told(samples.size, keys.length);
  return samples;
}
