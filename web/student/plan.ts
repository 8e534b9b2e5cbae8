// The practice plan, and the changes to practise with what the fingers do.
import { html, nothing, type TemplateResult } from 'lit';
import type { Move, Shape } from '../desk/api.ts';
import { keyboard } from '../desk/ui/keyboard.ts';
import { counted, symbol } from '../desk/ui/words.ts';
import { inKey, type PlanPart } from './song.ts';

function shapePicture(shape: Shape | undefined, stays: readonly number[] = []): SVGElement | typeof nothing {
  const { shapes } = inKey().lesson.right_hand;
  if (!shape) return nothing;
  const all = shapes.flatMap((one) => one.midi);
  return keyboard({
    low: Math.min(...all),
    high: Math.max(...all),
    height: 30,
    label: '', // the words beside it say the same
    marks: shape.midi.map((midi, i) => ({ midi, finger: shape.fingers[i] ?? 0, hand: 'right', stays: stays.includes(shape.fingers[i] ?? 0) })),
  });
}

function part(one: PlanPart): TemplateResult {
  const aside = (text: string): TemplateResult | typeof nothing => (text ? html` <small>${text}</small>` : nothing);
  switch (one.kind) {
    case 'heading': return html`<h3>${one.text}${aside(one.after)}</h3>`;
    case 'step': return html`<h4>${one.text}${aside(one.after)}</h4>`;
    case 'paragraph': return html`<p>${one.text}</p>`;
    case 'speech': return html`<blockquote>${one.sentences.map((sentence) => html`<p>${sentence}</p>`)}</blockquote>`;
    case 'counts': return html`<ul class="counts">${one.lines.map((line) => html`<li>${line.join(' | ')}</li>`)}</ul>`;
    case 'points': return html`<ul>${one.points.map((point) => html`<li>${point}</li>`)}</ul>`;
    case 'rows': return html`<dl>${one.rows.map((row) => html`<dt>${row.label}</dt><dd>${row.text}</dd>`)}</dl>`;
    case 'shapes':
      return html`<ul class="shapes">${one.shapes.map((item) => html`<li>${shapePicture(inKey().lesson.right_hand.shapes[item.shape])}<span>${item.words}</span></li>`)}</ul>`;
  }
}
export const plan = (): TemplateResult => html`${inKey().plan.map(part)}`;

// Those of the plain song; the hardest first, then the rest by how often they come.
function inOrder(): number[] {
  const { moves, hardest_moves: hardest } = inKey().lesson;
  return [...hardest, ...moves.map((_, i) => i).filter((i) => !hardest.includes(i) && !moves[i]!.optional)];
}

export function changes(practise: (move: Move) => void): TemplateResult {
  const { moves, right_hand: right } = inKey().lesson;
  return html`<ol class="changes">
    ${inOrder().map((index) => {
      const move = moves[index]!;
      const stays = move.held.filter((one) => one.before === one.after).map((one) => one.after);
      return html`<li>
        <div class="pair">${shapePicture(right.shapes[move.from_shape], stays)}<span aria-hidden="true">→</span>${shapePicture(right.shapes[move.to_shape], stays)}</div>
        <p><b>${symbol(move.from)} to ${symbol(move.to)}</b>, ${counted(move.times, 'time')}. ${move.words}</p>
        <button @click=${() => practise(move)}>Practise this change</button>
      </li>`;
    })}
  </ol>`;
}
