// The player's own instrument (Web MIDI API, W3C): which keys are down.
// What there is to say on the connection; `heard` is told at every key.
export async function connect(said: (text: string) => void, heard: (down: ReadonlySet<number>, struck: boolean) => void): Promise<void> {
  if (!('requestMIDIAccess' in navigator)) return said('This browser does not listen to MIDI keyboards. The song waits for you all the same: go on with “Next chord”.');
  const down = new Set<number>();
  const hear = (event: MIDIMessageEvent): void => {
    const [status = 0, key = 0, velocity = 0] = event.data ?? [];
    const kind = status & 0xf0;
    const struck = kind === 0x90 && velocity > 0;
    if (struck) down.add(key);
    else if (kind === 0x80 || kind === 0x90) down.delete(key);
    else return;
    heard(down, struck);
  };
  try {
    const access = await navigator.requestMIDIAccess();
    const look = (): void => {
      for (const input of access.inputs.values()) input.onmidimessage = hear;
      if (access.inputs.size === 0) {
        down.clear(); // unplugged with keys down
        heard(down, false);
      }
      said(access.inputs.size ? 'Your keyboard is heard.' : 'No MIDI keyboard is connected: go on with “Next chord”, or plug one in.');
    };
    access.onstatechange = look;
    look();
  } catch {
    said('The browser does not allow MIDI here. The song waits for you all the same: go on with “Next chord”.');
  }
}
