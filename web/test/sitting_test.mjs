// A whole sitting at the desk as a teacher has it, in the browser, against the program itself.
import assert from 'node:assert/strict';
import { after, afterEach, before, describe, test } from 'node:test';
import { readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { cursorAfter, missing, openDesk, until } from './desk.mjs';

const sitting = (name, run) => test(name, { timeout: 240_000 }, run);
const examples = join(dirname(fileURLToPath(import.meta.url)), '../../examples');

const SMALL = `title      Small Song
key        C
meter      4/4
tempo      80

section Verse
| C | F | G | C |

section Chorus
| Am | F | C G | C |
`;

describe('a sitting', { skip: missing() || false }, () => {
  let desk;
  let page;
  before(async () => {
    desk = await openDesk({ 'Small Song': SMALL });
  });
  after(async () => desk?.close());
  const fresh = async (name = 'Small Song', text = SMALL) => {
    await desk.write(name, text);
    page = await desk.page();
    return page;
  };
  afterEach(async () => {
    await page?.context().close();
    page = null;
    if (desk) assert.deepEqual(desk.faults.splice(0), [], 'the browser reports faults');
  });

  const textShown = () => page.evaluate(() => [...document.querySelectorAll('.cm-line')].map((line) => line.textContent).join('\n'));
  const kept = (wanted, name = 'Small Song') => until(async () => wanted(await desk.chart(name)), 'the text in the file');

  // What the desk itself answers.
  const answer = async (path, body) => {
    const { origin, hash } = new URL(desk.address);
    const response = await fetch(origin + path, {
      headers: { Authorization: `Bearer ${hash.slice(1)}`, ...(body ? { 'Content-Type': 'application/json' } : {}) },
      ...(body ? { method: 'POST', body: JSON.stringify(body) } : {}),
    });
    return response.json();
  };

  sitting('every typed line of bars has its hands, each with words for those who listen', async () => {
    await fresh();
    assert.equal(await page.locator('.hands').count(), 2);
    assert.equal(await page.locator('.hands-chord').count(), 9);
    const said = await page.locator('.hands-chord .sr').first().textContent();
    assert.match(said, /^C: right hand.*thumb|^C: right hand.*1/);
  });

  sitting('what is typed changes the hands and is kept in the file by itself', async () => {
    await fresh();
    await cursorAfter(page, '| Am');
    await page.keyboard.type('7');
    await until(async () => (await page.locator('.hands-name').allTextContents()).includes('Am7'), 'the hands of Am7');
    await kept((text) => text.includes('| Am7 | F'));
  });

  sitting('a mistake is told under its characters, the hands stay, and one action mends it', async () => {
    await fresh();
    await cursorAfter(page, '| Am');
    await page.keyboard.type('m');
    await page.waitForSelector('.cm-lintRange-error');
    assert.match(await page.locator('.fault-line').textContent(), /^1 mistake: line 10, /);
    assert.equal(await page.locator('.hands-chord').count(), 9);
    await page.keyboard.press('Escape'); // what may be typed here is not wanted
    await page.hover('.cm-lintRange-error');
    await page.locator('.cm-diagnosticAction', { hasText: /^Am$/ }).first().click();
    await until(async () => (await page.locator('.fault-line').count()) === 0, 'no mistake any more');
    await kept((text) => text === SMALL);
  });

  sitting('what moves into a line is told anew when the line before it changes', async () => {
    await fresh('Small Song', SMALL.replace('\nsection Chorus\n', ''));
    const second = page.locator('.hands').nth(1).locator('.hands-moved').first();
    const before = await second.textContent();
    await cursorAfter(page, '| C | F | G | C');
    await page.keyboard.press('Backspace');
    await page.keyboard.type('F');
    await until(async () => (await second.textContent()) !== before, 'another way to Am');
  });

  sitting('a chord that is played on a MIDI keyboard is pinned', async () => {
    await fresh();
    await page.evaluate(() => {
      const input = { onmidimessage: null };
      window.played = (...keys) => {
        for (const key of keys) input.onmidimessage?.({ data: [0x90, key, 80] });
        for (const key of keys) input.onmidimessage?.({ data: [0x80, key, 0] });
      };
      navigator.requestMIDIAccess = async () => ({ inputs: new Map([['1', input]]), onstatechange: null });
    });
    await page.getByRole('button', { name: 'Use a MIDI keyboard' }).click();
    await page.getByRole('button', { name: 'A MIDI keyboard is connected' }).waitFor();
    await cursorAfter(page, '| C');
    await page.evaluate(() => window.played(64, 67, 72));
    await page.getByRole('button', { name: 'Pin these 3 keys' }).click();
    await kept((text) => /^shape C +E4 G4 C5/m.test(text));
  });

  sitting('what another program writes is here by itself', async () => {
    await fresh();
    await desk.write('Small Song', SMALL.replace('Small Song', 'Other Hands'));
    await until(async () => (await textShown()).includes('Other Hands'), 'the text of the file');
  });

  sitting('notes have the names that are wanted, in pictures and words alike', async () => {
    await fresh('Small Song', SMALL.replace('| Am | F | C G | C |', '| Bb | Gm | F#dim G | C |'));
    await page.getByLabel('Note names').selectOption('german');
    await until(async () => (await page.locator('.hands-name').allTextContents()).join(' ') === 'C F G C B Gm F♯dim G C', 'German names');
    await page.getByRole('button', { name: /^F♯dim ?: right hand/ }).click();
    await until(async () => /Fis/.test(await page.locator('.chord-moves').textContent()), 'German names in the words');
    assert.match(await page.locator('.chord-head').textContent(), /Fis/);
    await page.getByLabel('Note names').selectOption('');
  });

  sitting('a chord is decided: prices are shown, one shape is pinned, undone, pinned again and unpinned', async () => {
    await fresh();
    await page.getByRole('button', { name: /^G ?: right hand/ }).first().click();
    await page.waitForSelector('.prices button');
    assert.match(await page.locator('#dock h2').textContent(), /^G$/);
    const other = page.locator('.prices button', { hasText: '+' }).first();
    await other.click();
    await kept((text) => /^shape G /m.test(text));
    await until(async () => (await page.locator('.hands-name.pinned').count()) > 0, 'the pinned shape in the hands');
    await cursorAfter(page, '| Am');
    await page.keyboard.press('Control+z');
    await kept((text) => text === SMALL);
    await page.keyboard.press('Control+Shift+z');
    await kept((text) => /^shape G /m.test(text));
    await page.getByRole('button', { name: /^G ?: right hand/ }).first().click();
    await page.getByRole('button', { name: 'Unpin' }).click();
    await kept((text) => !/^shape G/m.test(text));
  });

  sitting('keys are chosen without a mouse and pinned', async () => {
    await fresh();
    await cursorAfter(page, '| Am');
    await page.waitForSelector('.keyboard.big [role=button]');
    await page.locator('.keyboard.big [role=button][tabindex="0"]').focus();
    // From C4: the keys C E A of Am in its first inversion.
    for (const key of [' ', ...Array(4).fill('ArrowRight'), ' ', ...Array(5).fill('ArrowRight'), ' ']) await page.keyboard.press(key === ' ' ? 'Space' : key);
    await page.getByRole('button', { name: 'Pin these 3 keys' }).click();
    await kept((text) => /^shape Am +C4 E4 A4/m.test(text));
  });

  sitting('the sheet opens by one key and closes by another, and the cursor is where it was', async () => {
    await fresh();
    await cursorAfter(page, '| Am');
    await page.keyboard.press('F2');
    await page.waitForSelector('#sheet img');
    const image = await page.locator('#sheet img').first().evaluate(async (one) => {
      await one.decode();
      return { width: one.naturalWidth, alt: one.alt };
    });
    assert.ok(image.width > 100);
    assert.match(image.alt, /page 1 of 1/);
    await page.keyboard.press('Escape');
    await page.waitForSelector('#sheet', { state: 'hidden' });
    await page.keyboard.type('7');
    await kept((text) => text.includes('| Am7 |'));
  });

  sitting('another key is taken and undone', async () => {
    await fresh();
    await page.keyboard.press('Shift+F4');
    await page.getByRole('button', { name: 'Take G', exact: true }).click();
    await kept((text) => text.includes('| G | C | D | G |'));
    await page.keyboard.press('Control+z');
    await kept((text) => text === SMALL);
  });

  sitting('an extra is accepted and undone', async () => {
    const song = await readFile(join(examples, 'lamps-along-the-quay.stillhand'), 'utf8');
    await fresh('Small Song', song);
    const { extras } = await answer('/api/extras', { name: 'Small Song', text: song, choices: {} });
    assert.notEqual(extras[1].text, extras[0].text);
    await page.keyboard.press('F4');
    await page.locator('#extras .offers li').nth(1).getByRole('button', { name: 'Accept' }).click();
    await kept((text) => text === extras[1].text);
    await page.keyboard.press('Control+z');
    await kept((text) => text === song);
  });

  sitting('choices change the hands, say what has changed, and are there again after reloading', async () => {
    await fresh();
    await page.getByLabel('Left hand').first().selectOption('walking');
    await until(async () => /left hand: |Nothing has changed/.test(await page.locator('#said').textContent()), 'what has changed');
    await page.waitForTimeout(400);
    await page.reload();
    await page.waitForSelector('.hands-chord');
    assert.equal(await page.getByLabel('Left hand').first().inputValue(), 'walking');
    await page.getByLabel('Left hand').first().selectOption('');
    await page.waitForTimeout(300);
  });

  sitting('a change made in another window is here at once', async () => {
    await fresh();
    const other = await page.context().newPage();
    await other.goto(desk.address.split('#')[0]);
    await other.waitForSelector('.hands-chord');
    await cursorAfter(other, 'tempo      80');
    await other.keyboard.type('0');
    await other.keyboard.press('Backspace');
    await other.keyboard.press('Backspace');
    await other.keyboard.type('8');
    await kept((text) => text.includes('tempo      88'));
    await until(async () => (await textShown()).includes('tempo      88'), 'the other window’s change');
    await other.close();
  });

  sitting('what another program writes elsewhere in the song while one types is put together with it', async () => {
    await fresh();
    await page.route('**/api/charts/**', (route) => (route.request().method() === 'PUT' ? route.abort() : route.continue()));
    await cursorAfter(page, '| Am');
    await page.keyboard.type('7');
    await desk.write('Small Song', SMALL.replace('tempo      80', 'tempo      96'));
    await until(async () => (await textShown()).includes('tempo      96'), 'the other program’s change');
    assert.match(await textShown(), /\| Am7 \|/);
    await page.unroute('**/api/charts/**');
    await kept((text) => text === SMALL.replace('tempo      80', 'tempo      96').replace('| Am |', '| Am7 |'));
  });

  sitting('where two windows change the same place, both texts are offered and neither is lost', async () => {
    await fresh();
    const other = await page.context().newPage();
    await other.goto(desk.address.split('#')[0]);
    await other.waitForSelector('.hands-chord');
    await page.route('**/api/charts/**', (route) => (route.request().method() === 'PUT' ? route.abort() : route.continue()));
    await cursorAfter(page, '| Am');
    await page.keyboard.type('7');
    await cursorAfter(other, '| Am');
    await other.keyboard.type('9');
    await kept((text) => text.includes('| Am9 |'));
    await page.getByRole('group', { name: 'two texts' }).waitFor();
    await page.unroute('**/api/charts/**');
    await page.getByRole('button', { name: 'Keep mine' }).click();
    await kept((text) => text.includes('| Am7 |'));
    await until(async () => (await other.locator('.hands-name').allTextContents()).includes('Am7'), 'the kept text in the other window');
    const earlier = await readdir(join(desk.folder, 'earlier'), { recursive: true, withFileTypes: true });
    const texts = await Promise.all(earlier.filter((one) => one.isFile()).map((one) => readFile(join(one.path, one.name), 'utf8')));
    assert.ok(texts.some((text) => text.includes('| Am9 |')), 'the other text is among the earlier versions');
    await other.close();
  });

  sitting('when the desk is gone the text stays in the page, and is kept when it is back', async () => {
    await fresh();
    const port = desk.port();
    await desk.stop();
    await cursorAfter(page, '| Am');
    await page.keyboard.type('7');
    await until(async () => /does not answer/.test(await page.locator('#head .keeping').textContent()), 'it is said that nothing is kept');
    assert.equal(await desk.chart('Small Song'), SMALL);
    await desk.start(port);
    assert.equal(desk.port(), port);
    await kept((text) => text.includes('| Am7 |'));
  });

  sitting('a text that could not be kept is there again when the page is opened anew', async () => {
    await fresh();
    const port = desk.port();
    await desk.stop();
    await cursorAfter(page, '| Am');
    await page.keyboard.type('7');
    await page.waitForTimeout(100);
    const context = page.context();
    await page.close();
    await desk.start(port);
    page = await context.newPage();
    await page.goto(desk.address);
    await page.waitForSelector('.hands-chord');
    await kept((text) => text.includes('| Am7 |'));
  });

  sitting('a song is played: the hands of the moment are shown, and it stops', async () => {
    await fresh();
    await page.keyboard.press('Control+Enter');
    await page.waitForSelector('.hands-bar.now');
    await page.keyboard.press('Control+Enter');
    await until(async () => (await page.locator('.hands-bar.now').count()) === 0, 'no bar is marked any more');
  });

  sitting('two chords are played over and over', async () => {
    await fresh();
    await page.getByRole('button', { name: /^G ?: right hand/ }).first().click();
    await page.getByLabel('count-in').uncheck();
    await page.getByLabel('what').selectOption('pair');
    await page.getByRole('slider', { name: 'tempo' }).fill('120');
    await page.evaluate(() => {
      window.bars = [];
      new MutationObserver(() => {
        const bar = document.querySelector('.hands-bar.now')?.dataset.bar;
        if (bar && bar !== window.bars.at(-1)) window.bars.push(bar);
      }).observe(document.getElementById('editor'), { subtree: true, attributes: true, attributeFilter: ['class'] });
    });
    await page.keyboard.press('Control+Enter');
    await until(() => page.evaluate(() => window.bars.length >= 4), 'the second pass');
    assert.deepEqual(await page.evaluate(() => window.bars.slice(0, 4)), ['0.0.x.2', '0.0.x.3', '0.0.x.2', '0.0.x.3']);
    await page.keyboard.press('Control+Enter');
    await until(async () => (await page.locator('.hands-bar.now').count()) === 0, 'no bar is marked any more');
  });

  sitting('what is being given out is cancelled, at the desk too', async () => {
    await fresh();
    await page.keyboard.press('F8');
    const begun = page.waitForResponse((one) => one.url().endsWith('/api/exports') && one.request().method() === 'POST');
    await page.getByLabel('tracks to play along').check();
    await page.getByRole('button', { name: 'Make these' }).click();
    const { id } = await (await begun).json();
    await page.getByRole('button', { name: 'Cancel' }).click();
    await page.getByText(/^Cancelled; what was whole is /).waitFor();
    await until(async () => (await answer(`/api/exports/${id}`)).state === 'cancelled', 'the desk has cancelled it', 20_000);
  });

  sitting('a lesson is given out into the folder', async () => {
    await fresh();
    await page.keyboard.press('F8');
    await page.getByLabel('sheets (PDF)').check();
    await page.getByRole('button', { name: 'Make these' }).click();
    await page.getByText(/^Done: /).waitFor({ timeout: 120_000 });
    const files = await readdir(join(desk.folder, 'lessons'), { recursive: true });
    assert.ok(files.some((name) => name.endsWith('.pdf')), files.join());
  });

  sitting('a song gets another name: refused names are explained in place, and the focus comes back', async () => {
    await fresh();
    await desk.write('Taken', SMALL);
    await page.keyboard.press('F9');
    const opener = page.getByRole('button', { name: 'Rename Small Song' });
    await opener.focus();
    await page.keyboard.press('Enter');
    const dialog = page.getByRole('dialog', { name: 'Rename “Small Song”' });
    const field = dialog.getByLabel('New name');
    assert.equal(await field.inputValue(), 'Small Song');
    assert.equal(await field.evaluate((one) => one === document.activeElement), true);
    await page.keyboard.press('F2'); // the sheet does not open over it
    for (const [name, why] of [['', 'A name is wanted.'], ['Small Song', 'That is its name already.'], ['a/b', 'A name has no slash and no backslash.'], ['.hidden', 'A name begins with no dot.'], ['Taken', 'There is a chart Taken already. Choose another name.']]) {
      await field.fill(name);
      await page.keyboard.press('Enter');
      await until(async () => (await dialog.getByRole('alert').textContent()) === why, why);
      assert.equal(await field.getAttribute('aria-invalid'), 'true');
      assert.equal(await field.evaluate((one) => one === document.activeElement), true);
    }
    await page.keyboard.press('Escape');
    await dialog.waitFor({ state: 'hidden' });
    assert.equal(await page.locator('#songs').evaluate((one) => one.open), true, 'the songs stay open');
    await until(() => opener.evaluate((one) => one === document.activeElement), 'the focus on Rename');
    await opener.press('Enter');
    await page.getByLabel('New name').fill('A New Name');
    await page.keyboard.press('Enter');
    await until(async () => (await desk.chart('A New Name')) === SMALL, 'the renamed file');
    await until(async () => (await page.evaluate(() => document.activeElement?.getAttribute('aria-label'))) === 'Rename A New Name', 'the focus goes with the song');
    assert.equal(await page.locator('#head .title').textContent(), 'A New Name');
    // Removed: after a question, and its text stays.
    await page.getByRole('button', { name: 'Remove A New Name' }).click();
    const sure = page.getByRole('dialog', { name: 'Remove “A New Name”?' });
    await sure.getByRole('button', { name: 'Leave it' }).click();
    assert.equal(await desk.chart('A New Name'), SMALL);
    await page.getByRole('button', { name: 'Remove A New Name' }).click();
    await sure.getByRole('button', { name: 'Remove' }).click();
    await until(async () => (await desk.chart('A New Name')) === '', 'the file has gone');
    await until(() => page.getByRole('button', { name: 'Rename A New Name' }).count().then((n) => n === 0), 'it is listed no more');
    await page.keyboard.press('Escape');
    await page.waitForFunction(() => document.querySelector('#head .title').textContent !== 'A New Name');
    await rm(join(desk.folder, 'Taken.stillhand'));
  });

  sitting('charts and students that come into the folder are here by themselves', async () => {
    await fresh();
    const students = () => page.locator('#choices label', { hasText: /^\s*For/ }).locator('option').allTextContents();
    assert.equal((await students()).includes('Mira'), false);
    await writeFile(join(desk.folder, 'Mira.student'), 'level 2\n');
    await writeFile(join(desk.folder, 'Bright.manner'), 'manner Bright\n');
    await until(async () => (await students()).includes('Mira'), 'the student');
    await until(async () => (await page.locator('#choices label', { hasText: /^\s*Manner/ }).locator('option').allTextContents()).includes('Bright'), 'the manner');
    await page.keyboard.press('F9');
    await page.waitForSelector('#songs .song');
    await desk.write('Beside', SMALL.replace('Small Song', 'Lately Come'));
    await page.locator('#songs .song', { hasText: 'Lately Come' }).waitFor();
    assert.equal(await page.locator('#head .title').textContent(), 'Small Song');
    for (const name of ['Mira.student', 'Bright.manner', 'Beside.stillhand']) await rm(join(desk.folder, name));
    await page.locator('#songs .song', { hasText: 'Lately Come' }).waitFor({ state: 'detached' });
    await until(async () => !(await students()).includes('Mira'), 'the student has gone');
  });

  sitting('every key of the help has a button that Tab reaches, and none is a browser’s own', async () => {
    await fresh();
    await page.keyboard.press('Shift+F9');
    const keys = await page.locator('#help tbody kbd').allTextContents();
    assert.deepEqual(keys.filter((key) => /^(Shift |Ctrl )?F(1|3|5|6|7|10|11|12)$/.test(key)), []);
    await page.keyboard.press('Escape');
    // Those keys go to the browser.
    for (const key of ['F1', 'F3', 'F6', 'F7', 'F10']) {
      const ours = await page.evaluate((name) => !document.body.dispatchEvent(new KeyboardEvent('keydown', { key: name, bubbles: true, cancelable: true })), key);
      assert.equal(ours, false, key);
    }
    await cursorAfter(page, '| Am');
    await page.keyboard.type('m');
    await page.waitForSelector('.fault-line');
    await page.keyboard.press('Escape');
    await page.locator('body').evaluate(() => document.activeElement.blur());
    const reached = new Set();
    for (let i = 0; i < 60; ++i) {
      await page.keyboard.press('Tab');
      reached.add(await page.evaluate(() => [...(document.activeElement?.childNodes ?? [])].filter((one) => one.nodeName === '#text').map((one) => one.textContent).join('').trim()));
    }
    for (const name of ['Play', 'Sheet', 'Extras', 'Keys', 'Give out', 'Earlier', 'Small Song', 'Help', 'Lay out', 'Undo', 'Redo', 'All']) assert.ok(reached.has(name), `${name}: ${[...reached].join(', ')}`);
    await page.getByRole('button', { name: 'All', exact: true }).click();
    await page.locator('.cm-panel-lint').waitFor();
    await page.getByRole('button', { name: 'Undo' }).click();
    await kept((text) => text === SMALL);
    await page.getByRole('button', { name: 'Redo' }).click();
    await kept((text) => text.includes('Amm'));
    await page.getByRole('button', { name: 'Undo' }).click();
    await cursorAfter(page, '| C | F | G | C |');
    await page.keyboard.type('   ');
    await page.keyboard.press('Shift+F2');
    await kept((text) => text.includes('| C | F | G | C |\n'));
    // Where a mistake is, F8 still gives out.
    await page.keyboard.press('F8');
    await page.waitForSelector('#giveout fieldset');
  });

  sitting('a song is begun, and an earlier version of it comes back', async () => {
    await fresh();
    await page.keyboard.press('F9');
    await page.getByLabel('New song').fill('Second Song');
    await page.getByRole('button', { name: 'Begin' }).click();
    await kept((text) => text.includes('title      Second Song'), 'Second Song');
    await until(async () => (await page.locator('#head .title').textContent()) === 'Second Song', 'the new song’s name');
    await cursorAfter(page, '| C | F');
    await page.keyboard.type('maj7');
    await kept((text) => text.includes('Fmaj7'), 'Second Song');
    await page.getByRole('button', { name: 'Earlier' }).click();
    await page.locator('#earlier .song').last().click(); // the first text: what was typed may have been saved in parts
    await page.getByRole('button', { name: 'Go back to this one' }).click();
    await kept((text) => text.includes('| C | F | G | C |'), 'Second Song');
  });
});
