// Events of abc tunes as abcjs plays them: reads a JSON object {id: text} from the file named
// first, writes {id: [[onset, length, midi], ...]} (480ths of a quarter) to the file named second.
// The third argument is the folder of the unpacked npm package abcjs.
const fs = require("fs");
const path = require("path");
const [, , from, to, folder] = process.argv;
const abcjs = require(path.resolve(folder, "dist", "abcjs-basic.js"));
const tunes = JSON.parse(fs.readFileSync(from, "utf8"));
const answer = {};
for (const [id, text] of Object.entries(tunes)) {
  try {
    const tune = abcjs.parseOnly(text)[0];
    const track = tune.setUpAudio({ chordsOff: true }).tracks[0] || [];
    answer[id] = track
      .filter((e) => e.cmd === "note")
      .map((e) => [
        Math.round(e.start * 1920),
        Math.round((e.start + e.duration) * 1920) - Math.round(e.start * 1920),
        e.pitch,
      ]);
  } catch (error) {
    answer[id] = null;
  }
}
fs.writeFileSync(to, JSON.stringify(answer));
