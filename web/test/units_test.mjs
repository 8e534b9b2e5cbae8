// The page's modules that need no page: when what sounds, two texts put together.
import assert from 'node:assert/strict';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { after, test } from 'node:test';
import { buildSync } from 'esbuild';

const desk = join(dirname(fileURLToPath(import.meta.url)), '../desk');
const built = mkdtempSync(join(tmpdir(), 'desk-units-'));
after(() => rmSync(built, { recursive: true, force: true }));
async function unit(path) {
  const outfile = join(built, path.replace(/\W/g, '-') + '.mjs');
  buildSync({ entryPoints: [join(desk, path)], bundle: true, format: 'esm', outfile, logLevel: 'error' });
  return import(pathToFileURL(outfile).href);
}

// Two bars of two counts, a second each, behind a count-in of as much: notes at 2000 and 3000, clicks each 500.
const SONG = {
  end: 4000, count_in: 2000, bars: [], chords: [], pedal: [],
  notes: [{ hand: 'right', midi: 60, velocity: 80, start: 2000, end: 2900 }, { hand: 'left', midi: 48, velocity: 80, start: 3000, end: 3900 }],
  clicks: [0, 500, 1000, 1500, 2000, 2500, 3000, 3500].map((start) => ({ start, first: start % 1000 === 0 })),
};
const all = (run, until = 100) => run.due(until).map((one) => [one.kind, Number(one.at.toFixed(6)), ...(one.kind === 'note' ? [one.midi] : [])]);

test('everything sounds once, in its time', async () => {
  const { Run } = await unit('hear/schedule.ts');
  const run = new Run(SONG, { from: 2000, to: 4000 }, 1, 10, false, true);
  assert.deepEqual(all(run, 10.6), [['click', 10], ['click', 10.5]]);
  assert.deepEqual(all(run).filter(([kind]) => kind === 'note'), [['note', 12, 60], ['note', 13, 48]]);
  assert.deepEqual(all(run), []);
  assert.equal(run.where(11) < 0, true, 'it counts in');
  assert.equal(run.where(12.5), 2500);
  assert.equal(run.where(14.5), null);
});

test('half as fast is twice as long, from the moment it is asked for', async () => {
  const { Run } = await unit('hear/schedule.ts');
  const run = new Run(SONG, { from: 2000, to: 4000 }, 1, 0, false, false);
  assert.deepEqual(all(run, 0.1), [['note', 0, 60], ['click', 0]].sort());
  run.setRate(0.5, 0.25); // 250 ms of 2000 are over
  assert.deepEqual(all(run).filter(([kind]) => kind === 'note'), [['note', 0.25 + 0.75 / 0.5, 48]]);
  assert.equal(Math.round(run.where(0.25 + 0.5 / 0.5)), 2750);
});

test('a loop goes on without a gap, each pass with its count-in', async () => {
  const { Run } = await unit('hear/schedule.ts');
  const run = new Run(SONG, { from: 3000, to: 4000 }, 1, 0, true, true);
  const notes = all(run, 9).filter(([kind]) => kind === 'note');
  assert.deepEqual(notes, [['note', 2, 48], ['note', 5, 48], ['note', 8, 48]]);
});

test('a count is shown from its moment on, and none in the count-in', async () => {
  const { momentAt } = await unit('hear/schedule.ts');
  const song = { ...SONG, bars: [{ start: 2000, end: 3000, counts: [2000, 2500] }, { start: 3000, end: 4000, counts: [3000, 3500] }], chords: [{ start: 2000 }, { start: 3500 }] };
  assert.deepEqual(momentAt(song, -1), { bar: -1, count: -1, chord: -1 });
  assert.deepEqual(momentAt(song, 2000), { bar: 0, count: 0, chord: 0 });
  assert.deepEqual(momentAt(song, 2499), { bar: 0, count: 0, chord: 0 });
  assert.deepEqual(momentAt(song, 2500), { bar: 0, count: 1, chord: 0 });
  assert.deepEqual(momentAt(song, 2999), { bar: 0, count: 1, chord: 0 });
  assert.deepEqual(momentAt(song, 3600), { bar: 1, count: 1, chord: 1 });
});

test('a frame shows what is heard when it is seen', async () => {
  const { Ear } = await unit('hear/ear.ts');
  const near = (is, should) => assert.ok(Math.abs(is - should) < 1e-9, `${is}, not ${should}`);
  // The device tells: at 1000 ms the sample of 4.9 s leaves it. Before a second frame nothing is known of their distance: 17 ms.
  const clock = { currentTime: 5, outputLatency: 0.1, getOutputTimestamp: () => ({ contextTime: 4.9, performanceTime: 1000 }) };
  near(new Ear(clock, () => 1000).at(1000), 4.917);
  const ear = new Ear(clock, () => 1000);
  ear.at(990);
  near(ear.at(1000), 4.91); // frames 10 ms apart
  // It tells nothing, or what cannot be: by the latency alone.
  near(new Ear({ currentTime: 5, outputLatency: 0.1 }, () => 1000).at(1000), 4.917);
  near(new Ear({ ...clock, getOutputTimestamp: () => ({ contextTime: 0, performanceTime: 0 }) }, () => 1000).at(1000), 4.917);
  near(new Ear({ ...clock, getOutputTimestamp: () => ({ contextTime: 1, performanceTime: 1000 }) }, () => 1000).at(1000), 4.917);
  near(new Ear({ currentTime: 5, outputLatency: 0, baseLatency: 0.02 }, () => 1000).at(1000), 4.997);
  // A machine that lags: the frames are far apart, and no mark comes long before its sound.
  const lagging = new Ear(clock, () => 1100);
  lagging.at(1000);
  near(lagging.at(1100), 5.017);
});

test('one time through a section or a line, however often it comes', async () => {
  const { passOf } = await unit('hear/schedule.ts');
  // A section of two lines, twice; its second line is a bar that is repeated.
  const bars = [[0, 0, true], [0, 1], [1, 0], [1, 0], [0, 0, true], [0, 1], [1, 0], [1, 0]].map(([line, bar, begins = false], i) => ({ section: 0, line, bar, begins, start: i * 10, end: i * 10 + 10 }));
  assert.deepEqual(passOf({ bars }, 1, 'section'), { from: 0, to: 40 });
  assert.deepEqual(passOf({ bars }, 7, 'section'), { from: 40, to: 80 });
  assert.deepEqual(passOf({ bars }, 1, 'line'), { from: 0, to: 20 });
  assert.deepEqual(passOf({ bars }, 2, 'line'), { from: 20, to: 30 });
});

test('two changes of one text', async () => {
  const { merged } = await unit('editor/merge.ts');
  assert.equal(merged('a\nb\nc', 'A\nb\nc', 'a\nb\nC'), 'A\nb\nC');
  assert.equal(merged('a\nb\nc', 'a\nX\nc', 'a\nY\nc'), null);
  assert.equal(merged('a', 'a', 'b'), 'b');
  assert.equal(merged('a', 'b', 'a'), 'b');
  assert.equal(merged('a\nb\nc', 'a\nc', 'a\nb\nc\nd'), 'a\nc\nd');
});
