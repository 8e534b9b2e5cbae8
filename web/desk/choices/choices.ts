// What the teacher chose besides the chart, in one line; and what a change of it has changed.
import { html, render } from 'lit';
import type { Choices, Lesson, Words } from '../api.ts';
import { ask, inWords, saveChoices } from '../server.ts';
import { now, on, set } from '../state.ts';
import { counted, note, symbol } from '../ui/words.ts';
import { say } from '../ui/view.ts';

let words: Words | null = null;
let compare: Lesson | null = null; // what stood before the last change

export function startChoices(rearrange: () => void): void {
  const change = (field: keyof Choices, value: string): void => {
    const choices: Record<string, unknown> = { ...now().choices };
    if (field === 'level') {
      delete choices['student'];
      delete choices['level'];
      if (/^\d$/.test(value)) choices['level'] = Number(value);
      else if (value) choices['student'] = value.slice(2);
    } else if (value === '') delete choices[field];
    else choices[field] = field === 'second_shapes' ? true : value;
    if (field !== 'note_names' && field !== 'paper') compare = now().lesson; // those change no hands
    set({ choices: choices as Choices });
    rearrange();
    void saveChoices(now().name, choices as Choices).catch((reason: unknown) => say(inWords(reason)));
  };
  const select = (field: keyof Choices, label: string, options: [string, string][], value: string) => html`<label
    >${label}
    <select @change=${(event: Event) => change(field, (event.target as HTMLSelectElement).value)}>
      ${options.map(([key, text]) => html`<option value=${key} .selected=${key === value}>${text}</option>`)}
    </select></label
  >`;
  const draw = (): void => {
    const c = now().choices;
    const { lesson, folder } = now();
    render(
      html`<span class="facts">${lesson ? html`<b>${symbol(lesson.song.key)}</b>${lesson.song.key_was_proposed ? ' (proposed)' : ''}, ${lesson.song.meter}, ${lesson.song.tempo} a minute` : ''}</span>
        ${select('manner', 'Manner', [['', 'home'], ['closest', 'closest'], ...(folder?.manners ?? []).map((m): [string, string] => [m, m])], c.manner === 'home' ? '' : (c.manner ?? ''))}
        ${select('hand_size', 'Hand', [['', 'medium'], ['small', 'small'], ['large', 'large']], c.hand_size ?? '')}
        ${select('level', 'For', [['', 'anyone'], ...(folder?.students ?? []).map((s): [string, string] => [`s:${s}`, s]), ...[1, 2, 3, 4, 5, 6, 7].map((l): [string, string] => [String(l), `level ${l}`])], c.student ? `s:${c.student}` : c.level ? String(c.level) : '')}
        ${select('left_hand', 'Left hand', [['', 'position'], ['root', 'one root'], ['fifth', 'root and fifth'], ['octave', 'octave'], ['root-fifth-octave', 'root, fifth, octave'], ['walking', 'walking bass']], c.left_hand ?? '')}
        ${select('pattern', 'Pattern', [['', 'as in the chart'], ...(words?.patterns ?? []).map((p): [string, string] => [p.name, p.name])], c.pattern ?? '')}
        ${select('second_shapes', 'Second shapes', [['', 'no'], ['yes', 'where they pay']], c.second_shapes ? 'yes' : '')}
        ${select('note_names', 'Note names', [['', c.student ? 'the student’s' : 'English'], ...(c.student ? [['english', 'English'] as [string, string]] : []), ['german', 'German (H, B)'], ['do-re-mi', 'Do Re Mi']], c.note_names ?? '')}
        ${select('paper', 'Paper', [['', 'A4'], ['Letter', 'Letter']], c.paper ?? '')}`,
      document.getElementById('choices')!,
    );
  };
  on('choices', draw);
  on('folder', draw);
  on('lesson', (after) => {
    draw();
    if (!compare || !after.lesson) return;
    say(difference(compare, after.lesson));
    compare = null;
  });
  on('name', async (after) => {
    words = await ask<Words>('/api/words', { name: after.name, text: after.text }).catch(() => words);
    draw();
  });
  draw();
}

// "2 shapes changed: G now B D G, Em now B E G. Left hand: walking bass. Cost 12 % less."
export function difference(before: Lesson, after: Lesson): string {
  const old = new Map(before.right_hand.shapes.map((s) => [`${s.chord} ${s.where ?? ''}`, s]));
  const changed = after.right_hand.shapes.filter((s) => {
    const was = old.get(`${s.chord} ${s.where ?? ''}`);
    return was && (was.midi.join() !== s.midi.join() || was.fingers.join() !== s.fingers.join());
  });
  const parts: string[] = [];
  if (changed.length) parts.push(`${counted(changed.length, 'shape')} changed: ${changed.slice(0, 4).map((s) => `${symbol(s.chord)} now ${s.notes.map(note).join(' ')}`).join(', ')}${changed.length > 4 ? ' …' : ''}`);
  const left = (l: Lesson): string => [...new Set(l.left_hand.positions.map((p) => p.rung))].join(', ');
  if (left(before) !== left(after)) parts.push(`left hand: ${left(after)}`);
  const patterns = (l: Lesson): string => l.patterns.map((p) => p.name).join(', ');
  if (patterns(before) !== patterns(after)) parts.push(`pattern: ${patterns(after)}`);
  const a = before.right_hand.cost;
  const b = after.right_hand.cost;
  if (before.manner === after.manner && a !== b && a > 0) parts.push(`cost ${Math.abs(Math.round((100 * (b - a)) / a))} % ${b < a ? 'less' : 'more'}`);
  return parts.length ? `${parts.join('. ')}.` : 'Nothing has changed by that.';
}
