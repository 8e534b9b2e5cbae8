// The student's page as `stillhand lesson` writes it, opened as a file: what a student sees, hears and plays.
import assert from 'node:assert/strict';
import { execFileSync, spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { after, before, describe, test } from 'node:test';
import { buildSync } from 'esbuild';
import { chromium } from 'playwright-core';
import { axe, browserPath, missing, program } from './desk.mjs';

const root = dirname(fileURLToPath(import.meta.url));
const SIZES = [['desktop', 1280, 800], ['tablet', 820, 1180], ['phone', 390, 844], ['narrow', 320, 640]];

describe("the student's page", { skip: missing() || false }, () => {
  const folder = mkdtempSync(join(tmpdir(), 'student-page-'));
  let browser;
  let address;
  before(async () => {
    execFileSync(program, ['lesson', join(root, '../../examples/lamps-along-the-quay.stillhand'), '-o', join(folder, 'lesson'), '--no-audio']);
    address = pathToFileURL(join(folder, 'lesson/page.html')).href;
    browser = await chromium.launch({ executablePath: browserPath, args: ['--no-sandbox', '--autoplay-policy=no-user-gesture-required'] });
  });
  after(async () => {
    await browser?.close();
    rmSync(folder, { recursive: true, force: true });
  });

  // Everything that sounds is written down, with its time and the page's clock; a MIDI keyboard stands by.
  async function open({ width = 1280, height = 800, colorScheme = 'light' } = {}) {
    const context = await browser.newContext({ viewport: { width, height }, colorScheme });
    const page = await context.newPage();
    const faults = [];
    const requests = [];
    page.on('pageerror', (error) => faults.push(error.message));
    page.on('console', (line) => line.type() === 'error' && faults.push(line.text()));
    page.on('request', (one) => requests.push(one.url()));
    await page.addInitScript(() => {
      window.sounded = [];
      const start = OscillatorNode.prototype.start;
      OscillatorNode.prototype.start = function (at) {
        window.sounded.push({ hertz: this.frequency.value, at });
        return start.call(this, at);
      };
      const input = { onmidimessage: null };
      window.press = (...keys) => keys.forEach((key) => input.onmidimessage?.({ data: [0x90, key, 80] }));
      window.lift = (...keys) => keys.forEach((key) => input.onmidimessage?.({ data: [0x80, key, 0] }));
      navigator.requestMIDIAccess = async () => ({ inputs: new Map([['1', input]]), onstatechange: null });
    });
    await page.goto(address);
    return { page, faults, requests, close: () => context.close() };
  }
  const shown = (page) => page.locator('#words h2').innerText();
  const button = (page, name) => page.getByRole('button', { name, exact: true });

  test('shows the song with hands, words and what moves, and asks nobody for anything', async () => {
    const { page, faults, requests, close } = await open();
    assert.equal(await page.title(), 'Lamps Along the Quay');
    assert.ok((await page.locator('#song-lines .hands-chord').count()) > 40);
    assert.ok(await page.getByText('Lamps a-long the').first().isVisible());
    await page.locator('#song-lines .hands-chord').first().click();
    assert.equal(await shown(page), 'D');
    assert.match(await page.locator('#words').innerText(), /then G: .*thumb/i);
    await page.locator('summary', { hasText: 'The practice plan' }).click();
    assert.ok(await page.locator('#plan h3').first().isVisible());
    assert.deepEqual(requests, [address]);
    assert.deepEqual(faults, []);
    await close();
  });

  test('another key has other chords, fingers and words', async () => {
    const { page, close } = await open();
    const before = await page.locator('#song-lines').innerText();
    await page.getByRole('combobox', { name: 'key' }).selectOption({ label: 'C major (2 half steps down)' });
    const later = await page.locator('#song-lines').innerText();
    assert.notEqual(before, later);
    await page.locator('#song-lines .hands-chord').first().click();
    assert.equal(await shown(page), 'C');
    assert.match(await page.locator('#changes').innerText(), /F to C/);
    await close();
  });

  test('plays a line over and over, at the tempo wished; the marks fill', async () => {
    const { page, faults, close } = await open();
    await page.locator('#song-lines .hands-chord').first().click();
    await page.getByLabel('what').selectOption('line');
    await page.getByLabel('tempo').fill('120');
    await page.getByLabel('count-in').uncheck();
    await button(page, 'Hear it').click();
    await page.waitForSelector('.hands-bar.now i.full');
    await page.waitForFunction(() => document.querySelectorAll('.hands-bar.now i.full').length === 3);
    await button(page, 'Stop').click();
    assert.equal(await page.locator('.hands-bar.now').count(), 0);
    const sounded = await page.evaluate(() => window.sounded);
    const clicks = sounded.filter(({ hertz }) => hertz > 1000).map(({ at }) => at);
    assert.ok(clicks.length >= 3);
    // 66 counts a minute at 120 %: 0.7576 s from click to click.
    for (let i = 1; i < clicks.length; ++i) assert.ok(Math.abs(clicks[i] - clicks[i - 1] - 60 / 66 / 1.2) < 0.001, String(clicks));
    assert.deepEqual(faults, []);
    await close();
  });

  test('leaves a hand out', async () => {
    const { page, close } = await open();
    await page.getByLabel('count-in').uncheck();
    await page.getByLabel('right hand', { exact: true }).uncheck();
    await page.getByLabel('click').uncheck();
    await button(page, 'Hear it').click();
    await page.waitForFunction(() => window.sounded.length > 0);
    const sounded = await page.evaluate(() => window.sounded);
    assert.ok(sounded.every(({ hertz }) => hertz < 180), 'only bass notes: F3 is 174.6 Hz');
    await close();
  });

  test('a change is heard over and over from its place in the list', async () => {
    const { page, close } = await open();
    await page.getByLabel('count-in').uncheck();
    const said = await page.locator('#changes li b').first().innerText();
    await button(page, 'Practise this change').first().click();
    await page.waitForFunction((first) => document.querySelector('#words h2').textContent === first, said.split(' to ')[0]);
    await page.waitForFunction((second) => document.querySelector('#words h2').textContent === second, said.split(' to ')[1]);
    await page.waitForFunction((first) => document.querySelector('#words h2').textContent === first, said.split(' to ')[0]);
    await close();
  });

  test('waits until the chord is played, and says what is amiss', async () => {
    const { page, close } = await open();
    await button(page, 'Play it yourself').click();
    await page.getByText('Your keyboard is heard.').waitFor();
    assert.equal(await shown(page), 'D');
    const heard = () => page.locator('#status').innerText();
    await page.evaluate(() => window.press(57, 62)); // A3 D4, of A3 D4 F#4
    assert.equal(await heard(), 'F♯ to come.');
    await page.evaluate(() => window.press(65));
    assert.equal(await heard(), 'F does not belong here.');
    await page.evaluate(() => window.lift(57, 62, 65));
    await page.evaluate(() => window.press(69, 74, 78));
    assert.equal(await heard(), 'The right keys, but an octave too high.');
    await page.evaluate(() => window.lift(69, 74, 78));
    await page.evaluate(() => window.press(38, 57, 62, 66)); // with the bass note: the other hand is not in the way
    assert.equal(await shown(page), 'G');
    assert.equal(await heard(), '', 'what is still held belongs to the chord before');
    await page.evaluate(() => window.lift(38, 57, 62, 66));
    await button(page, 'Next chord').click();
    assert.equal(await shown(page), 'D/F♯');
    await button(page, 'Enough').click();
    assert.equal(await page.locator('.hands-bar.now').count(), 0);
    await close();
  });

  test('says when all has been played, and the focus goes on', async () => {
    const { page, close } = await open();
    await page.getByLabel('what').selectOption('line');
    await button(page, 'Play it yourself').click();
    await button(page, 'Next chord').focus();
    for (let i = 0; i < 20 && (await button(page, 'Next chord').count()); ++i) await page.keyboard.press('Enter');
    assert.equal(await page.locator('#status').innerText(), 'That was all of it.');
    assert.equal(await page.evaluate(() => document.activeElement.id), 'self');
    await close();
  });

  test('plays from an `or` line the bar in whose place it stands', async () => {
    const { page, close } = await open();
    await page.getByLabel('count-in').uncheck();
    await page.locator('.other-way .hands-chord').nth(1).click();
    const bar = await page.locator('.other-way .hands-bar').first().getAttribute('data-bar');
    await button(page, 'Hear it').click();
    await page.waitForSelector('.hands-bar.now i.full');
    const now = await page.locator('.hands-bar.now').getAttribute('data-bar');
    assert.deepEqual(now.split('.').slice(0, 2), bar.split('.').slice(0, 2));
    await close();
  });

  // As where a page is served without a lock in its address, or may keep nothing.
  test('needs neither storage nor a secure context', async () => {
    const context = await browser.newContext();
    const page = await context.newPage();
    const faults = [];
    page.on('pageerror', (error) => faults.push(error.message));
    await page.addInitScript(() => {
      delete Crypto.prototype.randomUUID;
      Object.defineProperty(window, 'localStorage', { get: () => { throw new Error('no storage'); } });
      delete Navigator.prototype.wakeLock;
      delete Navigator.prototype.requestMIDIAccess;
    });
    await page.goto(address);
    await page.getByRole('button', { name: 'Play it yourself' }).click();
    assert.match(await page.locator('#status').innerText(), /does not listen to MIDI keyboards/);
    assert.deepEqual(faults, []);
    await context.close();
  });

  test('has the piano in it where there is one', async (t) => {
    const made = spawnSync(program, ['lesson', join(root, '../../examples/lamps-along-the-quay.stillhand'), '-o', join(folder, 'with-piano'), '--only', 'song,right', '--tempos', '400', '--page-keys', '0']);
    if (made.status !== 0 && /sound font/.test(String(made.stderr))) return t.skip('no sound font is installed');
    assert.equal(made.status, 0, String(made.stderr));
    const context = await browser.newContext();
    const page = await context.newPage();
    await page.addInitScript(() => {
      window.struck = [];
      const start = AudioBufferSourceNode.prototype.start;
      AudioBufferSourceNode.prototype.start = function (...at) {
        window.struck.push({ seconds: this.buffer.duration, rate: this.playbackRate.value });
        return start.apply(this, at);
      };
    });
    await page.goto(pathToFileURL(join(folder, 'with-piano/page.html')).href);
    await page.getByLabel('count-in').uncheck();
    await page.getByRole('button', { name: 'Hear it' }).click();
    await page.waitForFunction(() => window.struck.length >= 4);
    const struck = await page.evaluate(() => window.struck);
    assert.ok(struck.every(({ seconds, rate }) => Math.abs(seconds - 4) < 0.01 && Math.abs(Math.log2(rate) * 12) < 1.01), JSON.stringify(struck));
    await context.close();
  });

  test('is used by keyboard alone', async () => {
    const { page, close } = await open();
    await page.getByRole('combobox', { name: 'key' }).focus();
    await page.keyboard.press('Tab');
    assert.match(await page.evaluate(() => document.activeElement.className), /hands-chord/);
    await page.keyboard.press('ArrowRight');
    await page.keyboard.press('Enter');
    assert.equal(await shown(page), 'G');
    const stops = [];
    for (let i = 0; i < 4; ++i) {
      await page.keyboard.press('Tab');
      stops.push(await page.evaluate(() => document.activeElement.textContent.trim()));
    }
    assert.ok(stops.every((text) => text === 'Practise this change'), `one stop for all chords: ${stops}`);
    await close();
  });

  for (const [name, width, height] of SIZES) {
    for (const colorScheme of ['light', 'dark']) {
      test(`${name}, ${colorScheme}: axe finds nothing, and nothing is wider than the window`, async () => {
        const { page, close } = await open({ width, height, colorScheme });
        const look = async (what) => {
          const found = await axe(page);
          assert.deepEqual(found, [], what);
          assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= window.innerWidth), `${what} is wider than the window`);
          if (process.env.SHOTS) {
            mkdirSync(process.env.SHOTS, { recursive: true });
            await page.screenshot({ path: join(process.env.SHOTS, `student-${what}-${name}-${colorScheme}.png`) });
          }
        };
        await look('start');
        await page.locator('#song-lines .hands-chord').nth(1).click();
        await page.locator('summary', { hasText: 'The practice plan' }).click();
        await look('chord');
        await button(page, 'Play it yourself').click();
        await look('playing');
        await close();
      });
    }
  }
});

describe('keys that are down', () => {
  const built = mkdtempSync(join(tmpdir(), 'student-units-'));
  after(() => rmSync(built, { recursive: true, force: true }));
  async function along() {
    const outfile = join(built, 'along.mjs');
    buildSync({ entryPoints: [join(root, '../student/along.ts')], bundle: true, format: 'esm', outfile, logLevel: 'error' });
    return import(pathToFileURL(outfile).href);
  }
  const step = (index, right, left = []) => ({ index, right, left });

  test('are the chord, or lack something, or have something besides', async () => {
    const { judge } = await along();
    assert.deepEqual(judge([57, 62], new Set([57, 62])), { done: true, missing: [], besides: [], octaves: 0 });
    assert.deepEqual(judge([57, 62], new Set([57])), { done: false, missing: [62], besides: [], octaves: 0 });
    assert.deepEqual(judge([57, 62], new Set([57, 61, 62])), { done: false, missing: [], besides: [61], octaves: 0 });
    assert.equal(judge([57, 62], new Set([45, 50])).octaves, -1);
    assert.equal(judge([57, 62], new Set([81, 86])).octaves, 2);
    assert.equal(judge([57, 62], new Set([58, 63])).octaves, 0);
    assert.equal(judge([], new Set()).done, false);
  });

  test('held over a change they count only when one is struck anew', async () => {
    const { Waiting } = await along();
    const wait = new Waiting([step(0, [60]), step(1, [60])], 'right');
    wait.strike();
    assert.ok(wait.heard(new Set([60])).done);
    wait.next();
    assert.equal(wait.heard(new Set([60])).done, false);
    wait.strike();
    assert.ok(wait.heard(new Set([60])).done);
    wait.next();
    assert.equal(wait.step, null);
  });

  test('may be those of the other hand too, and the rest of the figure', async () => {
    const { Waiting } = await along();
    const heard = (playing, down) => {
      const wait = new Waiting([step(0, [60, 64], [36, 43])], playing);
      wait.strike();
      return wait.heard(new Set(down));
    };
    assert.ok(heard('right', [36, 60, 64]).done);
    assert.ok(heard('left', [36]).done);
    assert.ok(heard('left', [36, 43]).done);
    assert.equal(heard('both', [60, 64]).done, false);
    assert.deepEqual(heard('both', [36, 60, 64, 65]).besides, [65]);
  });

  test('a hand that has nothing to do does not wait', async () => {
    const { Waiting } = await along();
    const wait = new Waiting([step(0, []), step(1, [], [40]), step(2, [60], [41])], 'right');
    assert.equal(wait.step.index, 2);
    const left = new Waiting([step(0, []), step(1, [], [40]), step(2, [60], [41])], 'left');
    assert.equal(left.step.index, 1);
  });
});
