// The tests of the page part by part, one after another: a measurement wants the machine to itself.
//
//   STILLHAND=build/release/stillhand node web/test/all.mjs
//
// PAGE=FOLDER takes the page from a folder, SHOTS=FOLDER keeps pictures of the views.
import { missing } from './desk.mjs';

const why = missing();
if (why) {
  console.log(`The desk's page is not tested: ${why}.`);
  process.exit(77);
}
for (const one of (process.env.ONLY ?? 'latency units sync sitting student axe wcag').split(' ')) await import(`./${one}_test.mjs`);
