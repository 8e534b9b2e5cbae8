// Builds the desk's page into a folder: node build.mjs OUT. Fails where it is larger than its budget.
import { build } from 'esbuild';
import { copyFile, mkdir, readFile } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { gzipSync } from 'node:zlib';

const BUDGET = 350 * 1024; // bytes, gzipped, all files together

const here = dirname(fileURLToPath(import.meta.url));
const out = process.argv[2];
if (!out) {
  console.error('usage: node build.mjs OUT');
  process.exit(2);
}
await mkdir(out, { recursive: true });
await build({
  entryPoints: { desk: join(here, 'desk/main.ts') },
  bundle: true,
  minify: true,
  format: 'iife',
  target: ['es2022'],
  charset: 'utf8',
  legalComments: 'none',
  outdir: out,
  logLevel: 'warning',
});
for (const name of ['index.html', 'desk.svg']) await copyFile(join(here, 'desk', name), join(out, name));
let size = 0;
for (const name of ['index.html', 'desk.js', 'desk.css']) size += gzipSync(await readFile(join(out, name))).length;
console.log(`page: ${(size / 1024).toFixed(1)} of ${BUDGET / 1024} KB gzipped`);
if (size > BUDGET) {
  console.error('the page is larger than its budget');
  process.exit(1);
}
