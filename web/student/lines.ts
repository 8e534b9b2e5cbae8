// The song on the page: section by section, over every line its hands (as at the desk), under every bar its words.
import type { Bar, Lesson, LinePlace } from '../desk/api.ts';
import { barKey, handsRows, type LineAt } from '../desk/hands/model.ts';
import { drawRow } from '../desk/hands/row.ts';
import { counted, signs as asSigns } from '../desk/ui/words.ts';
import { inKey } from './song.ts';

const element = (name: string, className: string, ...inside: (Node | string)[]): HTMLElement => {
  const out = document.createElement(name);
  if (className) out.className = className;
  out.append(...inside);
  return out;
};

interface Row {
  at: LineAt;
  element: HTMLElement;
}

// Counts that begin in each bar: what is played says so. A bar that is never played has no marks to fill.
function countsOf(): Map<string, number> {
  const out = new Map<string, number>();
  for (const bar of inKey().performance.bars) {
    const key = barKey({ section: bar.section, line: bar.line, option: null }, bar.bar);
    out.set(key, Math.max(out.get(key) ?? 0, bar.counts.length));
  }
  return out;
}

function rows(lesson: Lesson): Row[] {
  const counts = countsOf();
  const order: LineAt[] = [];
  const place = (at: LineAt, bars: Bar[]): Pick<LinePlace, 'first' | 'last' | 'bars'> => {
    order.push(at);
    const under = order.length - 1;
    return { first: under, last: under, bars: bars.map((_, bar) => ({ line: 0, column: 0, length: 0, counts: counts.get(barKey(at, bar)) ?? 0, chords: [] })) };
  };
  const places = {
    sections: lesson.sections.map((section, s) => ({
      line: 0,
      lines: section.lines.map((line, l) => ({
        ...place({ section: s, line: l, option: null }, line.bars),
        options: line.options.map((option, o) => place({ section: s, line: l, option: o }, option.bars)),
      })),
    })),
  };
  return handsRows({ diagnostics: [], lesson, places, summary: '' }).map(({ under, row }) => ({ at: order[under]!, element: drawRow(row) }));
}

// What a bar says besides its chords: repeats, endings, a new meter or key.
function signs(bar: Bar): string {
  return [
    bar.change,
    bar.endings.length ? `${bar.endings.join(', ')}.` : '',
    bar.repeat_begins ? 'repeat from here' : '',
    bar.vamp ? 'over and over' : bar.repeat_times > 1 ? `end of the repeat, ${counted(bar.repeat_times, 'time')} in all` : '',
  ]
    .filter(Boolean)
    .join('; ');
}

function withWords(row: HTMLElement, bars: Bar[]): HTMLElement {
  row.querySelectorAll<HTMLElement>('.hands-bar').forEach((box, i) => {
    const bar = bars[i];
    if (!bar) return;
    const said = signs(bar);
    if (said) box.prepend(element('span', 'bar-signs', asSigns(said)));
    box.append(element('span', 'bar-words', bar.words));
  });
  return row;
}

// "Verse 1 twice, Chorus": as it is played.
function roadMap(lesson: Lesson): string {
  const times = (n: number): string => (n === 1 ? '' : n === 2 ? ' twice' : ` ${n} times`);
  return lesson.road_map.map((step) => `${step.section}${times(step.times)}`).join(', ');
}

export function drawSong(into: HTMLElement): void {
  const { lesson } = inKey();
  const all = rows(lesson);
  into.replaceChildren();
  if (lesson.road_map.length > 1 || lesson.road_map.some((step) => step.times > 1)) into.append(element('p', 'note', `Played in this order: ${roadMap(lesson)}.`));
  lesson.sections.forEach((section, s) => {
    into.append(element('h2', 'section-name', section.name));
    section.lines.forEach((line, l) => {
      const of = (option: number | null): HTMLElement | undefined => all.find(({ at }) => at.section === s && at.line === l && at.option === option)?.element;
      const plain = of(null);
      if (plain) into.append(withWords(plain, line.bars));
      line.options.forEach((option, o) => {
        const other = of(o);
        if (!other) return;
        other.classList.add('other-way');
        into.append(element('p', 'note', `or, when you like it richer${option.label ? `: ${option.label}` : ''}`), withWords(other, option.bars));
      });
    });
  });
}
