// The keys one can press, and where the chart's language is told.
import { html } from 'lit';
import { view } from '../ui/view.ts';

const KEYS: [string, string][] = [
  ['F1', 'this help'],
  ['F2', 'the printed sheet'],
  ['F4', 'extras'],
  ['F6', 'keys'],
  ['F7', 'play from here, or stop'],
  ['F8', 'give out'],
  ['F9', 'songs'],
  ['F10', 'lay the chart out neatly'],
  ['Ctrl Z, Ctrl Shift Z', 'undo and redo, whatever it was'],
  ['Ctrl Space', 'what may be typed here'],
  ['Ctrl Shift M', 'the list of mistakes'],
  ['Tab', 'out of the chart, to the keyboard; there arrows go from key to key, Space chooses'],
  ['Escape', 'back to the chart'],
];
const help = view('help', 'Help', () =>
  help.draw(html`
    <table><tbody>${KEYS.map(([key, what]) => html`<tr><th scope="row"><kbd>${key}</kbd></th><td>${what}</td></tr>`)}</tbody></table>
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
