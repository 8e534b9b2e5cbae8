// The printed sheet over the chart: as it will come out of the printer.
import { html } from 'lit';
import { ask, inWords } from '../server.ts';
import { now, request } from '../state.ts';
import { view } from '../ui/view.ts';

let kind: 'song' | 'numbers' | 'moves' = 'song';
let print: 'normal' | 'large' = 'normal';
let pages: string[] = [];
let fault = '';

const sheet = view('sheet', 'The sheet', () => void load(), () => {
  for (const url of pages) URL.revokeObjectURL(url);
  pages = [];
});
export const openSheet = (): void => sheet.open();

let turn = 0; // of the last wish: an answer to an earlier one comes too late
async function load(): Promise<void> {
  const mine = ++turn;
  fault = '';
  draw();
  try {
    const answer = await ask<{ pages: string[] }>('/api/sheet', { ...request(), kind, print });
    if (mine !== turn || !sheet.dialog.open) return;
    for (const url of pages) URL.revokeObjectURL(url);
    pages = answer.pages.map((svg) => URL.createObjectURL(new Blob([svg], { type: 'image/svg+xml' })));
  } catch (reason) {
    if (mine !== turn) return;
    pages = [];
    fault = inWords(reason);
  }
  draw();
}

function draw(): void {
  const radio = <T extends string>(value: T, current: T, label: string, choose: (value: T) => void, name: string) =>
    html`<label><input type="radio" name=${name} .checked=${value === current} @change=${() => { choose(value); void load(); }} /> ${label}</label>`;
  sheet.draw(html`
    <form class="row no-print" @submit=${(e: Event) => e.preventDefault()}>
      <fieldset><legend>What</legend>${radio('song', kind, 'the song', (v) => (kind = v), 'kind')}${radio('numbers', kind, 'number chart', (v) => (kind = v), 'kind')}${radio('moves', kind, 'shapes and moves', (v) => (kind = v), 'kind')}</fieldset>
      <fieldset><legend>Print</legend>${radio('normal', print, 'normal', (v) => (print = v), 'print')}${radio('large', print, 'large', (v) => (print = v), 'print')}</fieldset>
      <button type="button" class="strong" @click=${() => window.print()}>Print</button>
    </form>
    ${fault ? html`<p class="fault" role="alert">${fault}</p>` : ''}
    <div class="pages">${pages.map((url, i) => html`<img src=${url} alt="page ${i + 1} of ${pages.length} of the sheet of ${now().name}; its text stands in the chart" />`)}</div>
  `);
}
