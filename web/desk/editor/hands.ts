// The hands under every typed line, as blocks of the editor. A block is drawn anew only where what it shows has changed.
import { RangeSetBuilder, StateEffect, StateField, type Text } from '@codemirror/state';
import { Decoration, type DecorationSet, EditorView, WidgetType } from '@codemirror/view';
import type { Arranged } from '../api.ts';
import { type HandsRow, handsRows } from '../hands/model.ts';
import { drawRow } from '../hands/row.ts';

const USUAL_HEIGHT = 104; // of a row, px, until it has been measured

class Hands extends WidgetType {
  private readonly key: string;
  constructor(private readonly row: HandsRow) {
    super();
    this.key = JSON.stringify(row);
  }
  override eq(other: Hands): boolean {
    return this.key === other.key;
  }
  override toDOM(): HTMLElement {
    return drawRow(this.row);
  }
  override get estimatedHeight(): number {
    return USUAL_HEIGHT;
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

function blocks(doc: Text, arranged: Arranged): DecorationSet {
  const builder = new RangeSetBuilder<Decoration>();
  for (const { under, row } of handsRows(arranged)) {
    if (under < 1 || under > doc.lines) continue;
    const end = doc.line(under).to;
    builder.add(end, end, Decoration.widget({ widget: new Hands(row), block: true, side: 1 }));
  }
  return builder.finish();
}

// What shows the hands of an arrangement in this text; nothing changes where it has none.
export const handsEffect = (doc: Text, arranged: Arranged): StateEffect<DecorationSet>[] => (arranged.lesson ? [setHands.of(blocks(doc, arranged))] : []);
