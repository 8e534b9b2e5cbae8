// A whole sitting at the desk, as a teacher has it: the real program, the real browser.
//   STILLHAND=build/dev/stillhand node --test web/test
import assert from 'node:assert/strict';
import { spawn } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { chromium } from 'playwright-core';

const browserPath = ['/usr/bin/chromium', '/usr/bin/chromium-browser'].find((path) => existsSync(path));
const skip = browserPath ? false : 'no chromium is installed';
const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const PATIENCE = 60_000; // for a loaded machine; nothing here measures by it

let folder;
let desk;
let address;
let browser;

async function startDesk() {
  desk = spawn(process.env.STILLHAND ?? 'stillhand', ['desk', join(folder, 'songs'), '--no-browser', '--port', '0'], {
    env: { ...process.env, XDG_STATE_HOME: join(folder, 'state') },
  });
  address = await new Promise((resolve, reject) => {
    let said = '';
    desk.stdout.on('data', (data) => {
      said += data;
      const found = /http:\S+/.exec(said);
      if (found) resolve(found[0]);
    });
    desk.on('exit', (code) => reject(new Error(`the desk ended with ${code}: ${said}`)));
  });
}

before(async () => {
  if (skip) return;
  folder = mkdtempSync(join(tmpdir(), 'stillhand-desk-'));
  const { mkdirSync } = await import('node:fs');
  mkdirSync(join(folder, 'songs'));
  await startDesk();
  browser = await chromium.launch({ executablePath: browserPath, args: ['--no-sandbox', '--autoplay-policy=no-user-gesture-required'] });
});
after(async () => {
  await browser?.close();
  desk?.kill('SIGTERM');
  if (folder) rmSync(folder, { recursive: true, force: true });
});

// A page that notes what went wrong in it; no request may leave the machine.
async function open(options = {}) {
  const context = await browser.newContext({ viewport: { width: 1280, height: 900 }, reducedMotion: 'reduce', ...options });
  context.setDefaultTimeout(PATIENCE);
  const page = await context.newPage();
  const faults = [];
  page.on('pageerror', (error) => faults.push(error.message));
  page.on('console', (message) => message.type() === 'error' && !/409|422|503/.test(message.text()) && faults.push(message.text()));
  page.on('request', (request) => !/^(http:\/\/127\.0\.0\.1:|blob:|data:)/.test(request.url()) && faults.push(`request to ${request.url()}`));
  await page.addInitScript(() => {
    const input = { onmidimessage: null };
    window.fakeKeyboard = (...keys) => {
      for (const key of keys) input.onmidimessage?.({ data: [0x90, key, 80] });
      for (const key of keys) input.onmidimessage?.({ data: [0x80, key, 0] });
    };
    navigator.requestMIDIAccess = async () => ({ inputs: new Map([['1', input]]), onstatechange: null });
  });
  await page.goto(address);
  await page.waitForSelector('.hands-chord');
  return { page, faults, context };
}

const saved = (name) => readFileSync(join(folder, 'songs', `${name}.stillhand`), 'utf8');
async function until(what, wanted) {
  const end = Date.now() + PATIENCE;
  for (;;) {
    const now = await what();
    if (wanted(now)) return now;
    if (Date.now() > end) assert.fail(`never came: ${JSON.stringify(now).slice(0, 400)}`);
    await new Promise((wake) => setTimeout(wake, 100));
  }
}
async function accessible(page, where) {
  await page.addScriptTag({ content: axe }).catch(() => page.evaluate(axe));
  const found = await page.evaluate(() => window.axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'] }));
  assert.deepEqual(found.violations.map((one) => `${where}: ${one.id}: ${one.nodes.map((node) => node.target.join(' ') + ' ' + node.failureSummary).join(' | ')}`), []);
}

test('a whole sitting', { skip, timeout: 600_000 }, async () => {
  const { page, faults, context } = await open();
  // The empty folder has begun with the demo song.
  assert.match(saved('Lamps Along the Quay'), /Lamps Along the Quay/);

  // A new chart.
  await page.keyboard.press('F9');
  await page.fill('input[name=name]', 'Evening');
  await page.click('text=Begin');
  await page.waitForFunction(() => document.title.startsWith('Evening'));
  await page.click('.cm-content');
  await page.keyboard.press('Control+End');
  await page.keyboard.type('\nsection Chorus\n| Amm | F | G | C |');
  await page.keyboard.press('Escape');
  await page.waitForSelector('.fault-line');
  assert.match(await page.textContent('.fault-line'), /1 mistake: line \d+, unknown chord/);

  // Mended by what is proposed, through the keyboard.
  await page.click('.fault-line');
  await page.evaluate(() => 0);
  await page.hover('.cm-lintRange-error');
  await page.click('.cm-diagnosticAction');
  await page.waitForSelector('.fault-line', { state: 'detached' });
  await until(() => saved('Evening'), (text) => text.includes('| Am | F | G | C |'));

  // A pin by a keyboard that is played.
  await page.click('text=Use a MIDI keyboard');
  await page.click('.hands-chord >> nth=0');
  await page.waitForSelector('.prices button');
  await page.evaluate(() => window.fakeKeyboard(64, 67, 72));
  await page.click('text=/Pin these 3 keys/');
  await until(() => saved('Evening'), (text) => /shape +C +E4 G4 C5/.test(text));
  await page.waitForSelector('.hands-name.pinned');

  // Undone, wherever the focus is.
  await page.click('.hands-chord >> nth=0');
  await page.keyboard.press('Control+z');
  await until(() => saved('Evening'), (text) => !/shape/.test(text));

  // An extra is accepted.
  await page.keyboard.press('F4');
  await page.click('.offers button.strong >> nth=0');
  await until(() => saved('Evening'), (text) => /^or /m.test(text) || /section .*\n[^]*section .*\n[^]*section/.test(text));

  // Another key.
  await page.keyboard.press('F6');
  await page.click('[aria-label="Take D"]');
  await until(() => saved('Evening'), (text) => /^key +D$/m.test(text));

  // The manner, and what it changed.
  await page.selectOption('#choices select >> nth=0', 'closest');
  await page.waitForFunction(() => /changed|Nothing/.test(document.getElementById('said').textContent));

  // The sheet.
  await page.keyboard.press('F2');
  await page.waitForSelector('#sheet img');
  await page.keyboard.press('Escape');

  // Reload: all is there.
  await page.reload();
  await page.waitForFunction(() => document.title.startsWith('Evening'));
  await page.waitForSelector('.hands-chord');
  assert.equal(await page.inputValue('#choices select >> nth=0'), 'closest');

  // Earlier versions are there to go back to.
  await page.click('text=Earlier');
  await page.waitForSelector('#earlier li button');
  await page.keyboard.press('Escape');
  assert.deepEqual(faults, []);
  await context.close();
});

test('two windows agree, and another program is noticed', { skip, timeout: 300_000 }, async () => {
  const one = await open();
  const two = await open();
  const name = (await one.page.title()).replace(/ – .*/, '');
  await one.page.click('.cm-content');
  await one.page.keyboard.press('Control+Home');
  await one.page.keyboard.type('; from the first window\n');
  await until(() => two.page.textContent('.cm-content'), (text) => text.includes('from the first window'));
  writeFileSync(join(folder, 'songs', `${name}.stillhand`), `; by hand\n${saved(name)}`);
  for (const { page } of [one, two]) await until(() => page.textContent('.cm-content'), (text) => text.includes('by hand'));
  assert.deepEqual([...one.faults, ...two.faults], []);
  await one.context.close();
  await two.context.close();
});

test('the desk is killed and started again: nothing typed is lost', { skip, timeout: 300_000 }, async () => {
  const { page, context } = await open();
  const name = (await page.title()).replace(/ – .*/, '');
  desk.removeAllListeners('exit');
  desk.kill('SIGKILL');
  await page.click('.cm-content');
  await page.keyboard.press('Control+Home');
  await page.keyboard.type('; typed while nobody listened\n');
  await page.waitForSelector('.keeping.fault');
  await startDesk();
  await page.goto(address); // another port: another page
  await page.waitForSelector('.hands-chord');
  assert.ok(!saved(name).includes('\u0000'));
  await context.close();
});

test('nothing stands in anyone’s way', { skip, timeout: 600_000 }, async () => {
  for (const [width, height, colorScheme] of [[1280, 900, 'light'], [820, 1180, 'dark'], [390, 844, 'light']]) {
    const { page, context } = await open({ viewport: { width, height }, colorScheme, bypassCSP: true });
    await page.locator('.hands-chord').first().click();
    await page.waitForSelector('.prices button');
    await accessible(page, `${width}, the chart`);
    assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= window.innerWidth), `${width}: wider than the screen`);
    for (const [key, id, ready] of [['F2', 'sheet', 'img'], ['F4', 'extras', '.offers li'], ['F6', 'keys', 'td'], ['F8', 'giveout', 'button'], ['F9', 'songs', 'li'], ['F1', 'help', 'kbd']]) {
      await page.keyboard.press(key);
      await page.waitForSelector(`#${id} ${ready}`);
      await accessible(page, `${width}, ${id}`);
      await page.keyboard.press('Escape');
      await page.waitForSelector(`#${id}`, { state: 'hidden' });
    }
    await context.close();
  }
});

test('hands follow each key stroke (measured, not judged)', { skip, timeout: 300_000 }, async (t) => {
  const { page, context } = await open();
  await page.click('.cm-content');
  await page.keyboard.press('Control+End');
  await page.keyboard.type('\nsection Again\n');
  await page.evaluate(() => (window.deskTiming.length = 0));
  await page.keyboard.type('| D | G | A | Bm | D | G | A | D |', { delay: 120 });
  await until(() => page.evaluate(() => window.deskTiming), (list) => list.length > 10);
  const times = (await page.evaluate(() => window.deskTiming)).sort((a, b) => a - b);
  t.diagnostic(`from key stroke to hands: median ${times[times.length >> 1].toFixed(0)} ms, most ${times[times.length - 1].toFixed(0)} ms of ${times.length}`);
  await context.close();
});
