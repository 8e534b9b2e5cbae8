// node tools/js/captions-read.mjs CASES.json: reads the timed texts that src/write/captions_test.cc wrote with independent
// libraries and compares with what it expects: WebVTT with webvtt-parser 2.2.0 (the W3C's own parser and validator), SubRip
// with srt-parser-2 1.2.3, CSV with csv-parse 7.0.3. Exit 0 equal, 1 not (the differences on standard output).
import {deepStrictEqual} from 'node:assert';
import {readFileSync} from 'node:fs';
import {parse as parseCsv} from 'csv-parse/sync';
import SubRip from 'srt-parser-2';
import webvtt from 'webvtt-parser';

let differs = false;

function same(reader, name, actual, wanted) {
  try {
    deepStrictEqual(actual, wanted);
  } catch (error) {
    differs = true;
    console.log(`${reader}, ${name}: ${error.message}`);
  }
}

const milliseconds = (seconds) => Math.round(seconds * 1000);
const entities = JSON.parse(readFileSync(new URL('node_modules/webvtt-parser/html-entities.json', import.meta.url), 'utf8'));
const textOf = (node) => node.type === 'text' ? node.value : node.children.map(textOf).join('');

function readWebVtt(name, file, mode) {
  const {cues, errors} = new webvtt.WebVTTParser(entities).parse(file, mode);
  same('webvtt-parser', `${name}: errors`, errors, []);
  return cues.map((cue) => ({
    start: milliseconds(cue.startTime), end: milliseconds(cue.endTime), text: textOf(cue.tree)}));
}

// It leaves brackets as they are.
function readSubRip(file) {
  return new SubRip().fromSrt(file).map((cue) => ({
    start: milliseconds(cue.startSeconds), end: milliseconds(cue.endSeconds), text: cue.text}));
}

for (const {name, vtt, srt, chapters, csv, expected} of JSON.parse(readFileSync(process.argv[2], 'utf8'))) {
  same('webvtt-parser', name, readWebVtt(name, vtt, undefined), expected.cues);
  same('srt-parser-2', name, readSubRip(srt), expected.cues.map((cue) => ({
    ...cue, text: cue.text.replaceAll('<', '‹').replaceAll('>', '›')})));
  same('webvtt-parser', `${name}: chapters`, readWebVtt(name, chapters, 'chapters'), expected.chapters);
  const rows = parseCsv(csv, {columns: true, record_delimiter: '\r\n'});
  same('csv-parse', `${name}: bars and counts`, rows.filter((row) => !(row.bar >= 0) || !(row.count >= 1)), []);
  same('csv-parse', name, rows.map(({bar, count, ...row}) => row), expected.rows);
}

process.exit(differs ? 1 : 0);
