#!/usr/bin/env python3
"""Memory and processor time of the studio in a terminal, and the time to its first frame.

    python3 tests/bench/studio.py target/release/thumbline

Runs the program in a pseudo-terminal with a folder of its own and a thousand songs. Linux only.
"""

import fcntl
import os
import pty
import re
import select
import shutil
import signal
import statistics
import struct
import sys
import tempfile
import termios
import time

SIZE = (40, 120)
SONGS = 1000


def start(program, home, *words):
    """The process and its terminal."""
    pid, terminal = pty.fork()
    if pid == 0:
        env = dict(os.environ, HOME=home, XDG_DATA_HOME=home + "/data", XDG_CONFIG_HOME=home + "/config")
        env.update(TERM="xterm-256color", COLORTERM="truecolor")
        env.pop("NO_COLOR", None)
        os.execve(program, [program, *words], env)
    fcntl.ioctl(terminal, termios.TIOCSWINSZ, struct.pack("HHHH", *SIZE, 0, 0))
    return pid, terminal


def read(terminal, seconds, until=None):
    """What comes within a time, or until a pattern has come."""
    text, end = b"", time.monotonic() + seconds
    while (left := end - time.monotonic()) > 0:
        if select.select([terminal], [], [], left)[0]:
            try:
                text += os.read(terminal, 65536)
            except OSError:
                break
            if until and re.search(until, text):
                break
    return text


def seconds_used(pid):
    fields = open(f"/proc/{pid}/stat").read().rsplit(")", 1)[1].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def most_memory(pid):
    status = open(f"/proc/{pid}/status").read()
    return int(re.search(r"VmHWM:\s+(\d+)", status)[1]) / 1024


def share(pid, terminal, seconds):
    """Part of one core that is used, in per cent."""
    before = seconds_used(pid)
    began = time.monotonic()
    read(terminal, seconds)
    return 100 * (seconds_used(pid) - before) / (time.monotonic() - began)


def end(pid, terminal):
    os.kill(pid, signal.SIGKILL)
    os.waitpid(pid, 0)
    os.close(terminal)


def main():
    program = os.path.abspath(sys.argv[1])
    root = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
    song = os.path.join(root, "songs", "lamps-along-the-quay.toml")
    home = tempfile.mkdtemp()
    try:
        folder = home + "/data/thumbline/songs"
        os.makedirs(folder)
        text = open(song).read()
        for i in range(SONGS):
            with open(f"{folder}/lamps-{i}.toml", "w") as file:
                file.write(text.replace('title = "', f'title = "{i} '))
        times = []
        for _ in range(15):
            began = time.monotonic()
            pid, terminal = start(program, home)
            read(terminal, 10, rb"Lamps")
            times.append(1000 * (time.monotonic() - began))
            end(pid, terminal)
        print(f"from start to the first songs, {SONGS} on disk: median {statistics.median(times):.0f} ms")

        pid, terminal = start(program, home)
        read(terminal, 8)
        print(f"memory with all of them read: {most_memory(pid):.0f} MB at most")
        print(f"processor at rest on the Shelf: {share(pid, terminal, 20):.2f} % of a core")
        end(pid, terminal)

        # A copy: the studio keeps its own notes beside the songs it works on.
        pid, terminal = start(program, home, shutil.copy(song, home))
        read(terminal, 3)
        print(f"processor at rest on the Desk: {share(pid, terminal, 20):.2f} % of a core")
        os.write(terminal, b"c ")
        read(terminal, 3)
        print(f"processor while playing: {share(pid, terminal, 20):.2f} % of a core")
        print(f"memory while playing: {most_memory(pid):.0f} MB at most")
        end(pid, terminal)
    finally:
        shutil.rmtree(home)


main()
