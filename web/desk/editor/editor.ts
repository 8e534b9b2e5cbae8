// The chart's editor: CodeMirror with the chart's notation, errors under the very characters, completion, and the hands under each line.
import { autocompletion, type CompletionContext, type CompletionResult } from '@codemirror/autocomplete';
import { defaultKeymap, history, historyKeymap } from '@codemirror/commands';
import { closeLintPanel, type Diagnostic as Mark, lintKeymap, openLintPanel, setDiagnostics } from '@codemirror/lint';
import { EditorState, type Text } from '@codemirror/state';
import { drawSelection, EditorView, keymap, placeholder } from '@codemirror/view';
import type { Arranged, Diagnostic, Words } from '../api.ts';
import { ask } from '../server.ts';
import { type ChordAt, now, set } from '../state.ts';
import { capital } from '../server.ts';
import { chartLanguage } from './language.ts';
import { handsEffect, handsField } from './hands.ts';

// A column counts code points; the editor counts UTF-16.
function offset(doc: Text, line: number, column: number): number {
  if (line < 1) return 0;
  const at = doc.line(Math.min(line, doc.lines));
  return at.from + [...at.text].slice(0, Math.max(0, column - 1)).join('').length;
}

function marks(doc: Text, list: readonly Diagnostic[]): Mark[] {
  return list
    .map((one) => {
      const from = offset(doc, one.line, one.column);
      const to = Math.max(from, offset(doc, one.line, one.column + one.length));
      return {
        from, to,
        severity: one.severity === 'note' ? ('info' as const) : one.severity,
        message: `${capital(one.message)}.${one.suggestion ? ` ${capital(one.suggestion)}` : ''}`,
        actions: one.replacements.slice(0, 4).map((text) => ({
          name: text,
          apply: (view: EditorView, begin: number, end: number) => view.dispatch({ changes: { from: begin, to: end, insert: text }, userEvent: 'input.mend' }),
        })),
      };
    })
    .sort((a, b) => a.from - b.from);
}

const OURS = new Set(['F8', 'Mod-Enter']); // keys that the page itself has another use for

let words: Words | null = null;
async function complete(context: CompletionContext): Promise<CompletionResult | null> {
  const word = context.matchBefore(/[^\s|(),]+/);
  if (!word && !context.explicit) return null;
  words = await ask<Words>('/api/words', { name: now().name, text: context.state.doc.toString() }).catch(() => words);
  if (!words) return null;
  const line = context.state.doc.lineAt(context.pos);
  const typed = line.text.slice(0, context.pos - line.from);
  const from = word?.from ?? context.pos;
  if (/^\s*\|/.test(typed)) return { from, options: words.chords.map((label) => ({ label })) };
  if (/^\s*(road map\s|shape\b.*\bin\s)/i.test(typed)) {
    const begin = context.matchBefore(/[^,]*/);
    const lead = /^\s*(?:road map\s+)?/i.exec(begin?.text ?? '')?.[0].length ?? 0;
    return { from: (begin?.from ?? context.pos) + lead, options: words.sections.map((label) => ({ label })) };
  }
  if (/^\s*pattern\s/i.test(typed)) return { from, options: words.patterns.map((one) => ({ label: one.name, detail: one.says })) };
  if (/^\s*shape\s+\S*$/i.test(typed)) return { from, options: words.chords.map((label) => ({ label })) };
  if (/^\s*\S*$/.test(typed)) return { from, options: words.head.map((one) => ({ label: one.word, detail: one.says })) };
  return null;
}

// The chord whose typed sign the cursor touches.
function chordUnder(arranged: Arranged | null, doc: Text, position: number): ChordAt | null {
  if (!arranged?.places) return null;
  const at = doc.lineAt(position);
  const column = [...at.text.slice(0, position - at.from)].length + 1;
  for (const [section, one] of arranged.places.sections.entries()) {
    for (const [line, place] of one.lines.entries()) {
      const rows = [{ option: null as number | null, bars: place.bars }, ...place.options.map((o, option) => ({ option: option as number | null, bars: o.bars }))];
      for (const { option, bars } of rows) {
        for (const [bar, where] of bars.entries()) {
          if (where.line !== at.number) continue;
          const chord = where.chords.findIndex((c) => column >= c.column && column <= c.column + c.length);
          if (chord >= 0) return { section, line, option, bar, chord };
        }
      }
    }
  }
  return null;
}

export class Editor {
  readonly view: EditorView;
  private readonly begin: (doc: string) => EditorState;

  constructor(parent: HTMLElement, changed: () => void) {
    const nonce = document.querySelector<HTMLMetaElement>('meta[name=csp-nonce]')?.content ?? '';
    this.begin = (doc): EditorState =>
      EditorState.create({
        doc,
        extensions: [
          EditorView.cspNonce.of(nonce),
          history(),
          drawSelection({ cursorBlinkRate: matchMedia('(prefers-reduced-motion: reduce)').matches ? 0 : 1200 }),
          chartLanguage,
          handsField,
          EditorView.lineWrapping,
          placeholder('Type a song: title, key, section, then | C | G Am | F |'),
          autocompletion({ override: [complete], activateOnTyping: true }),
          keymap.of([...lintKeymap, ...historyKeymap, ...defaultKeymap].filter((one) => !OURS.has(one.key ?? ''))),
          EditorView.contentAttributes.of({ 'aria-label': 'the chart', spellcheck: 'false', autocapitalize: 'off', autocorrect: 'off' }),
          EditorView.updateListener.of((update) => {
            if (update.docChanged) {
              set({ text: update.state.doc.toString() });
              changed();
            }
            if (update.selectionSet || update.docChanged) {
              const chosen = chordUnder(now().arranged, update.state.doc, update.state.selection.main.head);
              if (chosen && update.selectionSet) set({ chosen });
            }
          }),
        ],
      });
    this.view = new EditorView({ parent, state: this.begin('') });
  }

  // Another chart, with a history of its own: nothing of the one before can be undone into it.
  load(text: string): void {
    this.view.setState(this.begin(text));
  }

  // One change that can be undone: only what differs.
  replace(text: string): void {
    const old = this.view.state.doc.toString();
    let from = 0;
    while (from < old.length && from < text.length && old[from] === text[from]) ++from;
    let end = 0;
    while (end < old.length - from && end < text.length - from && old[old.length - 1 - end] === text[text.length - 1 - end]) ++end;
    if (old === text) return;
    this.view.dispatch({ changes: { from, to: old.length - end, insert: text.slice(from, text.length - end) }, userEvent: 'input.whole', scrollIntoView: true });
  }

  show(arranged: Arranged): void {
    // One update for both: each makes the editor measure itself.
    const { state } = this.view;
    const told = setDiagnostics(state, marks(state.doc, arranged.diagnostics));
    this.view.dispatch(told, { effects: handsEffect(state.doc, arranged) });
    if (!arranged.diagnostics.length) closeLintPanel(this.view); // all are mended: its list goes
  }

  listFaults(): void {
    openLintPanel(this.view);
  }

  goTo(line: number): void {
    const at = this.view.state.doc.line(Math.max(1, Math.min(line, this.view.state.doc.lines)));
    this.view.dispatch({ selection: { anchor: at.from }, effects: EditorView.scrollIntoView(at.from, { y: 'center' }) });
    this.view.focus();
  }
}
