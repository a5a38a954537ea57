#!/usr/bin/env python3
"""How fast the same music is rendered by FluidSynth, a general synthesiser, on this machine.

    cargo build --release
    python3 tests/outside/sound/speed.py target/release/thumbline /usr/share/sounds/sf2/FluidR3_GM.sf2
    cargo bench --bench sound

Needs fluidsynth and a General MIDI sound font. FluidSynth plays samples where we compute strings;
the figure says what a well-made renderer costs, not which one sounds better. Prints how many times
faster than real time it is; compare with the first line of the benchmark.
"""

import subprocess
import sys
import tempfile
import time
import wave
from pathlib import Path


def render(font, midi, out):
    start = time.monotonic()
    subprocess.run(
        ["fluidsynth", "-ni", "-q", "-r", "48000", "-o", "synth.cpu-cores=1",
         "-T", "wav", "-F", str(out), font, str(midi)],
        check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )
    took = time.monotonic() - start
    with wave.open(str(out)) as file:
        return took, file.getnframes() / file.getframerate()


def main():
    program, font = sys.argv[1:3]
    songs = Path(__file__).resolve().parents[3] / "songs"
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        midi = folder / "song.mid"
        subprocess.run(
            [program, "arrange", str(songs / "salt-on-the-window.toml"), "-o", str(midi)], check=True
        )
        # One note alone shows what loading the sound font costs.
        empty = folder / "empty.mid"
        track = b"\x00\xc0\x18\x00\x90\x40\x40\x60\x80\x40\x00\x00\xff\x2f\x00"
        empty.write_bytes(
            b"MThd" + bytes([0, 0, 0, 6, 0, 0, 0, 1, 0, 96])
            + b"MTrk" + len(track).to_bytes(4, "big") + track
        )
        runs = sorted(render(font, midi, folder / "a.wav") for _ in range(5))
        load = sorted(render(font, empty, folder / "b.wav") for _ in range(5))
    (took, seconds), (loading, _) = runs[2], load[2]
    print(f"fluidsynth: {seconds:.1f} s of music in {took:.2f} s, {loading:.2f} s of it loading: "
          f"{seconds / max(took - loading, 1e-3):.0f} x real time")


if __name__ == "__main__":
    main()
