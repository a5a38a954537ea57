//! Ways in and out: open formats only.
