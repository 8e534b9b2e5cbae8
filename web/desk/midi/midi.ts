// An instrument at the desk (Web MIDI API, W3C): keys held on it are chosen on the keyboard for a pin, and heard.
import { pickAll } from '../chord/dock.ts';
import { sound } from '../hear/transport.ts';
import { now } from '../state.ts';
import { say } from '../ui/view.ts';

export function startMidi(): void {
  if (!('requestMIDIAccess' in navigator)) return;
  const button = document.createElement('button');
  button.textContent = 'Use a MIDI keyboard';
  button.className = 'plain';
  document.getElementById('transport')!.after(button);
  const down = new Set<number>();
  let chord: number[] = [];
  const hear = (event: MIDIMessageEvent): void => {
    const [status = 0, key = 0, velocity = 0] = event.data ?? [];
    const kind = status & 0xf0;
    if (kind === 0x90 && velocity > 0) {
      if (down.size === 0) chord = [];
      down.add(key);
      if (!chord.includes(key)) chord = [...chord, key];
      if (!now().playing) void sound(key);
    } else if (kind === 0x80 || kind === 0x90) down.delete(key);
    else return;
    if (down.size > 0 && !now().playing) pickAll(chord);
  };
  const connect = (access: MIDIAccess): number => {
    for (const input of access.inputs.values()) input.onmidimessage = hear;
    return access.inputs.size;
  };
  button.addEventListener('click', () => {
    void navigator
      .requestMIDIAccess()
      .then((access) => {
        const look = (): number => {
          const number = connect(access);
          button.textContent = number ? 'A MIDI keyboard is connected' : 'No MIDI keyboard is there yet';
          return number;
        };
        access.onstatechange = look;
        const found = look();
        say(found ? 'Choose a chord, play its keys, and pin them.' : 'Switch the keyboard on; it is found by itself.');
      })
      .catch(() => say('The browser does not allow MIDI here.'));
  });
}
