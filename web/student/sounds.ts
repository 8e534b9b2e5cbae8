// What the page is heard with: the piano that stands in it, or a plain tone.
import { SampledPiano, type Samples, type Voice } from '../desk/hear/piano.ts';
import { bytesOf, song } from './song.ts';

const DECAY = 1.2; // seconds until a plain tone has faded to a third (our judgement)

class PlainTone implements Voice {
  constructor(
    private readonly context: BaseAudioContext,
    private readonly out: AudioNode,
  ) {}
  play(midi: number, velocity: number, at: number, end: number): void {
    const tone = this.context.createOscillator();
    tone.type = 'triangle';
    tone.frequency.value = 440 * 2 ** ((midi - 69) / 12);
    const gain = this.context.createGain();
    gain.gain.setValueAtTime(0, at);
    gain.gain.linearRampToValueAtTime(0.25 * (velocity / 127), at + 0.008);
    gain.gain.setTargetAtTime(0, at + 0.008, DECAY);
    gain.gain.setTargetAtTime(0, Math.max(at + 0.02, end), 0.05);
    tone.connect(gain).connect(this.out);
    tone.start(at);
    tone.stop(end + 0.4);
  }
}

export type Sounds = Samples; // empty: there is no piano
export async function soundsOf(context: BaseAudioContext): Promise<Sounds> {
  const samples = new Map<number, AudioBuffer>();
  await Promise.all(song.piano.map(async (one) => samples.set(one.midi, await context.decodeAudioData(bytesOf(one.flac)))));
  return samples;
}
export const voiceOf = (context: BaseAudioContext, out: AudioNode, sounds: Sounds): Voice =>
  sounds.size ? SampledPiano.of(context, out, sounds) : new PlainTone(context, out);
