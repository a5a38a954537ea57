#!/bin/sh
# Everything that is tried to lose or break a player's work, in full; `cargo nextest run` does a little
# of each. Kills the studio as often as the first argument says, and feeds damaged files to every reader
# for as many minutes as the second says.
set -eu
cd "$(dirname "$0")/.."
THUMBLINE_KILLS="${1:-1000}" THUMBLINE_MINUTES="${2:-60}" exec cargo nextest run --release \
    --test studio_kills --test studio_faults --test mangled --test terminals --no-capture
