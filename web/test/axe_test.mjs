// Every view of the page at three sizes, in light and dark, as axe-core judges it; and nothing is wider than the window.
import assert from 'node:assert/strict';
import { after, before, describe, test } from 'node:test';
import { readFile } from 'node:fs/promises';
import { axe, missing, openDesk } from './desk.mjs';
import { SIZES, VIEWS } from './views.mjs';

const demo = await readFile(new URL('../../examples/lamps-along-the-quay.stillhand', import.meta.url), 'utf8');

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
