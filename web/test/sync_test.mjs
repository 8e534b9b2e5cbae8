// Sound and marks belong together: a count's mark fills when its click is heard. Measured in the rendered sound, and in a sitting.
import assert from 'node:assert/strict';
import { after, before, describe, test } from 'node:test';
import { readFile } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';
import { missing, openDesk, until } from './desk.mjs';

const RULE = 20; // ms between a sound and its mark (our judgement: below it both are felt as one)
const PROMPT = 200; // ms from Play to the first sound, once the piano is here (our judgement); told where DESK_STRICT is not set
const here = dirname(fileURLToPath(import.meta.url));
const demo = await readFile(join(here, '../../examples/lamps-along-the-quay.stillhand'), 'utf8');
// The page's own modules once more, for a context that renders instead of sounding.
const { outputFiles } = await build({
  stdin: { contents: "export * from './hear/schedule.ts'; export * from './hear/piano.ts'; export * from './hear/samples.ts'; export { ask } from './server.ts';", resolveDir: join(here, '../desk'), loader: 'ts' },
  bundle: true, format: 'iife', globalName: 'hearing', target: ['es2022'], write: false, logLevel: 'error',
});
const modules = outputFiles[0].text;

const figures = (list) => {
  const all = [...list].sort((a, b) => a - b);
  const at = (part) => all[Math.min(all.length - 1, Math.floor(part * all.length))];
  return { number: all.length, median: at(0.5), p99: at(0.99), least: all[0], most: all.at(-1) };
};
const told = (f) => `${f.number}: median ${f.median.toFixed(1)} ms, 99 of 100 up to ${f.p99.toFixed(1)} ms, ${f.least.toFixed(1)} to ${f.most.toFixed(1)} ms`;

describe('sound and marks', { skip: missing() || false }, () => {
  let desk;
  before(async () => {
    desk = await openDesk({ Lamps: demo });
  });
  after(async () => desk?.close());

  test('in the rendered sound every count begins with its mark', { timeout: 240_000 }, async () => {
    const page = await desk.page();
    // The page's policy lets no script in: it is run by the browser's debugger.
    await page.evaluate(`${modules}; globalThis.hearing = hearing;`);
    for (const rate of [0.4, 1, 1.2]) {
      const { clicks, notes, missed, strange } = await page.evaluate(
        async ({ rate, text }) => {
          const { Run, momentAt, SampledPiano, fetchSamples, click, ask } = globalThis.hearing;
          const RATE = 44100;
          const BEGIN = 0.5;
          const whole = await ask('/api/performance', { name: 'Lamps', text, choices: {} });
          const samples = (globalThis.samples ??= await fetchSamples());
          const to = whole.bars[Math.min(11, whole.bars.length - 1)].end;
          const stretch = { from: whole.bars[0].start, to };
          // For the notes: the first one of each count alone, and silent well before the next.
          const counts = whole.bars.flatMap((bar) => bar.counts).filter((one) => one < to);
          const single = counts.flatMap((start, i) => {
            const found = whole.notes.find((one) => Math.abs(one.start - start) < 1);
            return found ? [{ ...found, start, end: start + ((counts[i + 1] ?? start + 700) - start) * 0.35 }] : [];
          });
          const render = async (performance, wanted) => {
            const run = new Run(performance, stretch, rate, BEGIN, false, true);
            const seconds = BEGIN + run.length / 1000 / rate + 1;
            const context = new OfflineAudioContext(1, Math.ceil(seconds * RATE), RATE);
            const piano = SampledPiano.of(context, context.destination, samples);
            // As the page feeds itself: a little ahead, again and again.
            for (let t = 0; t < seconds; t += 0.06) {
              for (const due of run.due(t + 0.25)) {
                if (due.kind !== wanted) continue;
                if (due.kind === 'note') piano.play(due.midi, due.velocity, due.at, due.end);
                else click(context, context.destination, due.at, due.first);
              }
            }
            return { sound: (await context.startRendering()).getChannelData(0), seconds };
          };
          // When the page changes its marks: asked each tenth of a millisecond.
          const changes = [];
          const run = new Run(whole, stretch, rate, BEGIN, false, true);
          run.due(1e9);
          let last = '';
          for (let t = BEGIN; ; t += 0.0001) {
            const at = run.where(t);
            if (at === null) break;
            const moment = momentAt(whole, at);
            const key = `${moment.bar}.${moment.count}`;
            if (moment.bar >= 0 && key !== last) changes.push(t);
            last = key;
          }
          // Onsets: where the energy of a millisecond reaches a part of what is loudest in the following quarter of a second, after quiet.
          const onsets = (sound) => {
            const window = Math.round(RATE / 1000);
            const energy = [];
            for (let i = 0; i + window <= sound.length; i += window) {
              let sum = 0;
              for (let j = i; j < i + window; ++j) sum += sound[j] * sound[j];
              energy.push(sum / window);
            }
            const found = [];
            const loudest = energy.reduce((a, b) => Math.max(a, b), 0);
            for (let i = 0, rest = 0; i < energy.length; ++i) {
              if (i < rest) continue;
              const ahead = energy.slice(i, i + 100).reduce((a, b) => Math.max(a, b), 0);
              const behind = energy.slice(Math.max(0, i - 12), Math.max(0, i - 3)).reduce((a, b) => Math.max(a, b), 0);
              if (ahead < loudest / 500 || energy[i] < ahead / 10 || behind > energy[i] / 4) continue;
              found.push((i * window) / RATE);
              rest = i + 120;
            }
            return found;
          };
          const compare = (sounds, marks) => {
            const out = [];
            const missed = [];
            for (const mark of marks) {
              const near = sounds.reduce((a, b) => (Math.abs(b - mark) < Math.abs(a - mark) ? b : a), -1);
              if (Math.abs(near - mark) > 0.15) missed.push(mark);
              else out.push((near - mark) * 1000);
            }
            return { out, missed, strange: sounds.filter((one) => !marks.some((mark) => Math.abs(mark - one) < 0.15)).length };
          };
          const clickSound = await render(whole, 'click');
          const noteSound = await render({ ...whole, notes: single, pedal: [] }, 'note');
          const first = changes[0] - 0.1;
          const clicks = compare(onsets(clickSound.sound).filter((one) => one > first), changes);
          const struck = changes.filter((_, i) => single.some((one) => Math.abs(one.start - counts[i]) < 1));
          const notes = compare(onsets(noteSound.sound).filter((one) => one > first), struck);
          return { clicks: clicks.out, notes: notes.out, missed: [clicks.missed, notes.missed], strange: [clicks.strange, notes.strange] };
        },
        { rate, text: demo },
      );
      console.log(`${rate * 100} %: clicks behind their marks, ${told(figures(clicks))}; notes, ${told(figures(notes))}; missed ${missed.flat()}, strange ${strange}`);
      assert.deepEqual([missed, strange], [[[], []], [0, 0]], `${rate * 100} %: every mark has its sound, and nothing else sounds`);
      for (const [what, list] of Object.entries({ clicks, notes })) {
        assert.ok(list.length > 20, what);
        for (const one of list) assert.ok(Math.abs(one) <= RULE, `${rate * 100} %, ${what}: ${one.toFixed(1)} ms`);
      }
    }
    await page.context().close();
  });

  test('in a sitting no mark comes before its sound, and none later than its frame', { timeout: 240_000 }, async () => {
    const page = await desk.page();
    // Looks on: the page's context, its clicks, and what is filled at each frame.
    await page.evaluate(() => {
      const seen = (globalThis.seen = { clicks: [], changes: [], context: null, pressed: 0 });
      const start = OscillatorNode.prototype.start;
      OscillatorNode.prototype.start = function (at) {
        seen.context = this.context;
        seen.clicks.push({ at, asked: performance.now(), ahead: at - this.context.currentTime });
        return start.call(this, at);
      };
      document.addEventListener('keydown', () => (seen.pressed ||= performance.now()), true);
      let last = '';
      new MutationObserver(() => {
        const bar = document.querySelector('.hands-bar.now');
        const key = bar ? `${bar.dataset.bar}#${bar.querySelectorAll('i.full').length}` : '';
        if (key === last) return;
        last = key;
        if (!key || !seen.context) return;
        // What is drawn in this frame is seen when the next one begins.
        const drawn = document.timeline.currentTime;
        requestAnimationFrame((frame) => {
          const { context } = seen;
          const out = context.getOutputTimestamp();
          const heard = (ms) => out.contextTime + (ms - out.performanceTime) / 1000;
          seen.changes.push({ key, heard: heard(frame), frames: frame - drawn, latency: context.outputLatency, behind: context.currentTime - heard(performance.now()) });
        });
      }).observe(document.getElementById('editor'), { subtree: true, attributes: true, attributeFilter: ['class'] });
    });
    const ready = Date.now();
    await until(async () => (await page.evaluate(() => performance.getEntriesByType('resource').filter((one) => /api\/piano\/\d/.test(one.name)).length)) >= 21, 'the piano');
    await until(async () => (await page.locator('#transport .coming').count()) === 0, 'the piano');
    console.log(`the piano was here ${Date.now() - ready} ms after the page was looked at`);
    for (const tempo of ['100', '120']) {
      await page.evaluate(() => Object.assign(globalThis.seen, { clicks: [], changes: [], pressed: 0 }));
      await page.getByRole('slider', { name: 'tempo' }).fill(tempo);
      await page.keyboard.press('Control+Enter');
      await page.waitForFunction(() => globalThis.seen.changes.length >= 16, null, { timeout: 60_000 });
      await page.keyboard.press('Control+Enter');
      const { clicks, changes, pressed } = await page.evaluate(() => ({ ...globalThis.seen, context: null }));
      const prompt = clicks[0].asked - pressed + clicks[0].ahead * 1000;
      const late = changes.map((one) => (one.heard - clicks.reduce((a, b) => (Math.abs(b.at - one.heard) < Math.abs(a.at - one.heard) ? b : a)).at) * 1000);
      const frames = figures(changes.map((one) => one.frames));
      console.log(`${tempo} %: marks behind their sounds, ${told(figures(late))}; frames ${told(frames)}; what is heard is ${(changes[0].behind * 1000).toFixed(1)} ms behind the context's clock (it says ${(changes[0].latency * 1000).toFixed(1)}); first sound ${prompt.toFixed(0)} ms after the key`);
      // A machine at work drops frames: a mark may be as late as the frames around it are apart.
      for (const [i, one] of late.entries()) {
        assert.ok(one >= -RULE, `${tempo} %: a mark ${-one} ms before its sound`);
        assert.ok(one <= RULE + 2 * Math.max(0, changes[i].frames - 17) || !process.env.DESK_STRICT, `${tempo} %: a mark ${one} ms after its sound`);
      }
      if (process.env.DESK_STRICT) assert.ok(prompt <= PROMPT, `first sound after ${prompt} ms`);
    }
    await page.context().close();
    assert.deepEqual(desk.faults.splice(0), [], 'the browser reports faults');
  });
});
