#!/usr/bin/env python3
"""Has librosa, a general library for audio analysis, hear the pitches and onsets of a rendered line.

    python3 tests/outside/sound/pitch.py target/debug/examples/device

Needs librosa (ISC licence; `requirements.txt`). Its YIN works to some cents (A. de Cheveigné and H. Kawahara, “YIN, a
fundamental frequency estimator”, J. Acoust. Soc. Am. 111 (2002)) and its onset detector to a frame
of 128 samples; the tighter checks are the crate's own.
"""

import subprocess
import sys
import tempfile
from pathlib import Path

import librosa
import numpy as np

MIDI = [40, 52, 57, 62, 64, 69, 76, 48]
CENTS = 5.0


def main():
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "line.wav"
        subprocess.run([sys.argv[1], "0", str(path)], check=True, stdout=subprocess.DEVNULL)
        sound, rate = librosa.load(path, sr=None, mono=True)
    worst = 0.0
    for i, midi in enumerate(MIDI):
        note = sound[i * rate // 2 + rate // 20 : (i + 1) * rate // 2]
        heard = librosa.yin(note, fmin=60, fmax=1500, sr=rate, frame_length=8192)
        off = 100 * (librosa.hz_to_midi(np.median(heard)) - midi)
        print(f"{librosa.midi_to_note(midi):>4} {off:+.2f} cents")
        worst = max(worst, abs(off))
    assert worst < CENTS, f"out of tune by {worst:.1f} cents"
    onsets = librosa.onset.onset_detect(
        y=sound[: 4 * rate], sr=rate, hop_length=128, units="time", backtrack=False, delta=0.2
    )
    missed = [t for t in np.arange(1, 8) / 2 if np.min(np.abs(onsets - t)) > 0.03]
    assert not missed, f"no onset heard at {missed}: {onsets}"
    print(f"worst {worst:.2f} cents, every onset heard")


if __name__ == "__main__":
    main()
