// What of WCAG 2.2 AA axe does not judge: sizes of targets, contrast of the marks, reflow, text spacing, forced colours, motion, focus, print.
import assert from 'node:assert/strict';
import { after, before, describe, test } from 'node:test';
import { readFile, writeFile } from 'node:fs/promises';
import { missing, openDesk } from './desk.mjs';
import { SIZES, VIEWS } from './views.mjs';

const demo = await readFile(new URL('../../examples/lamps-along-the-quay.stillhand', import.meta.url), 'utf8');

// In the page. Contrast of two colours (WCAG 2.2, "relative luminance").
const tools = () => {
  const parts = (colour) => /rgba?\(([^)]+)\)/.exec(colour)[1].split(/[ ,/]+/).map(Number);
  const luminance = (colour) => {
    const [r, g, b] = parts(colour).map((one) => (one / 255 <= 0.04045 ? one / 255 / 12.92 : ((one / 255 + 0.055) / 1.055) ** 2.4));
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  globalThis.contrast = (a, b) => {
    const [light, dark] = [luminance(a), luminance(b)].sort((x, y) => y - x);
    return (light + 0.05) / (dark + 0.05);
  };
  globalThis.style = (selector, property) => {
    const found = document.querySelector(selector);
    if (!found) throw new Error(`${selector} is not there`);
    return getComputedStyle(found)[property];
  };
};

describe('wcag', { skip: missing() || false }, () => {
  let desk;
  before(async () => {
    desk = await openDesk({ Lamps: demo });
  });
  after(async () => desk?.close());
  // The song as it was: the page before it has saved what it had.
  const fresh = async (viewport, more) => {
    await new Promise((wake) => setTimeout(wake, 500));
    await desk.write('Lamps', demo);
    return desk.page(viewport, more);
  };
  const shot = async (page, name) => {
    if (process.env.SHOTS) await page.screenshot({ path: `${process.env.SHOTS}/${name.replaceAll(' ', '-')}.png` });
  };
  // Each view in turn, over the song as it was.
  const each = async (page, look) => {
    for (const [name, show] of Object.entries(VIEWS)) {
      await show(page);
      await look(name);
      while (await page.locator('dialog[open]').count()) await page.keyboard.press('Escape');
    }
    await page.context().close();
    assert.deepEqual(desk.faults.splice(0), [], 'the browser reports faults');
  };

  for (const [size, width, height] of SIZES) {
    test(`targets of 24 px, and each name is a whole one: ${size}`, { timeout: 600_000 }, async () => {
      const found = [];
      const page = await fresh({ width, height });
      await each(page, async (view) => {
        const small = await page.evaluate(() => {
          const scope = [...document.querySelectorAll('dialog[open]')].at(-1) ?? document.body;
          const out = [];
          // Keys of the keyboard: the same can be typed, as `shape` in the chart (2.5.8, "equivalent").
          for (const one of scope.querySelectorAll('button, a[href], input, select, textarea, summary, [role=button]:not(.keyboard *)')) {
            if (one.disabled || !one.checkVisibility()) continue;
            let { width, height } = one.getBoundingClientRect();
            const label = one.closest('label');
            if (label && /checkbox|radio/.test(one.type)) ({ width, height } = label.getBoundingClientRect());
            if (width < 23.9 || height < 23.9) out.push(`${one.textContent.trim().slice(0, 30) || one.name || one.type}: ${width.toFixed(0)} × ${height.toFixed(0)}`);
          }
          return out;
        });
        found.push(...small.map((one) => `${view}: ${one}`));
      });
      assert.deepEqual(found, []);
    });

    test(`what has the focus is seen: ${size}`, { timeout: 600_000 }, async () => {
      const page = await fresh({ width, height });
      await VIEWS['a chord chosen'](page);
      await page.locator('#head .title').focus();
      await page.keyboard.press('Shift+Tab');
      const found = [];
      const order = [];
      for (let i = 0; i < 60; ++i) {
        await page.keyboard.press('Tab');
        await page.evaluate(() => new Promise((drawn) => requestAnimationFrame(() => requestAnimationFrame(drawn))));
        const at = await page.evaluate(() => {
          const one = document.activeElement;
          if (!one || one === document.body) return null;
          const box = one.getBoundingClientRect();
          const seen = [[0.5, 0.5], [0.05, 0.1], [0.95, 0.1], [0.05, 0.9], [0.95, 0.9]].some(([x, y]) => {
            const there = document.elementFromPoint(box.left + x * box.width, box.top + y * box.height);
            return there && (one.contains(there) || there.contains(one) === (there.tagName === 'LABEL'));
          });
          const style = getComputedStyle(one);
          const marked = (style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2) || one.matches('.cm-content') || (one.matches('.keyboard *') && parseFloat(style.strokeWidth) > 1.5);
          const name = one.getAttribute('aria-label') || one.textContent.trim() || one.type;
          return { name: name.replace(/\s+/g, ' ').slice(0, 40), part: one.closest('#head, #choices, #column, #dock')?.id, seen, marked };
        });
        if (!at || (order.length > 1 && at.part === 'head' && order.at(-1) === 'dock')) break; // all round
        order.push(at.part);
        if (!at.seen) found.push(`${at.name}: hidden`);
        if (!at.marked) found.push(`${at.name}: not marked`);
      }
      assert.ok(order.length > 15, `${order.length} stops`);
      assert.deepEqual(order.filter((part, i) => part !== order[i - 1]), ['head', 'choices', 'column', 'dock'], 'from above to below');
      await page.context().close();
      assert.deepEqual(found, []);
    });
  }

  for (const colorScheme of ['light', 'dark']) {
    test(`contrast of all marks: ${colorScheme}`, { timeout: 120_000 }, async () => {
      const page = await fresh({ width: 1280, height: 800 }, { colorScheme });
      await VIEWS['a chord chosen'](page);
      await page.locator('.keyboard.big [data-key="60"]').click();
      await page.evaluate(tools);
      const ratios = await page.evaluate(() => {
        const { contrast, style } = globalThis;
        // Marks that this song has not, drawn for the moment.
        const extra = document.createElement('div');
        extra.innerHTML = `<svg class="keyboard"><g class="keys"><rect class="white"/><rect class="black"/></g><g class="outline"><circle class=""/><circle class="on-black"/></g>
          <g class="marks"><g class="mark left on-black"><rect class="body"/><text>1</text></g><g class="mark left"><rect class="body"/><text>1</text></g><g class="mark right on-black stays"><circle class="ring"/><circle class="body"/><text>1</text></g>
          <g class="mark right stays"><circle class="ring"/><circle class="body"/><text>1</text></g></g></svg><div class="hands-counts"><i></i><i class="full"></i></div>`;
        document.querySelector('#column').append(extra);
        const white = style('.keyboard .white', 'fill');
        const black = style('.keyboard .black', 'fill');
        const paper = getComputedStyle(document.documentElement).backgroundColor;
        const page = style('#dock', 'backgroundColor');
        const now = getComputedStyle(document.documentElement).getPropertyValue('--now');
        const probe = document.createElement('i');
        probe.style.color = now;
        extra.append(probe);
        const lit = getComputedStyle(probe).color;
        const out = {
          'finger on the disc (4.5)': contrast(style('.mark.right text', 'fill'), style('.mark.right .body', 'fill')),
          'finger in the square (4.5)': contrast(style('.mark.left text', 'fill'), style('.mark.left .body', 'fill')),
          'disc on a white key': contrast(style('.mark.right .body', 'fill'), white),
          'ring of a finger that stays, white key': contrast(style('.mark.right.stays:not(.on-black) .ring', 'stroke'), white),
          'disc’s white ring on a black key': contrast(style('.mark.right.on-black .body', 'stroke'), black),
          'disc’s white ring and the disc': contrast(style('.mark.right.on-black .body', 'stroke'), style('.mark.right.on-black .body', 'fill')),
          'ring of a finger that stays, black key': contrast(style('.mark.right.on-black .ring', 'stroke'), black),
          'square’s line on a white key': contrast(style('.mark.left:not(.on-black) .body', 'stroke'), white),
          'square on a black key': contrast(style('.mark.left.on-black .body', 'fill'), black),
          'shape to come, white key': contrast(style('.outline circle:not(.on-black)', 'stroke'), white),
          'shape to come, black key': contrast(style('.outline .on-black', 'stroke'), black),
          'black key beside white key': contrast(white, black),
          'chosen key’s line': contrast(style('.big [aria-pressed=true]', 'stroke'), white),
          'name of a C (4.5)': contrast(style('.keyboard .c:not(.middle)', 'fill'), white),
          'name of middle C (4.5)': contrast(style('.keyboard .middle', 'fill'), white),
          'empty count on paper': contrast(style('.hands-counts i:not(.full)', 'borderTopColor'), paper),
          'full count on paper': contrast(style('.hands-counts i.full', 'backgroundColor'), paper),
          'full count in the bar that sounds': contrast(style('.hands-counts i.full', 'backgroundColor'), lit),
          'empty count in the bar that sounds': contrast(style('.hands-counts i:not(.full)', 'borderTopColor'), lit),
          'frame of the chosen chord': contrast(/rgb\([^)]*\)/.exec(style('.hands-chord.chosen', 'boxShadow'))[0], paper),
          'bass note in its square (4.5)': contrast(style('.square text', 'fill'), style('.square rect', 'fill')),
          'square beside the bass on paper': contrast(style('.square rect', 'stroke'), paper),
          'what moves (4.5)': contrast(style('.hands-moved', 'color'), paper),
          'remarks below the keyboard (4.5)': contrast(style('.chord-head p', 'color'), page),
        };
        document.querySelector('.strong').focus();
        extra.remove();
        return out;
      });
      console.log(`${colorScheme}: ${Object.entries(ratios).map(([what, ratio]) => `${what} ${ratio.toFixed(1)}`).join('; ')}`);
      for (const [what, ratio] of Object.entries(ratios)) assert.ok(ratio >= (what.includes('4.5') ? 4.5 : 3), `${what}: ${ratio.toFixed(2)}`);
      // Where the focus is on a key.
      await page.locator('.keyboard.big [role=button][tabindex="0"]').focus();
      for (const [steps, kind] of [[2, 'white'], [1, 'black']]) {
        for (let i = 0; i < steps; ++i) await page.keyboard.press('ArrowRight');
        const ratio = await page.evaluate(() => {
          const one = document.activeElement;
          return [one.getAttribute('class'), globalThis.contrast(getComputedStyle(one).stroke, getComputedStyle(one).fill), parseFloat(getComputedStyle(one).strokeWidth)];
        });
        assert.equal(ratio[0], kind);
        assert.ok(ratio[1] >= 3 && ratio[2] > 1.5, `focus on a ${kind} key: ${ratio}`);
      }
      await page.context().close();
    });
  }

  for (const [name, width, height] of [['320 px', 320, 640], ['400 % of 1280 × 1024', 320, 256], ['200 % of 1280 × 800', 640, 400]]) {
    test(`nothing is wider than the window: ${name}`, { timeout: 600_000 }, async () => {
      const found = [];
      const page = await fresh({ width, height });
      await each(page, async (view) => {
        const wide = await page.evaluate(() => {
          const out = [];
          const room = document.documentElement.clientWidth;
          if (document.documentElement.scrollWidth > room) out.push(`the page, ${document.documentElement.scrollWidth} px`);
          for (const one of document.querySelectorAll('dialog[open], #column')) if (one.scrollWidth > one.clientWidth + 1) out.push(`${one.id || one.className}, ${one.scrollWidth} of ${one.clientWidth} px`);
          return out;
        });
        found.push(...wide.map((one) => `${view}: ${one}`));
        await shot(page, `${width}x${height} ${view}`);
      });
      assert.deepEqual(found, []);
    });
  }

  test('with wider text nothing is lost', { timeout: 600_000 }, async () => {
    const found = [];
    const page = await fresh({ width: 820, height: 1180 });
    await page.evaluate(() => {
      const sheet = new CSSStyleSheet(); // WCAG 2.2, 1.4.12
      sheet.replaceSync('* { line-height: 1.5 !important; letter-spacing: .12em !important; word-spacing: .16em !important; } p { margin-bottom: 2em !important; }');
      document.adoptedStyleSheets = [...document.adoptedStyleSheets, sheet];
    });
    await each(page, async (view) => {
      const lost = await page.evaluate(() => {
        const out = [];
        if (document.documentElement.scrollWidth > innerWidth) out.push(`the page is ${document.documentElement.scrollWidth} px wide`);
        const scope = [...document.querySelectorAll('dialog[open]')].at(-1) ?? document.body;
        for (const one of scope.querySelectorAll('button, label, p, h1, h2, h3, td, th, legend, .hands-chord, .hands-bar')) {
          if (!one.checkVisibility() || one.matches('.sr')) continue;
          const cut = one.scrollWidth > one.clientWidth + 2 || one.scrollHeight > one.clientHeight + 2;
          if (cut && getComputedStyle(one).overflow !== 'visible' && getComputedStyle(one).display !== 'inline') out.push(one.textContent.trim().slice(0, 40));
        }
        return out;
      });
      found.push(...lost.map((one) => `${view}: ${one}`));
      await shot(page, `spacing ${view}`);
    });
    assert.deepEqual(found, []);
  });

  test('with forced colours hands and counts are told by form, and buttons have their lines', { timeout: 120_000 }, async () => {
    const page = await fresh({ width: 1280, height: 800 }, { forcedColors: 'active' });
    await VIEWS['a chord chosen'](page);
    await page.getByRole('button', { name: /^Play/ }).click();
    await page.waitForSelector('.hands-bar.now i.full');
    await page.evaluate(tools);
    const ratios = await page.evaluate(() => {
      const { contrast, style } = globalThis;
      const behind = (selector) => {
        for (let one = document.querySelector(selector); one; one = one.parentElement) {
          const { backgroundColor } = getComputedStyle(one);
          if (!/, 0\)$/.test(backgroundColor)) return backgroundColor;
        }
        return getComputedStyle(document.documentElement).backgroundColor;
      };
      return {
        'a disc': contrast(style('.mark.right:not(.on-black) .body', 'fill'), style('.keyboard .white', 'fill')),
        'a full count': contrast(style('.hands-counts i.full', 'backgroundColor'), behind('.hands-bar.now .hands-counts')),
        'an empty count': contrast(style('.hands-counts i:not(.full)', 'borderTopColor'), behind('.hands-bar:not(.now) .hands-counts')),
        'a chord’s name in the bar that sounds': contrast(style('.hands-bar.now .hands-name', 'color'), behind('.hands-bar.now .hands-name')),
        'a button’s line': contrast(style('#head nav button', 'borderTopColor'), behind('#head nav')),
      };
    });
    await shot(page, 'forced-colours');
    for (const [what, ratio] of Object.entries(ratios)) assert.ok(ratio >= 3, `${what}: ${ratio.toFixed(2)}`);
    await page.context().close();
  });

  test('where motion is not wanted nothing moves by itself', { timeout: 120_000 }, async () => {
    const page = await fresh({ width: 1280, height: 800 }, { reducedMotion: 'reduce' });
    await page.locator('.cm-content').focus();
    await page.keyboard.press('Control+Enter');
    await page.waitForSelector('.hands-bar.now');
    const moving = await page.evaluate(() => document.getAnimations().map((one) => one.animationName ?? one.transitionProperty));
    assert.deepEqual(moving, []);
    await page.context().close();
  });

  test('every view can be printed', { timeout: 600_000 }, async () => {
    const page = await fresh({ width: 1280, height: 800 });
    await each(page, async (view) => {
      await page.emulateMedia({ media: 'print' });
      const seen = await page.evaluate(() => {
        const dialog = [...document.querySelectorAll('dialog[open]')].at(-1);
        const scope = dialog ?? document.getElementById('column');
        const inside = (one) => one.checkVisibility() && one.getBoundingClientRect().height > 0;
        return {
          text: scope.innerText.trim().length,
          pictures: [...scope.querySelectorAll('img, .hands svg')].filter(inside).length,
          tools: ['#transport', '#head nav', '#choices', '.view-body > header button'].filter((one) => [...document.querySelectorAll(one)].some(inside)),
          around: dialog && document.getElementById('desk').checkVisibility() ? 'the chart prints with it' : '',
        };
      });
      assert.ok(seen.text > 40 || seen.pictures > 0, `${view}: nothing is printed`);
      assert.deepEqual([seen.tools, seen.around], [[], ''], view);
      const pdf = await page.pdf({ preferCSSPageSize: true, format: 'A4' });
      if (process.env.SHOTS) await writeFile(`${process.env.SHOTS}/print-${view.replaceAll(' ', '-')}.pdf`, pdf);
      // A page of the sheet is a page of paper; none is empty.
      if (view === 'the sheet') assert.equal(pdf.toString('latin1').match(/\/Type\s*\/Page\b/g).length, seen.pictures);
      await page.emulateMedia({ media: 'screen' });
    });
  });
});
