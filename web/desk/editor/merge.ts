// Two changes of one text put together, where they do not touch the same lines; null where they do.
//
//   merged('a\nb\nc', 'A\nb\nc', 'a\nb\nC') === 'A\nb\nC'
interface Change {
  from: number; // lines of the base
  to: number;
  lines: string[];
}

function change(base: string[], other: string[]): Change {
  let from = 0;
  while (from < base.length && from < other.length && base[from] === other[from]) ++from;
  let end = 0;
  while (end < base.length - from && end < other.length - from && base[base.length - 1 - end] === other[other.length - 1 - end]) ++end;
  return { from, to: base.length - end, lines: other.slice(from, other.length - end) };
}

export function merged(base: string, mine: string, theirs: string): string | null {
  if (mine === theirs || mine === base) return theirs;
  if (theirs === base) return mine;
  const lines = base.split('\n');
  const a = change(lines, mine.split('\n'));
  const b = change(lines, theirs.split('\n'));
  const [first, second] = a.from <= b.from ? [a, b] : [b, a];
  if (first.to >= second.from) return null;
  return [...lines.slice(0, first.from), ...first.lines, ...lines.slice(first.to, second.from), ...second.lines, ...lines.slice(second.to)].join('\n');
}
