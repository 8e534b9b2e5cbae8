// The twelve keys with what speaks for and against each; choosing one transposes the text.
import { html } from 'lit';
import type { Keys, Text } from '../api.ts';
import { ask, inWords } from '../server.ts';
import { now, request } from '../state.ts';
import { say, view } from '../ui/view.ts';
import { signs, symbol } from '../ui/words.ts';

let list: Keys['keys'] | null = null;
let fault = '';
let singers = '';
let replace: (text: string) => void = () => {};
const keys = view('keys', 'Keys', () => void load());
export const openKeys = (): void => keys.open();
export const startKeys = (replacer: (text: string) => void): void => void (replace = replacer);

async function load(): Promise<void> {
  fault = '';
  list = null;
  draw();
  try {
    list = (await ask<Keys>('/api/keys', { ...request(), ...(singers ? { singers } : {}) })).keys;
  } catch (reason) {
    fault = inWords(reason);
  }
  draw();
}

async function take(key: string): Promise<void> {
  try {
    replace((await ask<Text>('/api/transpose', { name: now().name, text: now().text, key })).text);
    keys.close();
    say(`The song is in ${symbol(key)} now. Undo brings it back.`);
  } catch (reason) {
    fault = inWords(reason);
    draw();
  }
}

function draw(): void {
  keys.draw(html`
    <form class="row" @submit=${(e: Event) => { e.preventDefault(); singers = (new FormData(e.target as HTMLFormElement).get('singers') as string).trim(); void load(); }}>
      <label>Singers’ range <input name="singers" size="7" placeholder="A3-D5" .value=${singers} /></label><button>Look again</button>
    </form>
    ${fault ? html`<p class="fault" role="alert">${fault}</p>` : list === null ? html`<p aria-live="polite">Trying all twelve …</p>` : ''}
    ${list
      ? html`<table>
          <thead><tr><th scope="col">Key</th><th scope="col">Melody</th><th scope="col">For and against</th><th scope="col"><span class="sr">Take it</span></th></tr></thead>
          <tbody>
            ${list.map(
              (one) => html`<tr class=${one.fits === false ? 'unfit' : ''}>
                <th scope="row">${symbol(one.key)}</th>
                <td>${signs(one.melody)}</td>
                <td>${one.reasons.join('; ')}</td>
                <td>${one.now ? 'now' : html`<button ?disabled=${!one.playable} aria-label="Take ${symbol(one.key)}" @click=${() => void take(one.key)}>Take ${symbol(one.key)}</button>`}</td>
              </tr>`,
            )}
          </tbody>
        </table>`
      : ''}
  `);
}
