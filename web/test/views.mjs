// The views of the page and how each is opened, and the sizes of window they are tried at.
//
//   await VIEWS.keys(page);   // over the demo song
import { cursorAfter } from './desk.mjs';

export const SIZES = [['desktop', 1280, 800], ['tablet', 820, 1180], ['phone', 390, 844]];
export const VIEWS = {
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
