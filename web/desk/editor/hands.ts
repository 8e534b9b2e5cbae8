// The hands under every typed line, as blocks of the editor. A block is drawn anew only where what it shows has changed.
import { RangeSetBuilder, StateEffect, StateField, type Text } from '@codemirror/state';
import { Decoration, type DecorationSet, EditorView, WidgetType } from '@codemirror/view';
import type { Arranged, Bar } from '../api.ts';
import { handsRow } from '../hands/row.ts';
import { barsOf, type ChordAt } from '../state.ts';

class Hands extends WidgetType {
  constructor(
    readonly shown: Arranged,
    readonly at: Pick<ChordAt, 'section' | 'line' | 'option'>,
    readonly key: string,
  ) {
    super();
  }
  override eq(other: Hands): boolean {
    return this.key === other.key;
  }
  override toDOM(): HTMLElement {
    return handsRow(this.shown.lesson!, this.at);
  }
  override get estimatedHeight(): number {
    return 104;
  }
  override ignoreEvent(): boolean {
    return true;
  }
}

const setHands = StateEffect.define<DecorationSet>();
export const handsField = StateField.define<DecorationSet>({
  create: () => Decoration.none,
  update(hands, transaction) {
    let out = hands.map(transaction.changes);
    for (const effect of transaction.effects) if (effect.is(setHands)) out = effect.value;
    return out;
  },
  provide: (field) => EditorView.decorations.from(field),
});

// Everything that the row shows of a line, so that equal keys mean equal pictures.
function keyOf(arranged: Arranged, at: Pick<ChordAt, 'section' | 'line' | 'option'>, bars: readonly Bar[]): string {
  const shapes = arranged.lesson!.right_hand.shapes;
  const low = Math.min(...shapes.flatMap((shape) => shape.midi));
  const high = Math.max(...shapes.flatMap((shape) => shape.midi));
  return JSON.stringify([
    at, low, high,
    bars.map((bar) => [bar.length, bar.meter, bar.chords.map((c) => [c.chord, c.start, c.duration, c.held, c.shape === null ? null : [shapes[c.shape]?.midi, shapes[c.shape]?.fingers, shapes[c.shape]?.pinned], c.bass])]),
  ]);
}

function blocks(doc: Text, arranged: Arranged): DecorationSet {
  const builder = new RangeSetBuilder<Decoration>();
  const { lesson, places } = arranged;
  if (!lesson || !places) return Decoration.none;
  const wanted: { line: number; at: Pick<ChordAt, 'section' | 'line' | 'option'> }[] = [];
  places.sections.forEach((section, s) =>
    section.lines.forEach((place, l) => {
      wanted.push({ line: place.last, at: { section: s, line: l, option: null } });
      place.options.forEach((option, o) => wanted.push({ line: option.last, at: { section: s, line: l, option: o } }));
    }),
  );
  wanted.sort((a, b) => a.line - b.line);
  for (const { line, at } of wanted) {
    if (line < 1 || line > doc.lines) continue;
    const end = doc.line(line).to;
    const widget = new Hands(arranged, at, keyOf(arranged, at, barsOf(lesson, at)));
    builder.add(end, end, Decoration.widget({ widget, block: true, side: 1 }));
  }
  return builder.finish();
}

export const showHands = (view: EditorView, arranged: Arranged): void => view.dispatch({ effects: setHands.of(blocks(view.state.doc, arranged)) });
