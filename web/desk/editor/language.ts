// The chart's notation for the editor: which word is what. docs/chart.md has the language.
import { HighlightStyle, StreamLanguage, syntaxHighlighting } from '@codemirror/language';
import { tags } from '@lezer/highlight';

const HEAD = /^(title|writers|rights|key|meter|tempo|range|pattern|pedal|road map|shape|section|pick-?up|or|left|right)\b/i;

interface Where {
  line: 'head' | 'bars' | 'words' | 'text';
}

const language = StreamLanguage.define<Where>({
  startState: () => ({ line: 'head' }),
  token(stream, state) {
    if (stream.sol()) {
      stream.eatSpace();
      if (stream.eol()) return null;
      if (stream.peek() === '|') state.line = 'bars';
      else if (stream.peek() === '"') state.line = 'words';
      else {
        state.line = 'text';
        const head = stream.match(HEAD) as RegExpMatchArray | null;
        if (head) return /section/i.test(head[0]) ? 'heading' : 'keyword';
      }
    }
    if (stream.peek() === ';' && (state.line !== 'words' || /\|\s*$/.test(stream.string.slice(0, stream.pos)))) {
      stream.skipToEnd();
      return 'comment';
    }
    if (state.line === 'bars') {
      if (stream.match(/^:?\|+:?(\d\.)*/) || stream.match(/^[-()]/)) return 'punctuation';
      if (stream.match(/^[^\s|()]+/)) return 'atom';
    } else if (state.line === 'words') {
      if (stream.match(/^["|]/)) return 'punctuation';
      if (stream.match(/^[^|]+/)) return 'string';
    } else if (stream.match(/^[^;]+/)) return null;
    stream.next();
    return null;
  },
});

const style = HighlightStyle.define([
  { tag: tags.heading, class: 'ch-section' },
  { tag: tags.keyword, class: 'ch-head' },
  { tag: tags.atom, class: 'ch-chord' },
  { tag: tags.punctuation, class: 'ch-bar' },
  { tag: tags.string, class: 'ch-words' },
  { tag: tags.comment, class: 'ch-comment' },
]);

export const chartLanguage = [language, syntaxHighlighting(style)];
