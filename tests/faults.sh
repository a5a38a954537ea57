#!/bin/sh
# Everything that is tried to lose or break a player's work, in full; `cargo test` does a little of
# each. Kills the studio as often as the first argument says, feeds damaged files to every reader for
# as many minutes as the second says, and practises for as many hours, with the clock run fast, as the
# third says.
set -eu
cd "$(dirname "$0")/.."
THUMBLINE_KILLS="${1:-1000}" THUMBLINE_MINUTES="${2:-60}" THUMBLINE_HOURS="${3:-8}" exec cargo test --release \
    --test studio_kills --test studio_faults --test mangled --test terminals --test long_use -- \
    --nocapture --test-threads=1
