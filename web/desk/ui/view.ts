// A view over the chart: a dialog of the browser's own, so that Escape closes it and the focus comes back.
import { html, render, type TemplateResult } from 'lit';

export interface View {
  dialog: HTMLDialogElement;
  open(): void;
  close(): void;
  draw(content: TemplateResult): void;
}

export function view(id: string, title: string, opened: () => void, closed: () => void = () => {}): View {
  const dialog = document.createElement('dialog');
  dialog.id = id;
  dialog.className = 'view';
  dialog.setAttribute('aria-labelledby', `${id}-title`);
  document.body.append(dialog);
  dialog.addEventListener('close', closed);
  dialog.addEventListener('click', (event) => {
    if (event.target === dialog) dialog.close();
  });
  const draw = (content: TemplateResult): void => {
    render(
      html`<div class="view-body">
        <header>
          <h2 id="${id}-title">${title}</h2>
          <button class="plain" @click=${() => dialog.close()}>Back <kbd>Esc</kbd></button>
        </header>
        ${content}
        <p class="said" role="status"></p>
      </div>`,
      dialog,
    );
  };
  return {
    dialog,
    open() {
      if (dialog.open) return;
      for (const other of document.querySelectorAll<HTMLDialogElement>('dialog.view[open]')) other.close();
      dialog.showModal();
      opened();
    },
    close: () => dialog.close(),
    draw,
  };
}

// Said to those who listen, and shown for a while to those who look.
// An open view hides the page below it from both, and has a place of its own for it.
let timer = 0;
export function say(text: string): void {
  const region = document.querySelector('dialog.view[open] .said') ?? document.getElementById('said');
  if (!region) return;
  const empty = (): void => document.querySelectorAll('.said').forEach((one) => (one.textContent = ''));
  empty();
  region.textContent = text;
  window.clearTimeout(timer);
  timer = window.setTimeout(empty, Math.max(8000, 120 * text.length)); // long enough to be read (our judgement)
}
