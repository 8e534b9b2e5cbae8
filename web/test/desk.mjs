// A desk for the page's tests: the program itself over a folder of its own, and a browser that has its page open.
//
//   const desk = await openDesk({ 'A Song': text });
//   const page = await desk.page({ width: 1280, height: 800 });
//   …
//   await desk.close();
//
// STILLHAND names the program; CHROMIUM the browser, where it is not found by itself.
import { chromium } from 'playwright-core';
import { spawn } from 'node:child_process';
import { existsSync } from 'node:fs';
import { mkdir, mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

const PLACES = ['/usr/bin/chromium', '/usr/bin/chromium-browser', '/usr/bin/google-chrome'];
export const browserPath = process.env.CHROMIUM || PLACES.find((one) => existsSync(one)) || '';
const PATIENCE = Number(process.env.DESK_PATIENCE) || 60_000; // ms, for a machine at work; nothing is measured by it
export const program = process.env.STILLHAND || '';

// Why there is nothing to test here, or "".
export function missing() {
  if (!program) return 'STILLHAND does not name the program';
  if (!browserPath) return 'chromium is not installed';
  return '';
}

const axeSource = await readFile(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

export async function openDesk(charts = {}) {
  const root = await mkdtemp(join(tmpdir(), 'desk-page-'));
  const folder = join(root, 'songs');
  await mkdir(folder);
  for (const [name, text] of Object.entries(charts)) await writeFile(join(folder, `${name}.stillhand`), text);
  const desk = { folder, address: '', faults: [], server: null, browser: null };

  desk.start = async (port = 0) => {
    const more = process.env.PAGE ? ['--page', process.env.PAGE] : [];
    desk.server = spawn(program, ['desk', folder, '--no-browser', '--port', String(port), ...more], {
      env: { ...process.env, XDG_STATE_HOME: join(root, 'state') },
      stdio: ['ignore', 'pipe', 'inherit'],
    });
    desk.address = await new Promise((found, failed) => {
      let said = '';
      desk.server.stdout.on('data', (some) => {
        said += some;
        const address = /http:\/\/\S+/.exec(said);
        if (address) found(address[0]);
      });
      desk.server.on('exit', (code) => failed(new Error(`the desk ended with ${code}: ${said}`)));
    });
  };
  // As from one moment to the next, without a word.
  desk.stop = async () => {
    if (desk.server.exitCode !== null || desk.server.signalCode !== null) return;
    const gone = new Promise((done) => desk.server.on('exit', done));
    desk.server.kill('SIGKILL');
    await gone;
  };
  desk.port = () => Number(new URL(desk.address).port);
  desk.chart = (name) => readFile(join(folder, `${name}.stillhand`), 'utf8').catch(() => ''); // "": not there yet
  desk.write = (name, text) => writeFile(join(folder, `${name}.stillhand`), text);

  await desk.start();
  desk.browser = await chromium.launch({
    executablePath: browserPath,
    args: process.getuid?.() === 0 ? ['--no-sandbox'] : [],
  });
  desk.page = async (viewport = { width: 1280, height: 800 }, more = {}) => {
    const context = await desk.browser.newContext({ viewport, ...more });
    context.setDefaultTimeout(PATIENCE);
    const page = await context.newPage();
    page.on('pageerror', (fault) => desk.faults.push(String(fault)));
    page.on('console', (line) => {
      // Where the desk is stopped on purpose the browser tells of it too.
      if (line.type() === 'error' && !/ERR_CONNECTION|ERR_INCOMPLETE|ERR_EMPTY|ERR_SOCKET|Failed to load resource/.test(line.text())) desk.faults.push(line.text());
    });
    // Nothing may leave the machine.
    page.on('request', (request) => /^(http:\/\/127\.0\.0\.1:|blob:)/.test(request.url()) || desk.faults.push(`asks for ${request.url()}`));
    await page.goto(desk.address);
    await page.waitForSelector('.hands-chord');
    return page;
  };
  desk.close = async () => {
    await desk.browser?.close();
    await desk.stop();
    await rm(root, { recursive: true, force: true });
  };
  return desk;
}

// What axe finds, one finding a line. The page's policy forbids scripts of others, so it is run by the browser's debugger.
export async function axe(page) {
  await page.evaluate(axeSource);
  const found = await page.evaluate(() => globalThis.axe.run(document, { resultTypes: ['violations'] }));
  // Two places of each kind are enough to mend it.
  return found.violations.flatMap((one) => one.nodes.slice(0, 2).map((node) => `${one.id} (${one.impact}): ${node.target.join(' ')}: ${node.failureSummary?.split('\n')[1]?.trim() ?? ''}`));
}

// Sets the cursor behind the nth occurrence of a text in the chart, by keys alone where the editor allows it.
export async function cursorAfter(page, text, nth = 1) {
  await page.evaluate(
    ([wanted, count]) => {
      const lines = [...document.querySelectorAll('.cm-line')];
      let left = count;
      for (const line of lines) {
        let from = -1;
        while ((from = line.textContent.indexOf(wanted, from + 1)) >= 0) {
          if (--left) continue;
          const walk = document.createTreeWalker(line, NodeFilter.SHOW_TEXT);
          let rest = from + wanted.length;
          for (let node = walk.nextNode(); node; node = walk.nextNode()) {
            if (rest <= node.length) {
              document.querySelector('.cm-content').focus();
              getSelection().collapse(node, rest);
              return;
            }
            rest -= node.length;
          }
        }
      }
      throw new Error(`${wanted} is not shown`);
    },
    [text, nth],
  );
  await page.waitForTimeout(60); // the editor reads the selection
}

export async function until(check, what, ms = PATIENCE) {
  const end = Date.now() + ms;
  for (;;) {
    const answer = await check();
    if (answer) return answer;
    if (Date.now() > end) throw new Error(`waited in vain for: ${what}`);
    await new Promise((wake) => setTimeout(wake, 50));
  }
}
