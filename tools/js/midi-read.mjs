// node tools/js/midi-read.mjs FILE.mid EXPECTED.json: reads a MIDI file with two independent libraries,
// midi-file 1.2.4 and @tonejs/midi 2.0.28, and compares with what src/write/midi_test.cc expects.
// Exit 0 equal, 1 not (the differences on standard output).
import {deepStrictEqual} from 'node:assert';
import {readFileSync} from 'node:fs';
import {parseMidi} from 'midi-file';
import tone from '@tonejs/midi';

const bytes = readFileSync(process.argv[2]);
const expected = JSON.parse(readFileSync(process.argv[3], 'utf8'));
let differs = false;

function same(reader, what, actual, wanted) {
  try {
    deepStrictEqual(actual, wanted);
  } catch (error) {
    differs = true;
    console.log(`${reader}, ${what}: ${error.message}`);
  }
}

// Both libraries read one byte as one character.
const utf8 = (text) => Buffer.from(text, 'latin1').toString('utf8');
const byStartAndKey = (a, b) => a.at - b.at || a.key - b.key;

{
  const file = parseMidi(bytes);
  same('midi-file', 'header', [file.header.format, file.header.numTracks, file.header.ticksPerBeat], [1, 4, 960]);
  for (const track of file.tracks) {
    let at = 0;
    for (const event of track) event.at = at += event.deltaTime;
  }
  const song = (type, pick) => file.tracks[0].filter((e) => e.type === type).map((e) => ({at: e.at, ...pick(e)}));
  const text = (e) => ({text: utf8(e.text)});
  same('midi-file', 'tempos', song('setTempo', (e) => ({microseconds: e.microsecondsPerBeat})), expected.tempos);
  same('midi-file', 'meters', song('timeSignature', (e) => ({
    upper: e.numerator, lower: e.denominator, clocks: e.metronome, thirty_seconds: e.thirtyseconds})), expected.meters);
  same('midi-file', 'keys', song('keySignature', (e) => ({fifths: e.key, minor: e.scale === 1})), expected.keys);
  same('midi-file', 'markers', song('marker', text), expected.markers);
  same('midi-file', 'chords', song('text', text), expected.chords);
  same('midi-file', 'words', song('lyrics', text), expected.words);
  same('midi-file', 'names', file.tracks.map((t) => t.find((e) => e.type === 'trackName').text), expected.names);
  same('midi-file', 'programs', file.tracks.map((t) => t.filter((e) => e.type === 'programChange')
    .map((e) => e.programNumber)), [[], [0], [0], []]);
  same('midi-file', 'ends', file.tracks.map((t) => [t.at(-1).type, t.at(-1).at]),
    file.tracks.map(() => ['endOfTrack', expected.end]));
  file.tracks.slice(1).forEach((track, index) => {
    const down = new Map();
    const notes = [];
    for (const event of track) {
      if (event.type === 'noteOn') {
        if (down.has(event.noteNumber)) same('midi-file', 'struck while down', event, null);
        down.set(event.noteNumber, event);
      } else if (event.type === 'noteOff') {
        const on = down.get(event.noteNumber);
        down.delete(event.noteNumber);
        notes.push({at: on.at, key: on.noteNumber, velocity: on.velocity, duration: event.at - on.at, channel: on.channel});
      }
    }
    same('midi-file', `keys still down on track ${index + 1}`, down.size, 0);
    same('midi-file', `notes of track ${index + 1}`, notes.sort(byStartAndKey), expected.notes[index]);
  });
}

{
  const midi = new tone.Midi(bytes);
  const header = midi.header;
  const tracks = midi.tracks.slice(-3);  // it may leave out a track without notes
  same('@tonejs/midi', 'quarter', header.ppq, 960);
  same('@tonejs/midi', 'tempos', header.tempos.map((t) => ({at: t.ticks, microseconds: Math.round(60e6 / t.bpm)})),
    expected.tempos);
  same('@tonejs/midi', 'meters', header.timeSignatures.map((t) => ({at: t.ticks, meter: t.timeSignature})),
    expected.meters.map((m) => ({at: m.at, meter: [m.upper, m.lower]})));
  // It names every signature by its major key.
  const major = ['Cb', 'Gb', 'Db', 'Ab', 'Eb', 'Bb', 'F', 'C', 'G', 'D', 'A', 'E', 'B', 'F#', 'C#'];
  same('@tonejs/midi', 'keys', header.keySignatures.map((k) => ({at: k.ticks, key: k.key, scale: k.scale})),
    expected.keys.map((k) => ({at: k.at, key: major[k.fifths + 7], scale: k.minor ? 'minor' : 'major'})));
  for (const [type, wanted] of [['marker', expected.markers], ['text', expected.chords], ['lyrics', expected.words]]) {
    same('@tonejs/midi', type, header.meta.filter((m) => m.type === type).map((m) => ({at: m.ticks, text: utf8(m.text)})),
      wanted);
  }
  same('@tonejs/midi', 'names', [header.name, ...tracks.map((t) => t.name)], expected.names);
  tracks.forEach((track, index) => {
    const notes = track.notes.map((n) => ({at: n.ticks, key: n.midi, velocity: Math.round(n.velocity * 127),
      duration: n.durationTicks, channel: track.channel}));
    same('@tonejs/midi', `notes of track ${index + 1}`, notes.sort(byStartAndKey), expected.notes[index]);
  });
  // Seconds, each tempo event counted from the one before.
  same('@tonejs/midi', 'seconds', Math.round(header.ticksToSeconds(expected.end) * 1000),
    Math.round(expected.seconds * 1000));
}

process.exit(differs ? 1 : 0);
