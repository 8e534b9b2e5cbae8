// What is heard when a frame is seen: the sound leaves the machine later than it is made, and a frame is seen later than it is drawn.
//
//   const ear = new Ear(context);
//   requestAnimationFrame((frame) => draw(run.where(ear.at(frame))));
const LONGEST = 17; // ms that a frame is thought to be on its way: on a machine that lags, no mark comes before its sound (our judgement)
const DRIFT = 0.5; // seconds; a report of the device that is further off than that is not believed (our judgement)

type Clock = Pick<AudioContext, 'currentTime'> & Partial<Pick<AudioContext, 'outputLatency' | 'baseLatency' | 'getOutputTimestamp'>>;

export class Ear {
  private last = 0;
  private frames: number[] = []; // ms between the last few
  // `clock`: an AudioContext. `now`: ms as requestAnimationFrame counts them.
  constructor(
    private readonly clock: Clock,
    private readonly now: () => number = () => performance.now(),
  ) {}

  // In seconds of the context's clock. `frame`: what requestAnimationFrame says.
  at(frame: number): number {
    if (this.last > 0 && frame > this.last) this.frames = [...this.frames.slice(-7), frame - this.last];
    this.last = frame;
    const seen = frame + Math.min(LONGEST, ...this.frames);
    const { currentTime, outputLatency, baseLatency } = this.clock;
    const rough = currentTime - (outputLatency || baseLatency || 0) + (seen - this.now()) / 1000;
    const told = this.clock.getOutputTimestamp?.(); // which sample leaves the machine, and when (Web Audio API, W3C)
    if (!told?.performanceTime || told.contextTime === undefined) return rough;
    const fine = told.contextTime + (seen - told.performanceTime) / 1000;
    return Math.abs(fine - rough) < DRIFT ? fine : rough;
  }
}
