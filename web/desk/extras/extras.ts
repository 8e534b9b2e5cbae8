// Extras: offers above the plain song, each with its fallback; to be heard, accepted, and undone in the text.
import { html } from 'lit';
import type { Extras, Text } from '../api.ts';
import { ask, inWords } from '../server.ts';
import { now, request } from '../state.ts';
import { say, view } from '../ui/view.ts';
import { playText } from '../hear/transport.ts';
import { signs } from '../ui/words.ts';

let offers: Extras['extras'] | null = null;
let fault = '';
let replace: (text: string) => void = () => {};
let goTo: (line: number) => void = () => {};

const extras = view('extras', 'Extras', () => void load());
export const openExtras = (): void => extras.open();
export function startExtras(replacer: (text: string) => void, goer: (line: number) => void): void {
  replace = replacer;
  goTo = goer;
}

async function load(): Promise<void> {
  offers = null;
  fault = '';
  draw();
  try {
    offers = (await ask<Extras>('/api/extras', request())).extras;
  } catch (reason) {
    fault = inWords(reason);
  }
  draw();
}

async function accept(id: string, change: string): Promise<void> {
  try {
    replace((await ask<Text>('/api/extras/accept', { ...request(), id })).text);
    say(`${signs(change)}: written into the chart, above its fallback. Undo takes it out.`);
    extras.close();
  } catch (reason) {
    fault = inWords(reason);
    draw();
  }
}

function draw(): void {
  extras.draw(html`
    <p class="note">Each is an offer: the plain line stays below it and can always be played instead.</p>
    ${fault ? html`<p class="fault" role="alert">${fault}</p>` : offers === null ? html`<p aria-live="polite">Looking …</p>` : ''}
    ${offers?.length === 0 ? html`<p>Nothing to offer for this song.</p>` : ''}
    <ul class="offers">
      ${offers?.map(
        (one) => html`<li>
          <h3>${signs(one.change)}</h3>
          <p>${one.reason}</p>
          <p class="note">${one.new_skill ? html`<b>New: ${one.skill}.</b> ` : ''}${one.price.words}</p>
          <p class="row">
            ${one.places.slice(0, 4).map((place) => html`<button class="plain" @click=${() => { extras.close(); goTo(place.line); }}>${place.words || `line ${place.line}`}</button>`)}
          </p>
          <p class="row">
            <button @click=${() => void playText(now().text, one.places[0]?.line ?? 1)}>Hear it plain</button>
            <button @click=${() => void playText(one.text, one.places[0]?.line ?? 1, one.option)}>Hear it with this</button>
            <button class="strong" @click=${() => void accept(one.id, one.change)}>Accept</button>
          </p>
        </li>`,
      )}
    </ul>
  `);
}
