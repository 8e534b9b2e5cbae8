// Every view of the page at three sizes, in light and dark, as axe-core judges it; and nothing is wider than the window.
import assert from 'node:assert/strict';
import { after, before, describe, test } from 'node:test';
import { readFile } from 'node:fs/promises';
import { axe, cursorAfter, missing, openDesk } from './desk.mjs';

const demo = await readFile(new URL('../../examples/lamps-along-the-quay.stillhand', import.meta.url), 'utf8');
const SIZES = [['desktop', 1280, 800], ['tablet', 820, 1180], ['phone', 390, 844]];
const VIEWS = {
  'the chart': async () => {},
  'a chord chosen': async (page) => {
    await cursorAfter(page, '| Bm');
    await page.waitForSelector('.prices button');
  },
  help: (page) => opened(page, 'Shift+F9', '#help table'),
  'the sheet': (page) => opened(page, 'F2', '#sheet img'),
  extras: (page) => opened(page, 'F4', '#extras .offers'),
  keys: (page) => opened(page, 'Shift+F4', '#keys tbody tr'),
  'give out': (page) => opened(page, 'F8', '#giveout fieldset'),
  songs: (page) => opened(page, 'F9', '#songs .song'),
  'a song renamed': async (page) => {
    await opened(page, 'F9', '#songs .song');
    await page.getByRole('button', { name: /^Rename / }).first().click();
    await page.locator('dialog.question button', { hasText: 'Rename' }).click();
    await page.locator('#question-fault', { hasText: 'already' }).waitFor();
  },
  'earlier versions': async (page) => {
    await page.getByRole('button', { name: 'Earlier' }).click();
    await page.waitForSelector('#earlier .note');
  },
  'a mistake': async (page) => {
    await cursorAfter(page, '| Bm');
    await page.keyboard.type('x');
    await page.waitForSelector('.cm-lintRange-error');
    await page.waitForSelector('.fault-line');
  },
};
async function opened(page, key, wanted) {
  await page.keyboard.press(key);
  await page.waitForSelector(wanted, { timeout: 60_000 });
}

describe('axe', { skip: missing() || false }, () => {
  let desk;
  before(async () => {
    desk = await openDesk({ Lamps: demo });
  });
  after(async () => desk?.close());
  for (const [size, width, height] of SIZES) {
    for (const colorScheme of ['light', 'dark']) {
      test(`${size}, ${colorScheme}`, { timeout: 600_000 }, async () => {
        const found = [];
        await desk.write('Lamps', demo);
        const page = await desk.page({ width, height }, { colorScheme, reducedMotion: 'reduce' });
        for (const [name, show] of Object.entries(VIEWS)) {
          await show(page);
          for (const one of await axe(page)) found.push(`${name}: ${one}`);
          const wide = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
          if (wide > 0) found.push(`${name}: ${wide} px wider than the window`);
          if (process.env.SHOTS) await page.screenshot({ path: `${process.env.SHOTS}/${size}-${colorScheme}-${name.replaceAll(' ', '-')}.png` });
          while (await page.locator('dialog[open]').count()) await page.keyboard.press('Escape');
        }
        await page.context().close();
        assert.deepEqual(desk.faults.splice(0), [], 'the browser reports faults');
        assert.deepEqual(found, []);
      });
    }
  }
});
