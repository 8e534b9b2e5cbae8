// Prints the notes of every root × common quality as tonal 6.4.3 spells them, one chord a line:
// SYMBOL <TAB> NOTE NOTE NOTE. The symbol is written our way. src/music/spelling_test.cc compares.
import { Chord } from "tonal";

// Our suffix and tonal's. Left out, because the two follow different conventions about which notes of
// the stack belong: 11 and 13 chords, 7b13; and what tonal does not know: maj7b5.
const qualities = {
  "": "M", m: "m", 7: "7", maj7: "maj7", m7: "m7", sus4: "sus4", sus2: "sus2", 6: "6", m6: "m6",
  add9: "Madd9", madd9: "madd9", "7sus4": "7sus4", dim: "dim", aug: "aug", dim7: "dim7",
  m7b5: "m7b5", 5: "5", "6/9": "6/9", "m6/9": "m69", 9: "9", maj9: "maj9", m9: "m9",
  "9sus4": "9sus4", "m(maj7)": "mMaj7", "m(maj9)": "mMaj9", aug7: "7#5", "7b5": "7b5",
  "maj7#5": "maj7#5", "maj7#11": "maj7#11", "7b9": "7b9", "7#9": "7#9",
  "7#11": "7#11", m11: "m11",
};

for (const letter of "CDEFGAB") {
  for (const accidental of ["b", "", "#"]) {
    for (const [ours, theirs] of Object.entries(qualities)) {
      const chord = Chord.getChord(theirs, letter + accidental);
      console.log(`${letter}${accidental}${ours}\t${chord.notes.join(" ")}`);
    }
  }
}
