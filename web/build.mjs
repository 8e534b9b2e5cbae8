// Builds the pages into a folder: node build.mjs OUT. Fails where one is larger than its budget.
import { build } from 'esbuild';
import { copyFile, mkdir, readFile } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { gzipSync } from 'node:zlib';

// Bytes, gzipped, all files of the page together. The student's goes into every lesson.
const PAGES = [
  { name: "the desk's page", files: ['index.html', 'desk.js', 'desk.css'], budget: 350 * 1024 },
  { name: "the student's page", files: ['student.html', 'student.js', 'student.css'], budget: 60 * 1024 },
];

const here = dirname(fileURLToPath(import.meta.url));
const out = process.argv[2];
if (!out) {
  console.error('usage: node build.mjs OUT');
  process.exit(2);
}
await mkdir(out, { recursive: true });
const built = await build({
  entryPoints: { desk: join(here, 'desk/main.ts'), student: join(here, 'student/main.ts') },
  bundle: true,
  minify: true,
  format: 'iife',
  target: ['es2022'],
  charset: 'utf8',
  legalComments: 'none',
  outdir: out,
  metafile: true,
  logLevel: 'warning',
});
// It is opened as a file, or from anywhere: nothing in it may look for the desk.
const [, student] = Object.entries(built.metafile.outputs).find(([name]) => name.endsWith('student.js'));
if (Object.keys(student.inputs).some((name) => name.endsWith('desk/server.ts'))) {
  console.error("the student's page must not know the desk's server");
  process.exit(1);
}
for (const name of ['index.html', 'desk.svg']) await copyFile(join(here, 'desk', name), join(out, name));
await copyFile(join(here, 'student', 'index.html'), join(out, 'student.html'));
for (const page of PAGES) {
  let size = 0;
  for (const file of page.files) size += gzipSync(await readFile(join(out, file))).length;
  console.log(`${page.name}: ${(size / 1024).toFixed(1)} of ${page.budget / 1024} KB gzipped`);
  if (size <= page.budget) continue;
  console.error(`${page.name} is larger than its budget`);
  process.exit(1);
}
