// The piano in the browser: sampled keys, each played for the keys next to it. It knows no server: the student's page has it too.
export interface Voice {
  // `at` and `end` in seconds of the context's clock.
  play(midi: number, velocity: number, at: number, end: number): void;
}

const RELEASE = 0.18; // seconds a damped string rings on (our judgement)

export type Samples = ReadonlyMap<number, AudioBuffer>; // by MIDI key

export class SampledPiano implements Voice {
  private constructor(
    private readonly context: BaseAudioContext,
    private readonly samples: Samples,
    private readonly out: AudioNode,
  ) {}

  // Of samples that are there already.
  static of(context: BaseAudioContext, out: AudioNode, samples: Samples): SampledPiano {
    return new SampledPiano(context, samples, out);
  }

  play(midi: number, velocity: number, at: number, end: number): void {
    let near = -1;
    for (const key of this.samples.keys()) if (near < 0 || Math.abs(key - midi) < Math.abs(near - midi)) near = key;
    const buffer = this.samples.get(near);
    if (!buffer) return;
    const source = this.context.createBufferSource();
    source.buffer = buffer;
    source.playbackRate.value = 2 ** ((midi - near) / 12);
    const level = (velocity / 127) ** 1.6; // softer keys are softer and, by the filter, duller (our judgement)
    const filter = this.context.createBiquadFilter();
    filter.type = 'lowpass';
    filter.frequency.value = 900 + 9000 * (velocity / 127);
    const gain = this.context.createGain();
    gain.gain.setValueAtTime(level, at);
    gain.gain.setValueAtTime(level, Math.max(at, end));
    gain.gain.setTargetAtTime(0, Math.max(at, end), RELEASE / 3);
    source.connect(filter).connect(gain).connect(this.out);
    source.start(at);
    source.stop(Math.max(at, end) + 2 * RELEASE);
  }
}

export function click(context: BaseAudioContext, out: AudioNode, at: number, first: boolean): void {
  const tone = context.createOscillator();
  tone.frequency.value = first ? 1568 : 1175;
  const gain = context.createGain();
  gain.gain.setValueAtTime(0.22, at);
  gain.gain.exponentialRampToValueAtTime(0.001, at + 0.04);
  tone.connect(gain).connect(out);
  tone.start(at);
  tone.stop(at + 0.05);
}
