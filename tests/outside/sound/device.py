#!/usr/bin/env python3
"""Plays on a real sound server and measures what arrives.

    python3 tests/outside/sound/device.py target/debug/examples/device target/debug/thumbline

Needs pulseaudio, pulseaudio-utils, libasound2-plugins and numpy (`requirements.txt`); no sound card. A private sound
server with a null sink is started, its monitor recorded, killed in mid-play and brought back.
Build both first: cargo build --bins --example device
"""

import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

RATE = 48_000
BEAT = RATE // 2  # 120 a minute
# Two sounds are the same when no sample differs by more.
SAME = 1e-4
RUNS = 8
# The line that device.rs plays, as MIDI numbers; equal temperament on A4 = 440 Hz is ISO 16.
MIDI = [40, 52, 57, 62, 64, 69, 76, 48]


class Server:
    """A PulseAudio of our own, reachable through ALSA's default device."""

    def __init__(self, folder):
        self.folder = folder
        self.socket = folder / "native"
        self.process = None
        conf = folder / "asound.conf"
        system = "/usr/share/alsa/alsa.conf"
        conf.write_text(
            f"<{system}>\npcm.!default {{ type pulse }}\nctl.!default {{ type pulse }}\n"
        )
        self.env = dict(
            os.environ,
            PULSE_RUNTIME_PATH=str(folder),
            XDG_RUNTIME_DIR=str(folder),
            PULSE_SERVER=f"unix:{self.socket}",
            ALSA_CONFIG_PATH=str(conf),
        )
        self.env.pop("DISPLAY", None)

    def start(self):
        if self.socket.exists():
            self.socket.unlink()
        self.process = subprocess.Popen(
            [
                "pulseaudio", "-n", "--daemonize=no", "--exit-idle-time=-1",
                "--disable-shm=yes", "--use-pid-file=no",
                "-L", f"module-native-protocol-unix auth-anonymous=1 socket={self.socket}",
                "-L", f"module-null-sink sink_name=out rate={RATE} format=float32le",
            ],
            env=self.env,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        # A fresh null sink stands still for up to 1.6 s.
        time.sleep(2.5)
        if self.process.poll() is not None:
            sys.exit("the sound server did not start")

    def kill(self):
        if self.process:
            self.process.kill()
            self.process.wait()
            self.process = None

    def record(self, path):
        return subprocess.Popen(
            ["parec", "--device=out.monitor", "--format=float32le", f"--rate={RATE}",
             "--channels=2", "--raw", str(path)],
            env=self.env,
            stderr=subprocess.DEVNULL,
        )


def left(path):
    data = np.fromfile(path, dtype="<f4")
    return data[: len(data) // 2 * 2 : 2]


def reference(path):
    """The left channel of a float WAVE file, found by its chunks."""
    raw = path.read_bytes()
    at = 12
    while raw[at : at + 4] != b"data":
        at += 8 + int.from_bytes(raw[at + 4 : at + 8], "little")
    return np.frombuffer(raw[at + 8 :], dtype="<f4")[::2]


def place(sound, pattern):
    """Where `pattern` fits best in `sound`: the least sum of squared differences."""
    sound, pattern = sound.astype(float), pattern.astype(float)
    size = 1 << int(np.ceil(np.log2(len(sound) + len(pattern))))
    product = np.fft.rfft(sound, size) * np.conj(np.fft.rfft(pattern, size))
    alike = np.fft.irfft(product, size)[: len(sound) - len(pattern) + 1]
    energy = np.concatenate(([0.0], np.cumsum(sound**2)))
    return int(np.argmin(energy[len(pattern) :] - energy[: -len(pattern)] - 2 * alike))


def tear(sound, wanted, start):
    """What an underrun did to a recording that is not `wanted` from `start` on, in words.

    A server that runs dry leaves the samples as they are, but silence comes in between, or some
    are lost or given twice: piece for piece the music is still ours, only not all at one place.
    None when so little of it is found that it is other music.
    """
    piece, slack = RATE // 40, RATE // 2
    shifts, damaged = set(), []
    for at in range(piece, len(wanted) - piece + 1, piece):
        pattern = wanted[at : at + piece]
        first = max(0, start + at - slack)
        near = sound[first : start + at + piece + slack]
        if len(near) < piece:
            damaged.append(at)
            continue
        found = place(near, pattern)
        if np.max(np.abs(near[found : found + piece] - pattern)) < SAME:
            shifts.add(first + found - start - at)
        else:
            damaged.append(at)
    pieces = len(wanted) // piece - 1
    if len(damaged) > pieces // 10:
        return None
    places = ", ".join(f"{at / RATE:.2f} s" for at in damaged[:4])
    return f"torn at {places or 'its end'}, pieces shifted by {sorted(shifts)} samples"


def cents(sound, midi):
    """How far a note is off, by a parabola through a Gaussian-windowed spectrum's logarithms."""
    want = 440.0 * 2 ** ((midi - 69) / 12)
    n = len(sound)
    window = np.exp(-0.5 * ((np.arange(n) - n / 2) / (n / 8)) ** 2)
    size = 1 << 18
    power = np.log(np.abs(np.fft.rfft(sound * window, size)) + 1e-20)
    line = RATE / size
    low, high = int(want * 0.97 / line), int(want * 1.03 / line)
    k = low + int(np.argmax(power[low:high]))
    a, b, c = power[k - 1 : k + 2]
    return 1200 * np.log2((k + 0.5 * (a - c) / (a - 2 * b + c)) * line / want)


class Busy(Exception):
    """The machine was too busy to tell."""


def timeline(text):
    """The driver's lines as (seconds, unwrapped beats, output)."""
    rows = []
    for row in text.splitlines():
        if not row.startswith("#"):
            seconds, ticks, number, output = row.split(" ", 3)
            rows.append((float(seconds), int(ticks) / 10_080 + 8 * int(number), output))
    return rows


def steady(rows, allowed):
    """Checks that the music ran at two beats a second from start to end, and gives the error.

    While a device that just died is given its 0.3 s the position stands; it must catch up.
    """
    offsets = np.array([beats / 2 - seconds for seconds, beats, _ in rows[4:]])
    middle = np.median(offsets)
    if np.max(np.abs(offsets - middle)) >= 0.4:
        raise Busy("the position jumps")
    worst = float(max(abs(np.median(part) - middle) for part in (offsets[:20], offsets[-20:])))
    if worst >= allowed:
        raise Busy(f"the position strays by {worst * 1000:.0f} ms")
    return worst


def play(driver, server, folder, seconds):
    return subprocess.Popen(
        [driver, str(seconds), str(folder / "reference.wav")],
        env=server.env, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
    )


def check_sound(driver, server, folder):
    """Plays and compares once; gives what spoilt the recording, if anything did."""
    server.start()
    take = folder / "take.raw"
    recorder = server.record(take)
    time.sleep(0.5)
    out, err = play(driver, server, folder, 7).communicate()
    recorder.terminate()
    recorder.wait()
    server.kill()
    assert err == "", f"standard error is not clean: {err[:300]!r}"
    rows = timeline(out)
    if not all(output.startswith("device") for _, _, output in rows):
        return "the device was lost"
    sound, wanted = left(take), reference(folder / "reference.wav")[: 6 * RATE]
    if len(sound) < len(wanted):
        return f"only {len(sound) / RATE:.1f} s were recorded"
    start = place(sound, wanted)
    got = sound[start : start + len(wanted)]
    # The first milliseconds of a stream are damaged by ALSA's way through the server.
    difference = float(np.max(np.abs(got[1_200:] - wanted[1_200:])))
    if difference >= SAME:
        torn = tear(sound, wanted, start)
        assert torn, f"not what the off-line render is: up to {difference:.1e} off"
        return torn
    strayed = steady(rows, 0.06)
    off, shifts = [], []
    for i, midi in enumerate(MIDI):
        note = got[i * BEAT + 2_400 : (i + 1) * BEAT]
        off.append(abs(cents(note, midi)))
        attack = wanted[i * BEAT : i * BEAT + 4_800]
        around = got[max(0, i * BEAT - 480) : i * BEAT + 5_280]
        shifts.append(place(around, attack) - min(480, i * BEAT))
    assert max(off) < 1.0, f"out of tune: {off}"
    assert all(abs(s) <= RATE // 1000 for s in shifts), f"onsets off by {shifts} samples"
    print(f"sound: worst {max(off):.2f} cents, onsets {min(shifts)}…{max(shifts)} samples, "
          f"largest difference from the off-line render {difference:.1e}, "
          f"position within {strayed * 1000:.0f} ms")
    return None


def until_whole(check, program, server, folder):
    """Runs a check again when the server ran dry: on a busy machine that is not ours to fail."""
    for run in range(1, RUNS + 1):
        try:
            torn = check(program, server, folder)
        except Busy as why:
            torn = str(why)
        if torn is None:
            return
        print(f"run {run} of {RUNS}: {torn}", flush=True)
    sys.exit("no run came through whole")


def check_lost(driver, server, folder):
    server.start()
    player = play(driver, server, folder, 13)
    time.sleep(4)
    server.kill()
    time.sleep(3)
    server.start()
    take = folder / "back.raw"
    recorder = server.record(take)
    out, err = player.communicate()
    recorder.terminate()
    recorder.wait()
    server.kill()
    rows = timeline(out)
    device = [(seconds, output.startswith("device")) for seconds, _, output in rows]
    gone = [seconds for seconds, on in device if not on and seconds > 1]
    assert device[0][1] and device[-1][1] and gone, "not lost and taken back"
    strayed = steady(rows, 0.1)
    lost, back = gone[0], gone[-1]
    heard = float(np.max(np.abs(left(take)), initial=0.0))
    assert heard > 0.01, "no sound after the device came back"
    assert err == "", f"standard error is not clean: {err[:300]!r}"
    print(f"lost device: silent at {lost:.2f} s, back at {back:.2f} s, "
          f"position within {strayed * 1000:.0f} ms")
    return None


def check_none(driver, server, folder):
    out, err = play(driver, server, folder, 3).communicate()
    rows = timeline(out)
    assert all(output.startswith("silent") for _, _, output in rows), "\n".join(out.splitlines()[:4])
    assert err == "", f"standard error is not clean: {err[:300]!r}"
    print(f"no device: {rows[0][2]}, position within {steady(rows, 0.06) * 1000:.0f} ms")


def check_program(program, server, folder):
    """The program itself plays a loop and ends cleanly on Ctrl-C.

    Gives what kept the server from playing, if anything did.
    """
    song = Path(__file__).resolve().parents[3] / "songs" / "salt-on-the-window.toml"
    server.start()
    take = folder / "program.raw"
    recorder = server.record(take)
    time.sleep(0.5)
    player = subprocess.Popen(
        [program, "play", str(song), "--bars", "1-2", "--tempo", "150%", "--loop", "--click"],
        env=server.env, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
    )
    time.sleep(6)
    asked = time.monotonic()
    player.send_signal(signal.SIGINT)
    out, err = player.communicate(timeout=10)
    took = time.monotonic() - asked
    recorder.terminate()
    recorder.wait()
    server.kill()
    if "stands still" in err:
        return "the server stood still"
    sound = left(take)
    peak = float(np.max(np.abs(sound), initial=0.0))
    # The last samples before the end are a fade, not a cut.
    loud = np.flatnonzero(np.abs(sound) > peak / 1000)
    rest = float(np.max(np.abs(sound[loud[-1] - 480 : loud[-1] + 1]))) if len(loud) else 1.0
    assert player.returncode == 0 and "pass 2" in out and err == "", (player.returncode, out, err)
    assert took < 1.5 and peak > 0.02, (took, peak)
    assert rest < peak / 10, f"the sound was cut at {rest / peak:.2f} of its peak"
    print(f"program: peak {20 * np.log10(peak):.1f} dB, ends {took:.2f} s after Ctrl-C")
    return None


def main():
    driver, program = (str(Path(path).resolve()) for path in sys.argv[1:3])
    folder = Path(tempfile.mkdtemp())
    server = Server(folder)
    try:
        check_none(driver, server, folder)
        until_whole(check_sound, driver, server, folder)
        until_whole(check_lost, driver, server, folder)
        until_whole(check_program, program, server, folder)
    finally:
        server.kill()
        shutil.rmtree(folder)


if __name__ == "__main__":
    main()
