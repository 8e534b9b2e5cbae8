// Giving out: the whole lesson or parts of it into the folder, with progress, to be cancelled at any time.
import { html } from 'lit';
import type { Export, Part } from '../api.ts';
import { ask, bytes, inWords, Refused, remove } from '../server.ts';
import { now, request } from '../state.ts';
import { view } from '../ui/view.ts';
import { counted } from '../ui/words.ts';

const PARTS: [Part, string][] = [
  ['sheets', 'sheets (PDF)'], ['plans', 'teaching plan and practice plan'], ['page', 'the student’s page, for a tablet'], ['tracks', 'tracks to play along and practise with'],
  ['captions', 'captions, chapters, timing tables'], ['midi', 'MIDI file'], ['musicxml', 'MusicXML'], ['data', 'the lesson as data (JSON)'],
];
let job: Export | null = null;
let fault = '';
let sound: 'flac' | 'opus' = 'flac';
let calls: 'none' | 'spoken' = 'none';
let keep: () => Promise<void> = async () => {};
const giveOut = view('giveout', 'Give out', () => draw());
export const openGiveOut = (): void => giveOut.open();
export const startGiveOut = (keeper: () => Promise<void>): void => void (keep = keeper);

let last: Export | null = null; // told before the answer to its request had come
export function hearExport(data: unknown): void {
  const told = data as Export;
  last = told;
  if (job && told.id === job.id) {
    job = told;
    if (giveOut.dialog.open) draw();
  }
}

async function start(what: Part[]): Promise<void> {
  fault = '';
  try {
    await keep();
    job = await ask<Export>('/api/exports', { ...request(), what, sound: [sound], calls });
    if (last?.id === job.id) job = last;
    void watch(job.id);
  } catch (reason) {
    fault = inWords(reason);
  }
  draw();
}
// The events may have been missed while their stream was broken.
async function watch(id: string): Promise<void> {
  while (job?.id === id && job.state === 'running') {
    await new Promise((wake) => setTimeout(wake, 3000));
    const found = await ask<Export>(`/api/exports/${id}`).catch((reason: unknown) => (reason instanceof Refused ? reason : null));
    if (job?.id !== id || job.state !== 'running' || found === null) continue;
    if (found instanceof Refused) {
      fault = inWords(found); // the desk has been started anew and knows nothing of it
      job = null;
    } else job = found;
    if (giveOut.dialog.open) draw();
  }
}
async function cancel(): Promise<void> {
  if (!job) return;
  try {
    job = await remove<Export>(`/api/exports/${job.id}`);
  } catch (reason) {
    fault = inWords(reason);
  }
  draw();
}
async function fetchFile(name: string): Promise<void> {
  if (!job) return;
  try {
    const url = URL.createObjectURL(new Blob([await bytes(`/api/exports/${job.id}/files/${name.split('/').map(encodeURIComponent).join('/')}`)]));
    const link = document.createElement('a');
    link.href = url;
    link.download = name.split('/').pop() ?? name;
    link.click();
    setTimeout(() => URL.revokeObjectURL(url), 10_000);
  } catch (reason) {
    fault = inWords(reason);
    draw();
  }
}

type Made = Export['files'];
// What is handed out comes first, and then the rest.
const HANDED_OUT = ['page.html', 'sheet.pdf', 'practice.pdf', 'plan.pdf'];
const first = (of: Export): Made => HANDED_OUT.flatMap((name) => of.files.filter((file) => file.name === name));
const rest = (of: Export): Made => of.files.filter((file) => !HANDED_OUT.includes(file.name));
const list = (files: Made) =>
  html`<ul class="files">${files.map((file) => html`<li><button class="plain" @click=${() => void fetchFile(file.name)}>${file.name}</button> <span>${Math.max(1, Math.round(file.bytes / 1024))} KB</span></li>`)}</ul>`;

function draw(): void {
  const running = job?.state === 'running';
  giveOut.draw(html`
    <p><button class="strong large" ?disabled=${running} @click=${() => void start([])}>Everything for ${now().name}</button></p>
    <form class="stack" @submit=${(e: Event) => { e.preventDefault(); const wanted = new FormData(e.target as HTMLFormElement).getAll('part') as Part[]; if (wanted.length) void start(wanted); }}>
      <fieldset><legend>or only</legend>${PARTS.map(([part, label]) => html`<label><input type="checkbox" name="part" value=${part} /> ${label}</label>`)}</fieldset>
      <button ?disabled=${running}>Make these</button>
    </form>
    <p><label>Sound of the tracks
      <select @change=${(e: Event) => (sound = (e.target as HTMLSelectElement).value as typeof sound)}>
        <option value="flac">FLAC: loses nothing, plays nearly everywhere</option><option value="opus">Opus: a quarter of the room, for sending</option>
      </select></label>
      <label><input type="checkbox" .checked=${calls === 'spoken'} @change=${(e: Event) => (calls = (e.target as HTMLInputElement).checked ? 'spoken' : 'none')} /> a voice calls the counts and each next chord (in English)</label></p>
    ${fault ? html`<p class="fault" role="alert">${fault}</p>` : ''}
    ${job
      ? html`<section aria-label="what is being made">
          ${running ? html`<p><label>${job.doing} <progress max="100" .value=${job.percent}></progress> ${job.percent} %</label> <button @click=${() => void cancel()}>Cancel</button></p>` : ''}
          <p aria-live="polite">${job.state === 'done' ? `Done: ${counted(job.files.length, 'file')} in ${job.folder}` : job.state === 'cancelled' ? `Cancelled; what was whole is in ${job.folder}` : job.state === 'failed' ? '' : ''}</p>
          ${job.problem ? html`<p class="fault" role="alert">${job.problem.error}. ${job.problem.remedy}</p>` : ''}
          ${job.state === 'running' ? '' : html`${list(first(job))}${rest(job).length ? html`<details><summary>${counted(rest(job).length, 'more file', 'more files')}</summary>${list(rest(job))}</details>` : ''}`}
        </section>`
      : ''}
  `);
}
