// What the desk's server says and hears. docs/desk-api.json is the same as OpenAPI; a test holds the server to it.
//
// Every path begins with /api. Requests with a body are JSON (Content-Type: application/json, with a Content-Length).
// Every request carries "Authorization: Bearer TOKEN"; the page gets the token from the fragment of its address.
// A request that fails answers with a Problem. 400: not understood; 401: no or another token; 403: Host or Origin; 404: no such
// chart, version, export or path; 405; 408; 409: see there; 411: a body without Content-Length; 413: too large; 422: understood,
// but the chart (or what was asked of it) has an error; 429: too much at once; 500; 507: the disk does not take it.

export interface Problem {
  error: string; // what is wrong, one sentence without a full stop
  remedy: string; // what to do; may be empty
  diagnostics?: Diagnostic[]; // with 422
}

// line and column count from 1, columns in characters (code points); line 0: the chart as a whole. `length` in characters, at least 1.
export interface Diagnostic {
  severity: 'error' | 'warning' | 'note';
  line: number;
  column: number;
  length: number;
  message: string;
  suggestion: string; // may be empty
  replacements: string[]; // texts that may stand there instead of what is underlined; may be empty
}

// ---------------------------------------------------------------------------------------------------------------- folder

// GET /api/folder
export interface Folder {
  folder: string; // its path, to be shown
  charts: ChartEntry[]; // by name
  students: string[]; // files ending in .student, without the ending
  manners: string[]; // files ending in .manner, without the ending
  program: string; // "Stillhand 0.1.0"
}
export interface ChartEntry {
  name: string; // of the file, without .stillhand; no slash, at most 120 characters
  title: string; // as the chart says; "" if it does not, or cannot be read
}

// GET /api/charts/{name}
export interface Chart {
  name: string;
  text: string;
  revision: Revision;
  choices: Choices; // as last put for this chart; {} for none
}
// Stands for the bytes of the file: equal bytes, equal revision.
export type Revision = string;

// PUT /api/charts/{name}: 200 Saved, when the text is on the disk. 409 Conflict: another revision is there; nothing was written.
export interface Save {
  text: string; // at most 1 MB; need not be a valid chart
  base: Revision | null; // what the text was made from; null: there must be no such chart yet
  window: string; // who saves, chosen by the page: comes back in the events
}
export interface Saved {
  revision: Revision;
}
export interface Conflict extends Problem {
  text: string; // as it stands on the disk; "" if the file has gone
  revision: Revision | null; // null: the file has gone
}
// POST /api/charts/{name}/move {to, window}: renames; 409 Problem where a chart of that name is there. -> Saved
// DELETE /api/charts/{name}: the file goes; its text stays among the earlier versions. -> {}
// PUT /api/charts/{name}/choices: Choices -> {}

// GET /api/charts/{name}/versions -> Versions, the newest first. GET /api/charts/{name}/versions/{id} -> {text}
export interface Versions {
  versions: { id: string; saved: string; bytes: number }[]; // saved: local time, "2026-03-01T18:20:05"
}

// GET /api/events?window=ID: text/event-stream, read with fetch. `event:` names the kind, `data:` is JSON.
//   chart    {name, revision: Revision | null, window}   saved, renamed or removed; window "" = by another program
//   folder   {}                                           the list of charts, students or manners has changed
//   choices  {name, choices, window}
//   export   Export                                       on every progress
// A comment line every 15 s keeps the stream alive.

// --------------------------------------------------------------------------------------------------------------- arranging

// What the teacher chose beside the chart. All may be missing. Names are those of the command line.
export interface Choices {
  manner?: string; // "home", "closest", or one of Folder.manners
  hand_size?: 'small' | 'medium' | 'large';
  student?: string; // one of Folder.students
  level?: number; // 1–7; not with `student`
  left_hand?: 'root' | 'position' | 'fifth' | 'octave' | 'root-fifth-octave' | 'walking';
  second_shapes?: boolean;
  pattern?: string; // one of Words.patterns, or of the chart's own
  note_names?: 'english' | 'german' | 'do-re-mi';
  paper?: 'A4' | 'Letter';
}

// The body of every request below: `name` is only for messages. `choices` may be missing. Fields that are not named here are
// refused: 400.
export interface ChartText {
  name: string;
  text: string;
  choices: Choices;
}

// POST /api/arrange: ChartText -> Arranged. A chart with errors is no failure here: 200 with lesson null.
export interface Arranged {
  diagnostics: Diagnostic[]; // errors, warnings, notes; by line
  lesson: Lesson | null; // null: there are errors
  places: Places | null; // where the lesson's bars and chords stand in the text; null: it does not parse
  summary: string; // "3 shapes to learn, 24 bars, 1 min 12 s"; "" without lesson
}
// Indices run as in Lesson.sections: section, line, bar, chord; option.
export interface Places {
  sections: { line: number; lines: LinePlace[] }[]; // `line`: where "section NAME" stands
}
export interface LinePlace {
  first: number; // the text's line of its bars
  last: number; // and the last one that belongs to them (words); without `or` lines
  bars: BarPlace[];
  options: { first: number; last: number; bars: BarPlace[] }[];
}
export interface BarPlace {
  line: number;
  column: number;
  length: number;
  counts: number; // that begin in it
  chords: { column: number; length: number }[]; // as Lesson bar.chords; of one that is held from the bar before, its dash
}

// docs/lesson.schema.json without `performance`; the parts the desk uses.
export interface Lesson {
  song: {
    title: string; writers: string; rights: string; key: string; key_was_proposed: boolean; meter: string; tempo: number;
    range: { lowest: string; highest: string } | null;
  };
  manner: string;
  hand_size: string;
  note_names: string;
  road_map: { section: string; times: number }[];
  right_hand: { status: 'optimal' | 'limit reached'; cost: number; lower_bound: number; shapes: Shape[] };
  left_hand: { status: string; one_position: boolean; positions: Position[] };
  moves: Move[];
  hardest_moves: number[];
  difficulty: { points: number; factors: { factor: string; value: number; points: number; words: string }[] };
  sections: { name: string; bars: number; lines: { bars: Bar[]; options: { label: string; bars: Bar[]; remarks: string[] }[] }[] }[];
  patterns: { name: string; says: string; meter: string; sections: string[]; moments: { label: string; left: string; right: string }[] }[];
  cautions: string[];
  student?: { name: string; news: string; reductions: string[] };
}
export interface Shape {
  chord: string; where: string | null; notes: string[]; midi: number[]; fingers: number[]; degrees: string[]; inversion: string;
  reduction: boolean; pinned: boolean; optional: boolean;
}
export interface Position {
  section: string; little_finger: string | null; thumb: string | null; keys: string[]; midi: number[]; rung: string; remarks: string[];
}
export interface Move {
  from: string; to: string; from_shape: number; to_shape: number; times: number; optional: boolean; words: string; millibits: number;
  fingers: { finger: number; from: string; to: string }[];
  held: { note: string; before: number; after: number }[];
  lifted: { finger: number; note: string }[];
  added: { finger: number; note: string }[];
}
export interface Bar {
  meter: string; length: number; pick_up: boolean; chords: BarChord[]; words: string; repeat_begins: boolean; repeat_times: number;
  vamp: boolean; endings: number[]; change: string;
}
export interface BarChord {
  chord: string; start: number; duration: number; held: boolean; shape: number | null; bass: Bass | null;
}
export interface Bass {
  note: string; midi: number; finger: number; reach: 'none' | 'down' | 'up' | 'slide'; shifts: boolean; rung: string;
  figure: { tone: string; note: string; midi: number; finger: number }[];
  walk: { note: string; midi: number; finger: number; start: number; duration: number }[];
}

// POST /api/lesson: ChartText -> lesson.json itself, whole. 422 where the chart has errors.

// POST /api/prices: ChartText & {chord} -> Prices. `chord` as in Lesson.right_hand.shapes.
export interface Prices {
  chord: string;
  shapes: { notes: string[]; midi: number[]; fingers: number[]; degrees: string[]; inversion: string; cost: number; more: number; taken: boolean; pinned: boolean }[];
}

// Each of these changes the text and gives it back; the page puts it into its editor, where it can be undone.
// POST /api/pin        {name, text, choices, chord, midi: number[], fingers?: number[], section?: string} -> Text. Replaces a pin of
//                      the same chord and section. The notes are spelled as the chord spells them. 422: they are not notes of
//                      the chord, or no hand plays them.
// POST /api/unpin      {name, text, choices, chord, section?: string} -> Text
// POST /api/format     {name, text} -> Text
// POST /api/transpose  {name, text, key} -> Text
// POST /api/import     {name, content} (content: base64 of the file; at most 16 MB) -> {name, text}: a proposed name and a chart
// POST /api/extras/accept {name, text, choices, id} -> Text
export interface Text {
  text: string;
}

// POST /api/keys: ChartText & {singers?: "A3-D5"} -> Keys, the best first.
export interface Keys {
  keys: {
    key: string; up: number; points: number; playable: boolean; fits: boolean | null; // null: the chart has no range
    melody: string; // "A3-B4"; "" without range
    reasons: string[]; // in words, as the command prints them
    now: boolean; // the key the chart is written in
  }[];
}

// POST /api/extras: ChartText -> Extras, the best first.
export interface Extras {
  extras: {
    id: string; kind: string; change: string; reason: string; skill: string; new_skill: boolean;
    price: { movement: number; shapes: number; shifts: number; reaches: number; words: string };
    places: { line: number; words: string }[]; // `line` of the chart's text
    text: string; // the chart with it: what /api/extras/accept gives
    option: string; // the name of its `or` lines; "" where it is a section of its own
  }[];
}

// POST /api/words: {name, text} -> Words: what may be typed, for completion.
export interface Words {
  chords: string[]; // of the key first, then others
  sections: string[];
  patterns: { name: string; says: string }[];
  head: { word: string; says: string }[]; // title, key, meter … and what follows
}

// --------------------------------------------------------------------------------------------------------------- hearing

// POST /api/performance: ChartText & {options?: string[]} (names of `or` lines to be played) -> Performance.
// Times in milliseconds at 100 % from the first moment of the count-in.
export interface Performance {
  end: number;
  count_in: number; // its length
  // As played; begins: a time through its section; counts: when each begins; option: the `or` line that is played instead of the line, null: none.
  bars: { section: number; line: number; option: number | null; bar: number; begins: boolean; start: number; end: number; counts: number[] }[];
  chords: { start: number; bar: number; chord: number }[]; // bar: index into bars; chord: index into its Lesson bar's chords
  notes: { hand: 'right' | 'left'; midi: number; velocity: number; start: number; end: number }[];
  pedal: { start: number; down: boolean }[];
  clicks: { start: number; first: boolean }[]; // the count-in's too
}

// GET /api/piano -> Piano; GET /api/piano/{midi} -> audio/flac, mono. 503 Problem: no sound font is installed.
export interface Piano {
  keys: number[]; // sampled at these; others are played by the nearest, faster or slower
  milliseconds: number;
}

// --------------------------------------------------------------------------------------------------------------- giving out

// POST /api/sheet: ChartText & SheetWish -> {pages: string[]}: SVG documents.
export interface SheetWish {
  kind: 'song' | 'numbers' | 'moves';
  print: 'normal' | 'large';
}

// POST /api/exports: ChartText & ExportWish -> Export. GET /api/exports/{id} -> Export. DELETE: cancels -> Export.
// Everything goes into FOLDER/lessons/NAME. At most one runs for a chart; a second one: 409 Problem.
export type Part = 'sheets' | 'plans' | 'page' | 'midi' | 'musicxml' | 'tracks' | 'captions' | 'data';
export interface ExportWish {
  what: Part[]; // empty = all
  sound: ('flac' | 'opus')[]; // of the tracks
  calls?: 'none' | 'spoken'; // a voice that counts in and calls each next chord; needs espeak-ng. Missing: none
}
export interface Export {
  id: string;
  name: string; // of the chart
  state: 'running' | 'done' | 'cancelled' | 'failed';
  doing: string; // "play-along-60"
  percent: number;
  folder: string; // path, to be shown
  files: { name: string; bytes: number }[]; // GET /api/exports/{id}/files/{name}; cancelled or failed: what is whole in its folder
  problem: Problem | null;
}

// GET /api/demo -> {name, text}: the song that the first screen offers.
