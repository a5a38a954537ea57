// Reads chord symbols, one a line, with two libraries and answers one JSON value a line.
// Arguments: the folders of the unpacked packages tonal and chord-symbol.
"use strict";
const fs = require("fs");
const path = require("path");
const vm = require("vm");

const [tonalFolder, chordSymbolFolder] = process.argv.slice(2);
// The package's modules need others that it doesn't ship; its browser bundle needs none.
const bundle = fs.readFileSync(path.join(tonalFolder, "browser", "tonal.min.js"), "utf8");
const { Chord } = vm.runInNewContext(bundle + ";Tonal");
const { chordParserFactory } = require(path.resolve(chordSymbolFolder, "lib", "chord-symbol.js"));
const parse = chordParserFactory();

function tonal(symbol) {
  const chord = Chord.get(symbol);
  if (chord.empty || !chord.tonic) return null;
  return { root: chord.tonic, notes: [...chord.notes], bass: chord.bass || null };
}

function chordSymbol(symbol) {
  const chord = parse(symbol);
  if (chord.error) return null;
  const { rootNote, intervals, bassNote } = chord.normalized;
  return { root: rootNote, degrees: intervals, bass: bassNote || null };
}

const symbols = fs.readFileSync(0, "utf8").split("\n").filter(Boolean);
for (const symbol of symbols) {
  console.log(JSON.stringify({ tonal: tonal(symbol), chordSymbol: chordSymbol(symbol) }));
}
