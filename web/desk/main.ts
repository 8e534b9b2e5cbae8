// The desk: opens a chart, keeps it, has it arranged at every key stroke, and puts the parts of the page together.
import '../look/common.css';
import './look/desk.css';
import { html, render } from 'lit';
import { redo, undo } from '@codemirror/commands';
import type { Arranged, Chart, Choices, Folder } from './api.ts';
import { openExtras, startExtras } from './extras/extras.ts';
import { openGiveOut, startGiveOut, hearExport } from './giveout/giveout.ts';
import { startHearing } from './hear/transport.ts';
import { openHelp } from './help/help.ts';
import { Editor } from './editor/editor.ts';
import { merged } from './editor/merge.ts';
import { openKeys, startKeys } from './keys/keys.ts';
import { openSheet } from './sheet/sheet.ts';
import { create, openEarlier, openSongs, readFolder, startSongs } from './songs/songs.ts';
import { startChoices } from './choices/choices.ts';
import { startDock } from './chord/dock.ts';
import { startMidi } from './midi/midi.ts';
import { ask, Gone, inWords, listen, readChart, Refused, saveChart, windowId } from './server.ts';
import { now, on, request, set } from './state.ts';
import { say } from './ui/view.ts';
import { counted } from './ui/words.ts';

const root = document.getElementById('desk')!;
render(
  html`
    <header id="head"></header>
    <section id="choices" aria-label="how it is arranged"></section>
    <main id="column">
      <div id="asked"></div>
      <div id="faults"></div>
      <div id="editor"></div>
    </main>
    <section id="dock" aria-label="keyboard">
      <div id="transport"></div>
      <div id="dock-keys"></div>
      <div id="dock-chord"></div>
    </section>
    <p id="faults-said" class="sr" role="status"></p>
    <p id="said" class="said" role="status"></p>
  `,
  root,
);

// ---- arranging at every key stroke: one request under way, the newest text next

const timing: number[] = []; // ms from a key stroke to its hands on the screen
(window as unknown as { deskTiming: number[] }).deskTiming = timing;
let underWay = false;
let waiting = false;
let struck = 0;

async function rearrange(): Promise<void> {
  if (!now().name) return;
  if (underWay) {
    waiting = true;
    return;
  }
  underWay = true;
  const begun = struck;
  const text = now().text;
  try {
    const arranged = await ask<Arranged>('/api/arrange', request());
    if (now().text === text) {
      set({ arranged, ...(arranged.lesson ? { lesson: arranged.lesson } : {}) });
      editor.show(arranged);
      requestAnimationFrame(() => setTimeout(() => begun && timing.push(performance.now() - begun), 0));
    } else {
      waiting = true;
    }
  } catch (reason) {
    if (reason instanceof Refused && reason.status === 401) lost('This page is not known to the desk.');
    else if (!(reason instanceof Gone)) say(inWords(reason));
  }
  underWay = false;
  if (waiting) {
    waiting = false;
    void rearrange();
  }
}

// ---- keeping

let base: { revision: string; text: string } = { revision: '', text: '' };
let saving = false;
let asking = false; // which of two texts shall stand: nothing is saved before the answer
let saved: Promise<void> = Promise.resolve(); // the save under way has its answer
let timer = 0;

// A text that the desk has not got yet, kept by the browser: for a page that ends before it is saved. One for each song.
interface Draft {
  text: string;
  base: string; // what the desk had when it was written
}
const draftKey = (name: string): string => `stillhand-draft:${name}`;
function writeDraft(): void {
  try {
    localStorage.setItem(draftKey(now().name), JSON.stringify({ text: now().text, base: base.text } satisfies Draft));
  } catch {
    // No room is left for it: the desk keeps the text all the same.
  }
}
function readDraft(name: string): Draft | null {
  try {
    const draft = JSON.parse(localStorage.getItem(draftKey(name)) ?? 'null') as Partial<Draft> | null;
    return typeof draft?.text === 'string' && typeof draft.base === 'string' ? { text: draft.text, base: draft.base } : null;
  } catch {
    return null;
  }
}

function changed(): void {
  struck = performance.now();
  set({ keeping: 'keeping' });
  writeDraft();
  window.clearTimeout(timer);
  timer = window.setTimeout(() => void keep(), 300);
  void rearrange();
}

async function keep(last = false): Promise<void> {
  window.clearTimeout(timer);
  const { name, text } = now();
  if (asking) return;
  if (!name || saving || text === base.text) {
    if (text === base.text) {
      set({ keeping: 'kept' });
      if (name) localStorage.removeItem(draftKey(name));
    }
    return;
  }
  saving = true;
  let whenDone = (): void => {};
  saved = new Promise((done) => (whenDone = done));
  try {
    const answer = await saveChart(name, text, base.revision || null, last);
    saving = false;
    whenDone();
    if (name !== now().name) return;
    if ('error' in answer) return settle(answer.text, answer.revision);
    base = { revision: answer.revision, text };
    if (now().text === text) {
      set({ keeping: 'kept' });
      localStorage.removeItem(draftKey(name));
    } else void keep();
  } catch (reason) {
    saving = false;
    whenDone();
    if (now().keeping !== 'not kept') say(inWords(reason));
    set({ keeping: 'not kept', trouble: inWords(reason) });
    timer = window.setTimeout(() => void keep(), 1500);
  }
}

// All that has been typed, also while a save was under way.
async function kept(): Promise<void> {
  while (saving) await saved;
  await keep();
}

// Another window or program has saved in the meantime.
function settle(theirs: string, revision: string | null): void {
  const mine = now().text;
  const both = revision === null ? null : merged(base.text, mine, theirs);
  if (both !== null) {
    base = { revision: revision ?? '', text: theirs };
    editor.replace(both);
    if (both === theirs) set({ keeping: 'kept' });
    say('Another window has changed this song too: both changes are in it now.');
    void keep();
    return;
  }
  asking = true;
  const decide = (keepMine: boolean): void => {
    render(html``, document.getElementById('asked')!);
    asking = false;
    base = { revision: revision ?? '', text: theirs };
    editor.view.focus();
    if (!keepMine) editor.replace(theirs);
    void keep();
  };
  render(
    html`<div class="asked" role="group" aria-label="two texts">
      <p role="alert">${revision === null ? 'The file of this song has gone from the folder.' : 'This song has been changed elsewhere in the same place.'} Which text shall stand? The other can be had back: yours by undo, the other among the earlier versions.</p>
      <button class="strong" @click=${() => decide(true)}>Keep mine</button>
      ${revision === null ? '' : html`<button @click=${() => decide(false)}>Take the other</button>`}
    </div>`,
    document.getElementById('asked')!,
  );
}

document.addEventListener('visibilitychange', () => document.visibilityState === 'hidden' && void keep(true));
window.addEventListener('pagehide', () => void keep(true));
window.addEventListener('blur', () => void keep());

// ---- the parts

const editor = new Editor(document.getElementById('editor')!, changed);
const replace = (text: string): void => editor.replace(text);

async function open(name: string, focus = true): Promise<void> {
  await kept();
  let chart: Chart;
  try {
    chart = await readChart(name);
  } catch (reason) {
    say(inWords(reason));
    return openSongs();
  }
  asking = false; // of the song before: its draft is kept, and asks again
  render(html``, document.getElementById('asked')!);
  base = { revision: chart.revision, text: chart.text };
  localStorage.setItem('stillhand-last', name);
  document.title = `${name} – Stillhand`;
  set({ name, text: chart.text, choices: chart.choices as Choices, lesson: null, arranged: null, chosen: null, keeping: 'kept' });
  const draft = readDraft(name);
  editor.load(chart.text);
  if (draft && draft.text !== chart.text) {
    base = { revision: chart.revision, text: draft.base };
    editor.replace(draft.text);
    if (draft.base !== chart.text) settle(chart.text, chart.revision);
  }
  await rearrange();
  if (focus) editor.view.focus();
}

startDock(replace);
startChoices(() => void rearrange());
startSongs(open, replace, kept);
startExtras(replace, (line) => editor.goTo(line));
startKeys(replace);
startGiveOut(kept);
startHearing();
startMidi();

on('arranged', (after) => {
  // While one types, most mistakes are words that are not whole yet: it is said when the keys have rested.
  window.clearTimeout(faultTimer);
  faultTimer = window.setTimeout(sayFaults, 1500);
  const errors = after.arranged?.diagnostics.filter((one) => one.severity === 'error') ?? [];
  const first = errors[0];
  render(
    errors.length && first
      ? html`<button class="fault-all" @click=${() => editor.listFaults()}>All</button><button class="fault-line" @click=${() => editor.goTo(first.line)}>${counted(errors.length, 'mistake')}: line ${first.line}, ${first.message}.${after.lesson ? ' The hands are those of the text before it.' : ''}</button>`
      : html``,
    document.getElementById('faults')!,
  );
});
let faultTimer = 0;
function sayFaults(): void {
  const errors = now().arranged?.diagnostics.filter((one) => one.severity === 'error') ?? [];
  const text = errors[0] ? `${counted(errors.length, 'mistake')}: line ${errors[0].line}, ${errors[0].message}` : '';
  const region = document.getElementById('faults-said')!;
  if (region.textContent !== text) region.textContent = text;
}

function drawHead(): void {
  const { name, keeping, trouble, arranged } = now();
  render(
    html`
      <h1><button class="title" @click=${openSongs} aria-label=${name ? `Songs; open is ${name}` : 'Stillhand: songs'}>${name || 'Stillhand'}</button></h1>
      <p class="keeping ${keeping === 'not kept' ? 'fault' : ''}">${keeping === 'kept' ? (arranged?.summary ?? '') : keeping === 'keeping' ? 'keeping …' : `not kept yet. ${trouble}`}</p>
      <nav aria-label="views">
        <button @click=${openSheet}>Sheet <kbd>F2</kbd></button>
        <button @click=${openExtras}>Extras <kbd>F4</kbd></button>
        <button @click=${openKeys}>Keys</button>
        <button @click=${openGiveOut}>Give out <kbd>F8</kbd></button>
        <button @click=${openEarlier}>Earlier</button>
        <button @click=${openHelp}>Help</button>
      </nav>
      <div id="change" role="group" aria-label="the chart">
        <button class="plain" @click=${() => undo(editor.view)}>Undo</button>
        <button class="plain" @click=${() => redo(editor.view)}>Redo</button>
        <button class="plain" @click=${() => void format()}>Lay out</button>
      </div>
    `,
    document.getElementById('head')!,
  );
}
for (const part of ['name', 'keeping', 'arranged'] as const) on(part, drawHead);
drawHead();

async function format(): Promise<void> {
  try {
    replace((await ask<{ text: string }>('/api/format', { name: now().name, text: now().text })).text);
  } catch (reason) {
    say(inWords(reason));
  }
}

// None of the keys that a browser needs itself: F1, F3, F5 to F7, F10 to F12 and those with Alt.
const ACTS: Record<string, () => void> = {
  'F2': openSheet, 'Shift F2': () => void format(), 'F4': openExtras, 'Shift F4': openKeys,
  'F8': openGiveOut, 'Shift F8': openEarlier, 'F9': openSongs, 'Shift F9': openHelp,
};
document.addEventListener('keydown', (event) => {
  if (document.querySelector('dialog.question[open]') || (document.querySelector('dialog[open]') && (event.key !== 'F2' || event.shiftKey))) return;
  if (event.key === 'Escape' && (event.target as HTMLElement).closest('#dock, #head, #choices, .hands')) {
    event.preventDefault();
    editor.view.focus();
    return;
  }
  const inEditor = document.activeElement?.closest('.cm-editor');
  const isUndo = !inEditor && (event.ctrlKey || event.metaKey) && event.key.toLowerCase() === 'z' && !(event.target instanceof HTMLInputElement || event.target instanceof HTMLTextAreaElement);
  if (isUndo) {
    event.preventDefault();
    (event.shiftKey ? redo : undo)(editor.view);
    return;
  }
  const run = event.ctrlKey || event.altKey || event.metaKey ? undefined : ACTS[`${event.shiftKey ? 'Shift ' : ''}${event.key}`];
  if (!run) return;
  event.preventDefault();
  run();
});

// ---- what happens elsewhere

function lost(why: string): void {
  render(html`<p class="asked" role="alert">${why} Open the address that <code>stillhand desk</code> printed.</p>`, document.getElementById('asked')!);
}

listen(
  (kind, data) => {
    if (kind === 'chart') {
      const event = data as { name: string; revision: string | null; window: string };
      if (event.name !== now().name || event.window === windowId || event.revision === base.revision || event.revision === null) return;
      void readChart(event.name).then((chart) => {
        if (chart.name !== now().name || chart.revision === base.revision) return;
        if (now().text !== base.text) return settle(chart.text, chart.revision);
        base = { revision: chart.revision, text: chart.text };
        editor.replace(chart.text);
        set({ keeping: 'kept' });
        say('This song was changed elsewhere; here is the new text.');
      });
    } else if (kind === 'folder') {
      void readFolder();
    } else if (kind === 'export') {
      hearExport(data);
    } else if (kind === 'choices') {
      const event = data as { name: string; choices: Choices };
      if (event.name !== now().name || JSON.stringify(event.choices) === JSON.stringify(now().choices)) return;
      set({ choices: event.choices });
      void rearrange();
    }
  },
  (there) => {
    if (!there) return set({ keeping: now().text === base.text ? 'kept' : 'not kept', trouble: inWords(new Gone()) });
    if (now().name) void keep();
    void readFolder(); // what was told while nobody listened
  },
);

// ---- the first screen

async function begin(): Promise<void> {
  let folder: Folder;
  try {
    folder = await ask<Folder>('/api/folder');
    set({ folder });
  } catch (reason) {
    return lost(inWords(reason));
  }
  const last = localStorage.getItem('stillhand-last');
  const wanted = folder.charts.find((one) => one.name === last) ?? folder.charts[0];
  if (wanted) return open(wanted.name);
  const demo = await ask<{ name: string; text: string }>('/api/demo');
  await create(demo.name, demo.text);
  teach();
}

// Three things to try, in the empty folder's first song.
function teach(): void {
  const done = new Set<number>();
  const draw = (): void => {
    render(
      html`<div class="teach">
        <p>This song is yours to play with. Three things to try:</p>
        <ol>
          ${['Change a chord: put the cursor behind the first D in the verse and type m.', 'Click the hands of a G below a line: see its other shapes, and pin one.', 'Press F2: that is the sheet for your student.'].map((text, i) => html`<li class=${done.has(i) ? 'done' : ''}>${done.has(i) ? '✓ ' : ''}${text}</li>`)}
        </ol>
        <button @click=${() => render(html``, place)}>Thank you</button>
      </div>`,
      place,
    );
  };
  const place = document.createElement('div');
  document.getElementById('column')!.prepend(place);
  const tick = (i: number) => (): void => {
    if (done.has(i)) return;
    done.add(i);
    if (place.childElementCount) draw();
  };
  const of = now().name;
  on('name', () => now().name !== of && render(html``, place)); // it speaks of this song
  on('text', () => now().name === of && tick(0)());
  on('chosen', tick(1));
  document.getElementById('sheet')?.addEventListener('toggle', tick(2));
  document.addEventListener('keydown', (event) => event.key === 'F2' && tick(2)());
  draw();
}
window.addEventListener('song-gone', () => {
  set({ name: '', text: '' });
  localStorage.removeItem('stillhand-last');
  void begin();
});
void begin();
