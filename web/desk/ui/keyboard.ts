// A picture of piano keys with fingers on them. The right hand is a filled disc, the left hand an open square, each with its finger; a
// finger that stays has a ring. Form tells the hands apart, never colour alone.
const SVG = 'http://www.w3.org/2000/svg';
const BLACK = [1, 3, 6, 8, 10];
const WHITE = 10; // width of a white key, in units of the picture

export interface Mark {
  midi: number;
  finger: number; // 0: none is said
  hand: 'right' | 'left';
  stays?: boolean;
}
export interface Picture {
  low: number; // keys shown, widened to whole groups
  high: number;
  marks: Mark[];
  outline?: number[]; // keys of the shape to come
  height?: number;
  label: string; // what it says; "" for a picture that words beside it say
  names?: (midi: number) => string;
}

export const isBlack = (midi: number): boolean => BLACK.includes(midi % 12);

export function node(name: string, values: Record<string, string | number>, ...inside: (Node | string)[]): SVGElement {
  const out = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(values)) out.setAttribute(key, String(value));
  out.append(...inside);
  return out;
}

// From the C or F below to the E or B above.
export function whole(low: number, high: number): { low: number; high: number } {
  while (low % 12 !== 0 && low % 12 !== 5) --low;
  while (high % 12 !== 4 && high % 12 !== 11) ++high;
  return { low, high };
}

export class Frame {
  readonly low: number;
  readonly high: number;
  readonly width: number;
  private readonly left = new Map<number, number>();
  constructor(low: number, high: number) {
    ({ low: this.low, high: this.high } = whole(low, high));
    let x = 0;
    for (let key = this.low; key <= this.high; ++key) {
      this.left.set(key, isBlack(key) ? x - 3 : x);
      if (!isBlack(key)) x += WHITE;
    }
    this.width = x;
  }
  x(key: number): number {
    return this.left.get(key) ?? 0;
  }
  centre(key: number): number {
    return this.x(key) + (isBlack(key) ? 3 : WHITE / 2);
  }
  has(key: number): boolean {
    return this.left.has(key);
  }
}

export function keys(frame: Frame, height: number, each?: (key: number, rect: SVGElement) => void): SVGElement {
  const group = node('g', { class: 'keys' });
  for (const black of [false, true]) {
    for (let key = frame.low; key <= frame.high; ++key) {
      if (isBlack(key) !== black) continue;
      const rect = node('rect', { x: frame.x(key), y: 0, width: black ? 6 : WHITE, height: black ? height * 0.6 : height, class: black ? 'black' : 'white' });
      each?.(key, rect);
      group.append(rect);
    }
  }
  return group;
}

export function marks(frame: Frame, height: number, list: readonly Mark[]): SVGElement {
  const group = node('g', { class: 'marks' });
  for (const mark of list) {
    if (!frame.has(mark.midi)) continue;
    const x = frame.centre(mark.midi);
    const y = isBlack(mark.midi) ? height * 0.6 - 6 : height - 6.5;
    const size = 4;
    const one = node('g', { class: `mark ${mark.hand}${isBlack(mark.midi) ? ' on-black' : ''}${mark.stays ? ' stays' : ''}` });
    if (mark.hand === 'right') {
      if (mark.stays) one.append(node('circle', { cx: x, cy: y, r: size + 1.4, class: 'ring' }));
      one.append(node('circle', { cx: x, cy: y, r: size, class: 'body' }));
    } else {
      one.append(node('rect', { x: x - size, y: y - size, width: 2 * size, height: 2 * size, class: 'body' }));
    }
    if (mark.finger) one.append(node('text', { x, y: y + 2.1 }, String(mark.finger)));
    group.append(one);
  }
  return group;
}

export function outlines(frame: Frame, height: number, list: readonly number[]): SVGElement {
  const group = node('g', { class: 'outline' });
  for (const midi of list) {
    if (!frame.has(midi)) continue;
    group.append(node('circle', { cx: frame.centre(midi), cy: isBlack(midi) ? height * 0.6 - 6 : height - 6.5, r: 4.6, class: isBlack(midi) ? 'on-black' : '' }));
  }
  return group;
}

export function keyboard(picture: Picture): SVGElement {
  const frame = new Frame(picture.low, picture.high);
  const height = picture.height ?? 34;
  const svg = node('svg', { viewBox: `-0.5 -0.5 ${frame.width + 1} ${height + 1}`, class: 'keyboard', width: frame.width + 1, height: height + 1 });
  if (picture.label) {
    svg.setAttribute('role', 'img');
    svg.setAttribute('aria-label', picture.label);
  } else {
    svg.setAttribute('aria-hidden', 'true');
  }
  svg.append(keys(frame, height), outlines(frame, height, picture.outline ?? []), marks(frame, height, picture.marks));
  return svg;
}
