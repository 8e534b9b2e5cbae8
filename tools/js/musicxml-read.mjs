// node tools/js/musicxml-read.mjs CASES.json: reads scores with two independent libraries, musicxml-io 0.9.6 and verovio 6.3.0,
// and compares with what src/write/musicxml_test.cc expects. Exit 0 equal, 1 not (the differences on standard output).
//
// musicxml-io: bars, words, chords with their times, pitches, fingers, and the notes that kind, degrees and bass mean.
// verovio (an engraver; it says what it would print): pitches, fingers, chord symbols, and that it complains of nothing.
import {deepStrictEqual} from 'node:assert';
import {readFileSync} from 'node:fs';
import {DOMParser} from '@xmldom/xmldom';
import {webcrypto} from 'node:crypto';
import {parse} from 'musicxml-io';
import {VerovioToolkit} from 'verovio/esm';
import createVerovioModule from 'verovio/wasm';

// musicxml-io draws its ids from it; Debian 12 has node 18, where it is not global yet.
globalThis.crypto ??= webcrypto;

let differs = false;

function same(reader, name, actual, wanted) {
  try {
    deepStrictEqual(actual, wanted);
  } catch (error) {
    differs = true;
    console.log(`${reader}, ${name}: ${error.message}`);
  }
}

// MusicXML 4.0, documentation of kind-value, as half steps of degrees above the root.
const [triads, sevenths] = [
  {major: {3: 4, 5: 7}, minor: {3: 3, 5: 7}, augmented: {3: 4, 5: 8}, diminished: {3: 3, 5: 6}},
  {dominant: {3: 4, 5: 7, 7: 10}, 'major-seventh': {3: 4, 5: 7, 7: 11}, 'minor-seventh': {3: 3, 5: 7, 7: 10}}];
const kinds = {
  ...triads, ...sevenths,
  'diminished-seventh': {3: 3, 5: 6, 7: 9}, 'augmented-seventh': {3: 4, 5: 8, 7: 10}, 'half-diminished': {3: 3, 5: 6, 7: 10},
  'major-minor': {3: 3, 5: 7, 7: 11}, 'major-sixth': {3: 4, 5: 7, 6: 9}, 'minor-sixth': {3: 3, 5: 7, 6: 9},
  'suspended-second': {2: 2, 5: 7}, 'suspended-fourth': {4: 5, 5: 7}, power: {5: 7}};
for (const [prefix, seventh] of [['dominant', 'dominant'], ['major', 'major-seventh'], ['minor', 'minor-seventh']]) {
  kinds[`${prefix}-ninth`] = {...sevenths[seventh], 9: 14};
  kinds[`${prefix}-11th`] = {...kinds[`${prefix}-ninth`], 11: 17};
  kinds[`${prefix}-13th`] = {...kinds[`${prefix}-11th`], 13: 21};
}
// An added degree counts from the dominant chord on the root.
const inDominant = {1: 0, 2: 2, 3: 4, 4: 5, 5: 7, 6: 9, 7: 10, 8: 12, 9: 14, 10: 16, 11: 17, 12: 19, 13: 21};
const natural = {C: 0, D: 2, E: 4, F: 5, G: 7, A: 9, B: 11};

function meaning({root, kind, degrees = [], bass}) {
  if (kind === 'none') return {notes: null, bass: null};
  const rootClass = natural[root.rootStep] + (root.rootAlter ?? 0);
  const steps = {1: 0, ...kinds[kind]};
  const twice = [];
  for (const {degreeValue, degreeAlter = 0, degreeType} of degrees) {
    if (degreeType === 'subtract') delete steps[degreeValue];
    else if (degreeType === 'alter') steps[degreeValue] += degreeAlter;
    else twice.push(inDominant[degreeValue] + degreeAlter);
  }
  const notes = [...Object.values(steps), ...twice].map((step) => (((rootClass + step) % 12) + 12) % 12);
  return {
    notes: [...new Set(notes)].sort((a, b) => a - b),
    bass: bass ? bass.bassStep + accidentals(bass.bassAlter ?? 0) : null};
}

const accidentals = (alter) => alter < 0 ? 'b'.repeat(-alter) : '#'.repeat(alter);
const pitchText = ({step, alter = 0, octave}) => step + accidentals(alter) + octave;

const fingerOf = (note) => note.notations?.find((notation) => notation.technical === 'fingering')?.text;

// The notes of a chord on one staff: those of its first value, all values having the same; a tied note keeps its finger.
function hand(notes, chord, next, held) {
  const own = notes.filter((note) => note.at >= chord.at && note.at < next);
  const valueAt = (at) => own.filter((note) => note.at === at);
  const pitchesOf = (value) => value.filter((note) => note.pitch).map((note) => pitchText(note.pitch));
  const first = valueAt(chord.at);
  let duration = 0;
  while (duration < next - chord.at) {
    const value = valueAt(chord.at + duration);
    deepStrictEqual(pitchesOf(value), pitchesOf(first));
    duration += value[0].duration;
  }
  deepStrictEqual(duration, next - chord.at);
  return first.filter((note) => note.pitch).map((note) => {
    const pitch = pitchText(note.pitch);
    const finger = fingerOf(note);
    if (finger) held.set(pitch, Number(finger));
    return [pitch, held.get(pitch)];
  });
}

function readChordsAndBars(xml) {
  const chords = [];
  const bars = [];
  const staves = {1: [], 2: []};
  let start = 0;
  for (const measure of parse(xml).parts[0].measures) {
    let at = start;
    let last = start;
    let end = start;
    const bar = {number: measure.number, words: '', forward: false, backward: 0, endings: null};
    for (const entry of measure.entries) {
      if (entry.type === 'harmony') chords.push({at, ...meaning(entry)});
      if (entry.type === 'backup') at -= entry.duration;
      if (entry.type !== 'note') continue;
      if (!entry.chord) last = at;
      staves[entry.staff].push({...entry, at: last, pitch: entry.pitch});
      if (!entry.chord) at += entry.duration;
      end = Math.max(end, at);
      for (const {text, syllabic} of entry.lyrics ?? []) {
        bar.words += text + (syllabic === 'begin' || syllabic === 'middle' ? '-' : '');
      }
    }
    for (const {repeat, ending} of measure.barlines ?? []) {
      if (repeat?.direction === 'forward') bar.forward = true;
      if (repeat?.direction === 'backward') bar.backward = repeat.times ?? 2;
      if (ending?.type === 'start') bar.endings = ending.number;
    }
    bars.push(bar);
    start = end;
  }
  const held = [new Map(), new Map()];
  chords.forEach((chord, index) => {
    const next = chords[index + 1]?.at ?? start;
    chord.duration = next - chord.at;
    chord.right = hand(staves[1], chord, next, held[0]);
    chord.left = hand(staves[2], chord, next, held[1]);
  });
  const fingers = [...staves[1], ...staves[2]].filter(fingerOf).map((note) => [pitchText(note.pitch), Number(fingerOf(note))]);
  return {chords, bars, fingers};
}

const toolkit = new VerovioToolkit(await createVerovioModule());

function readAsPrinted(name, xml) {
  same('verovio', `${name}: loads`, toolkit.loadData(xml), 1);
  same('verovio', `${name}: log`, toolkit.getLog(), '');
  const document = new DOMParser().parseFromString(toolkit.getMEI({noLayout: true}), 'text/xml');
  const all = (tag) => [...document.getElementsByTagName(tag)];
  const signs = {s: '#', f: 'b', ss: '##', x: '##', ff: 'bb', n: ''};
  const notes = new Map();
  for (const note of all('note')) {
    const accid = note.getAttribute('accid') || note.getAttribute('accid.ges') ||
      note.getElementsByTagName('accid')[0]?.getAttribute('accid') || 'n';
    notes.set(`#${note.getAttribute('xml:id')}`, note.getAttribute('pname').toUpperCase() + signs[accid] + note.getAttribute('oct'));
  }
  return {
    fingers: all('fing').map((fing) => [notes.get(fing.getAttribute('startid')), Number(fing.textContent)]),
    symbols: all('harm').map((harm) => harm.textContent.trim())};
}

for (const {name, xml, expected} of JSON.parse(readFileSync(process.argv[2], 'utf8'))) {
  const read = readChordsAndBars(xml);
  same('musicxml-io', `${name}: chords`, read.chords, expected.chords);
  same('musicxml-io', `${name}: bars`, read.bars, expected.bars);
  const printed = readAsPrinted(name, xml);
  // The order of the staves is the engraver's.
  const sorted = (list) => list.map((entry) => entry.join(' ')).sort();
  same('verovio', `${name}: fingers`, sorted(printed.fingers), sorted(read.fingers));
  // It prints degrees that are not to be printed, and of N.C. the root that says nothing.
  same('verovio', `${name}: symbols`, printed.symbols.map((text) => text.replace(/\((add|no)?[♯♭]*\d+\)/g, '')),
    expected.symbols.map((text) => text === 'N.C.' ? 'C' : text));
}

process.exit(differs ? 1 : 0);
