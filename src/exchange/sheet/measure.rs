//! The sizes of everything in a system, in points at usual print. One table, so that weights and
//! gaps can be judged together. What stands around the music has its own sizes where it is drawn.

/// Between two strings.
pub(super) const GAP: f64 = 9.0;
/// Size of the numbers on the strings.
pub(super) const NUMBER: f64 = 9.6;
/// Size of the left fingers.
pub(super) const FINGER: f64 = 6.0;
/// Between a left finger and its number.
pub(super) const FINGER_GAP: f64 = 0.9;
/// Room of the stroke before a note that is slid to.
pub(super) const SLIDE: f64 = 6.5;
/// How high a left finger stands over its string.
pub(super) const FINGER_UP: f64 = 1.0;
/// Size of the right fingers' letters.
pub(super) const LETTER: f64 = 7.8;
/// From one letter down to the next.
pub(super) const LETTER_STEP: f64 = 7.7;
/// Size of chord names.
pub(super) const CHORD: f64 = 10.5;
/// Size of the names gripped behind a capo.
pub(super) const SHAPE: f64 = 8.5;
/// Between a chord name and the name gripped.
pub(super) const SHAPE_GAP: f64 = 2.5;
/// How far a name starts to the left of its place.
pub(super) const NAME_IN: f64 = 3.0;
/// Between two names, besides the room between any neighbours.
pub(super) const NAME_PAD: f64 = 3.0;
/// Between a name and the number of the next bar, besides.
pub(super) const NAME_END: f64 = 4.0;
/// Size of bar numbers.
pub(super) const BAR_NUMBER: f64 = 6.5;
/// Size of barres, endings, tempo changes.
pub(super) const MARK: f64 = 7.5;
/// Size of a meter on the strings.
pub(super) const METER: f64 = 17.0;
/// Size of the strings' names.
pub(super) const STRING_NAME: f64 = 6.5;
/// Size of a tuplet's number.
pub(super) const TUPLET: f64 = 7.0;

/// Free room at the front of a bar.
pub(super) const FRONT: f64 = 10.0;
/// Room of a quarter note at its usual width.
pub(super) const QUARTER_ROOM: f64 = 31.0;
/// Between neighbours that must not touch.
pub(super) const PAD: f64 = 1.6;
/// Half the room of a stem.
pub(super) const STEM: f64 = 1.0;
/// Half the room of a rest.
pub(super) const REST_HALF: f64 = 4.0;
/// Room of a flag beside its stem.
pub(super) const FLAG_WIDTH: f64 = 6.0;
/// Between an ending's passes, a tempo and the times of a repeat.
pub(super) const TOP_GAP: f64 = 6.0;
/// Room of a dot.
pub(super) const DOT_ROOM: f64 = 4.0;
/// Room of the wave before a rolled chord.
pub(super) const ROLL: f64 = 5.0;
/// Room of a repeat sign, of the final strokes, of a double line.
pub(super) const REPEAT: f64 = 9.5;
pub(super) const FINAL: f64 = 5.0;
pub(super) const DOUBLE: f64 = 3.0;

/// Weight of a string.
pub(super) const STRING: f64 = 0.45;
/// Weight of a ringing string: more than one dot of a coarse screen, where a string is one.
pub(super) const RING: f64 = 2.0;
/// Weight of a bar line, a stem, a thin line.
pub(super) const THIN: f64 = 0.7;
/// Weight of the thick stroke of a repeat or of the end.
pub(super) const THICK: f64 = 2.6;
/// Weight of a beam.
pub(super) const BEAM: f64 = 2.4;
/// From one beam to the next.
pub(super) const BEAM_STEP: f64 = 3.8;

/// Length of a stem over the strings and of one under them; a half note has half of it.
pub(super) const UPPER_STEM: f64 = 14.5;
pub(super) const LOWER_STEM: f64 = 12.5;
/// The room under the strings where no stem stands.
pub(super) const NO_STEM: f64 = 3.0;
/// From the top string to the foot of a stem, over a finger before a number.
pub(super) const FOOT: f64 = 6.0;
/// From the bottom string to the foot of a stem.
pub(super) const LOWER_FOOT: f64 = 4.8;
/// Height of the row of names.
pub(super) const NAMES_ROW: f64 = 12.5;
/// Height of the row of endings and tempo changes.
pub(super) const ENDINGS_ROW: f64 = 12.0;
/// Height of the row of barres.
pub(super) const BARRES_ROW: f64 = 10.0;
/// Height of the numbers of tuplets.
pub(super) const TUPLETS_ROW: f64 = 8.5;
/// Between the last system and the meaning of the signs, which may come nearer to find room.
pub(super) const LEGEND_GAP: f64 = 14.0;
/// Between two systems; less only where the meaning of the signs would not find room.
pub(super) const SYSTEM_GAP: f64 = 9.0;
