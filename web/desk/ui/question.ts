// A short question over the page, with a field or without: a dialog of the browser's own, so that Escape closes it and the focus comes back.
//
//   ask({ title: 'Remove “A Song”?', says: 'Its text stays …', yes: 'Remove', no: 'Leave it', act: async () => (await removed()) ? '' : 'It cannot be removed.' });
import { html, render } from 'lit';

export interface Question {
  title: string;
  says: string;
  yes: string; // what the buttons say
  no: string;
  field?: { label: string; value: string };
  // Does it. "": done, the question closes; else why not, in words: told in place, and asked on. `value`: of the field, without blanks around.
  act(value: string): Promise<string>;
}

const dialog = document.createElement('dialog');
dialog.className = 'question';
dialog.setAttribute('aria-labelledby', 'question-title');
dialog.setAttribute('aria-describedby', 'question-says');

// Ends when it is closed. True: it was done.
export function ask(question: Question): Promise<boolean> {
  if (!dialog.isConnected) document.body.append(dialog);
  const { field } = question;
  let why = '';
  let busy = false;
  const submit = async (event: SubmitEvent): Promise<void> => {
    event.preventDefault();
    if (busy) return;
    busy = true;
    const value = dialog.querySelector('input')?.value.trim() ?? '';
    why = '';
    draw();
    try {
      why = await question.act(value);
    } finally {
      busy = false;
    }
    if (!why) return dialog.close('done');
    draw();
    dialog.querySelector('input')?.focus();
  };
  const draw = (): void => {
    render(
      html`<form class="view-body" @submit=${submit}>
        <h2 id="question-title">${question.title}</h2>
        <p id="question-says">${question.says}</p>
        ${field
          ? html`<label class="stack">${field.label} <input autofocus maxlength="120" autocomplete="off" spellcheck="false" .value=${field.value} aria-invalid=${why ? 'true' : 'false'} aria-describedby="question-fault" /></label>`
          : ''}
        <p id="question-fault" class="fault" role="alert">${why}</p>
        <p class="row"><button class="strong">${question.yes}</button><button type="button" ?autofocus=${!field} ?disabled=${busy} @click=${() => dialog.close('')}>${question.no}</button></p>
      </form>`,
      dialog,
    );
  };
  dialog.oncancel = (event) => {
    if (busy) event.preventDefault(); // what has begun is waited for
  };
  render('', dialog); // what was typed at the last one is gone
  draw();
  dialog.returnValue = '';
  dialog.showModal();
  dialog.querySelector('input')?.select();
  return new Promise((ended) => dialog.addEventListener('close', () => ended(dialog.returnValue === 'done'), { once: true }));
}
