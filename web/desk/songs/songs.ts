// The songs of the folder: open, begin, bring in, rename, remove; and the earlier versions of the one that is open.
import { html } from 'lit';
import type { Folder, Versions } from '../api.ts';
import { ask, chartPath, inWords, remove, saveChart, windowId } from '../server.ts';
import { now, on, set } from '../state.ts';
import * as question from '../ui/question.ts';
import { say, view } from '../ui/view.ts';
import { nameFault } from './names.ts';

let versions: Versions['versions'] = [];
let fault = '';
let open: (name: string, focus?: boolean) => Promise<void> = async () => {};
let keep: () => Promise<void> = async () => {};
let restore: (text: string) => void = () => {};

export function startSongs(opener: (name: string, focus?: boolean) => Promise<void>, replace: (text: string) => void, keeper: () => Promise<void>): void {
  keep = keeper;
  open = opener;
  restore = replace;
  on('folder', () => songs.dialog.open && draw());
  // Before the editor, which would put a file's text into the open chart.
  const holdsFile = (event: DragEvent): boolean => event.dataTransfer?.types.includes('Files') ?? false;
  window.addEventListener('dragover', (event) => holdsFile(event) && event.preventDefault(), true);
  window.addEventListener(
    'drop',
    (event) => {
      if (!holdsFile(event)) return;
      event.preventDefault();
      event.stopPropagation();
      const file = event.dataTransfer?.files[0];
      if (file) void bring(file);
    },
    true,
  );
}

const songs = view('songs', 'Songs', () => void load());
const earlier = view('earlier', 'Earlier versions', () => void loadVersions());
export const openSongs = (): void => songs.open();
export const openEarlier = (): void => earlier.open();

// What is in the folder now: told to all who show it.
let asked = 0; // an older answer does not replace a newer one
export async function readFolder(): Promise<void> {
  const mine = ++asked;
  const folder = await ask<Folder>('/api/folder').catch(() => null);
  if (folder && mine === asked && JSON.stringify(folder) !== JSON.stringify(now().folder)) set({ folder });
}
async function load(): Promise<void> {
  draw();
  await readFolder();
}

const empty = (title: string): string => `title      ${title}\nkey        C\nmeter      4/4\ntempo      80\n\nsection Verse\n| C | F | G | C |\n`;

export async function create(name: string, text: string): Promise<void> {
  fault = '';
  try {
    for (let i = 1; i < 100; ++i) {
      const wanted = i === 1 ? name : `${name} ${i}`;
      const answer = await saveChart(wanted, text, null);
      if ('error' in answer) continue;
      songs.close();
      return await open(wanted);
    }
    fault = 'There are many charts of this name; choose another.';
  } catch (reason) {
    fault = inWords(reason);
  }
  draw();
}

async function bring(file: File | { name: string; text: string }): Promise<void> {
  fault = '';
  try {
    const buffer = file instanceof File ? await file.arrayBuffer() : new TextEncoder().encode(file.text).buffer;
    let binary = '';
    const bytes = new Uint8Array(buffer as ArrayBuffer);
    for (let i = 0; i < bytes.length; i += 0x8000) binary += String.fromCharCode(...bytes.subarray(i, i + 0x8000));
    const answer = await ask<{ name: string; text: string }>('/api/import', { name: file.name, content: btoa(binary) });
    await create(answer.name || 'New song', answer.text);
  } catch (reason) {
    fault = inWords(reason);
    songs.open();
    draw();
  }
}

async function rename(name: string): Promise<void> {
  let to = name;
  const done = await question.ask({
    title: `Rename “${name}”`,
    says: 'This is the name of its file. The title on the sheet stands in the chart. What was given out stays under the old name.',
    yes: 'Rename',
    no: 'Leave it',
    field: { label: 'New name', value: name },
    async act(value) {
      const why = value === name ? 'That is its name already.' : nameFault(value);
      if (why) return why;
      to = value;
      try {
        if (now().name === name) await keep();
        await ask(`${chartPath(name)}/move`, { to, window: windowId });
        return '';
      } catch (reason) {
        return inWords(reason);
      }
    },
  });
  if (!done) return;
  say(`${name} is called ${to} now.`);
  if (now().name === name) await open(to, false);
  await load();
  // The list is in another order now: the focus goes with the song.
  for (const button of songs.dialog.querySelectorAll<HTMLElement>('.rename')) if (button.dataset['name'] === to) button.focus();
}
async function drop(name: string): Promise<void> {
  const done = await question.ask({
    title: `Remove “${name}”?`,
    says: 'Its text stays in the folder “earlier”: a new song of the same name finds it among its earlier versions.',
    yes: 'Remove',
    no: 'Leave it',
    async act() {
      try {
        await remove(chartPath(name));
        return '';
      } catch (reason) {
        return inWords(reason);
      }
    },
  });
  if (!done) return;
  say(`${name} is removed; its text is kept in the folder “earlier”.`);
  await load();
  songs.dialog.querySelector<HTMLElement>('.song')?.focus();
  if (now().name === name) window.dispatchEvent(new Event('song-gone'));
}

function draw(): void {
  const field = (event: Event, name: string): string => (new FormData(event.target as HTMLFormElement).get(name) as string).trim();
  const { folder } = now();
  songs.draw(html`
    ${fault ? html`<p class="fault" role="alert">${fault}</p>` : ''}
    <p class="note">In ${folder?.folder}</p>
    <ul class="songs">
      ${folder?.charts.map(
        (one) => html`<li>
          <button class="song" @click=${async () => { songs.close(); await open(one.name); }}><b>${one.title || one.name}</b>${one.title && one.title !== one.name ? html` <span>${one.name}</span>` : ''}</button>
          <button class="rename" data-name=${one.name} @click=${() => void rename(one.name)} aria-label="Rename ${one.name}">Rename</button>
          <button @click=${() => void drop(one.name)} aria-label="Remove ${one.name}">Remove</button>
        </li>`,
      )}
    </ul>
    <form class="row" @submit=${(e: Event) => { e.preventDefault(); const name = field(e, 'name'); if (name) void create(name.replace(/[/\\]/g, ' '), empty(name)); }}>
      <label>New song <input name="name" required maxlength="80" autocomplete="off" /></label><button>Begin</button>
    </form>
    <form class="stack" @submit=${(e: Event) => { e.preventDefault(); const text = field(e, 'pasted'); if (text) void bring({ name: 'New song.txt', text }); }}>
      <label>Paste a text with its chords over the words <textarea name="pasted" rows="5"></textarea></label><button>Make a chart of it</button>
    </form>
    <p><label>Or bring in a MusicXML, MIDI or text file <input type="file" accept=".musicxml,.xml,.mxl,.mid,.midi,.txt" @change=${(e: Event) => { const input = e.target as HTMLInputElement; const file = input.files?.[0]; input.value = ''; if (file) void bring(file); }} /></label></p>
  `);
}

async function loadVersions(): Promise<void> {
  const { name } = now();
  let wrong = '';
  versions = [];
  try {
    versions = (await ask<Versions>(`${chartPath(name)}/versions`)).versions;
  } catch (reason) {
    wrong = inWords(reason);
  }
  let shown = ''; // the id of the one that is looked at, and its text
  let text = '';
  const look = async (id: string): Promise<void> => {
    try {
      wrong = '';
      text = shown === id ? '' : (await ask<{ text: string }>(`${chartPath(name)}/versions/${id}`)).text;
      shown = shown === id ? '' : id;
    } catch (reason) {
      wrong = inWords(reason);
    }
    drawAll();
  };
  const drawAll = (): void =>
    earlier.draw(html`
      ${wrong ? html`<p class="fault" role="alert">${wrong}</p>` : ''}
      <p class="note">${versions.length ? 'Each is a text that a later one has replaced. To go back can itself be undone.' : 'There is none yet.'}</p>
      <ul class="songs">
        ${versions.slice(0, 200).map(
          (one) => html`<li>
            <button class="song" aria-expanded=${shown === one.id} @click=${() => void look(one.id)}>${one.saved.replace('T', ', ')} <span>${one.bytes} bytes</span></button>
            ${shown === one.id ? html`<div class="looked-at"><button class="strong" @click=${() => { restore(text); earlier.close(); say('The earlier version is back. Undo takes it away again.'); }}>Go back to this one</button><pre tabindex="0" aria-label="its text">${text}</pre></div>` : ''}
          </li>`,
        )}
      </ul>
    `);
  drawAll();
}
