// The keys one can press, and where the chart's language is told.
import { html } from 'lit';
import { view } from '../ui/view.ts';

// Each also has a button, or comes by itself: the last column says where.
const KEYS: [key: string, what: string, without: string][] = [
  ['Ctrl Enter', 'play from here, or stop', 'Play'],
  ['F2', 'the printed sheet', 'Sheet'],
  ['F4', 'extras', 'Extras'],
  ['Shift F4', 'keys', 'Keys'],
  ['F8', 'give out', 'Give out'],
  ['Shift F8', 'earlier versions', 'Earlier'],
  ['F9', 'songs', 'the song’s name'],
  ['Shift F9', 'this help', 'Help'],
  ['Shift F2', 'lay the chart out neatly', 'Lay out'],
  ['Ctrl Z, Ctrl Shift Z', 'undo and redo, whatever it was', 'Undo, Redo'],
  ['Ctrl Space', 'what may be typed here', 'comes by itself while you type'],
  ['Ctrl Shift M', 'the list of mistakes', 'All, beside the first mistake'],
  ['Tab', 'out of the chart, to the keyboard; there arrows go from key to key, Space chooses', 'click the keys'],
  ['Escape', 'back to the chart', 'Back; or click the chart'],
];
const help = view('help', 'Help', () =>
  help.draw(html`
    <table>
      <thead><tr><th scope="col">Key</th><th scope="col">What it does</th><th scope="col">Without keys</th></tr></thead>
      <tbody>${KEYS.map(([key, what, without]) => html`<tr><th scope="row">${key.split(', ').map((one) => html`<kbd>${one}</kbd> `)}</th><td>${what}</td><td>${without}</td></tr>`)}</tbody>
    </table>
    <p class="note">On a Mac: Cmd instead of Ctrl, and Fn with the F keys.</p>
    <h3>The chart</h3>
    <pre tabindex="0">section Verse 1
| D        | G  D/F#  | Em  A     | D    |
" Lamps a- | long the | qui-et    | quay |
or stepping down
| D        | G  A/G   | D/F# Em   | A    |

road map   Verse 1 twice
shape G    G3 B3 D4  1 3 5          ; a pin</pre>
    <p>Chords share a bar evenly; a dash holds a chord one count longer; <code>or</code> begins another way to play the line above; a line in quotes has the words; a semicolon begins a comment.</p>
    <p class="note">Pain means stop: let hand and arm rest, and see a doctor if it stays. Keep sound at a comfortable level. Whether a song may be copied or published is for you to clear.</p>
  `),
);
export const openHelp = (): void => help.open();
