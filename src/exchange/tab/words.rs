//! What stands around the tab: title and settings, what the signs mean, remarks, reasons.

use super::signs::Signs;
use crate::arrange::{Arrangement, Layer, Technique};
use crate::exchange::left_hand::{Held, barres};
use crate::score::{PlayedBar, Score, counted, missing};
use crate::song::Tempo;
use crate::theory::{QUARTER, Ticks};

/// The words of one arrangement's tab.
pub(super) struct Words<'a> {
    arrangement: &'a Arrangement,
    signs: Signs,
    width: usize,
    starts: Vec<Ticks>,
    missing: Vec<Ticks>,
}

impl<'a> Words<'a> {
    pub fn new(arrangement: &'a Arrangement, signs: Signs, width: usize) -> Words<'a> {
        Words {
            arrangement,
            signs,
            width,
            starts: arrangement.song.starts(),
            missing: missing(&arrangement.song.bars),
        }
    }

    /// Title, key, meter, tempo, layers, tuning, capo, hand, play order.
    pub fn header(&self) -> String {
        let song = &self.arrangement.song;
        let title = match (song.title.trim(), &song.composer) {
            ("", _) => "Without a title".to_string(),
            (title, Some(composer)) => format!("{title} ({composer})"),
            (title, None) => title.to_string(),
        };
        let mut facts = vec![song.key.to_string()];
        facts.extend(song.bars.first().map(|b| b.meter.to_string()));
        facts.push(tempo_text(song.tempo));
        facts.push(format!("layers: {}", layers(self.arrangement.layer)));
        let instrument = &self.arrangement.instrument;
        let open: Vec<String> = (instrument.open.iter().rev())
            .map(ToString::to_string)
            .collect();
        let open = open.join(" ");
        let mut setting = vec![if instrument.tuning == open {
            format!("tuning {open}")
        } else {
            format!("tuning {} ({open})", instrument.tuning)
        }];
        if instrument.capo > 0 {
            setting.push(format!("capo at fret {}", instrument.capo));
        }
        setting.push(format!("{} hand", self.arrangement.hand.name));
        setting.extend(moved(self.arrangement.shift));
        let mut lines = vec![
            self.wrapped(&title, ""),
            self.wrapped(&facts.join(", "), ""),
            self.wrapped(&setting.join(", "), ""),
        ];
        if let Some(order) = play_order(&Score::new(self.arrangement).bars) {
            lines.push(self.wrapped(&format!("played: bars {order}"), ""));
        }
        lines.join("\n")
    }

    /// What the signs used here mean.
    pub fn legend(&self) -> String {
        let plucks = &self.arrangement.plucks;
        let way = |technique| plucks.iter().any(|p| p.technique == technique);
        let Signs { idle, ring, .. } = self.signs;
        let mut signs = vec![
            "numbers on the lines are frets, 0 is open".to_string(),
            format!("{ring}{ring} the string rings on"),
            format!("{idle}{idle} it is silent"),
        ];
        if self.arrangement.instrument.capo > 0 {
            signs.push("frets and chord names in brackets count from the capo".into());
        }
        signs.push("under the lines the beats".into());
        if plucks.iter().any(|p| p.left > 0) {
            signs.push("L left hand: 1 index to 4 little finger".into());
        }
        if !plucks.is_empty() {
            signs.push("R right hand: p thumb, i index, m middle, a ring".into());
            signs.push("fingers from the highest string down".into());
        }
        signs.extend(barres(self.arrangement).first().map(Held::meaning));
        for (technique, text) in [
            (
                Technique::Roll,
                "roll one after another from the lowest string",
            ),
            (Technique::Brush, "brush with the thumb"),
            (Technique::Harmonic, "<12> natural harmonic over that fret"),
            (Technique::Hit, "x hit"),
            (Technique::Slur, "h p hammered on, pulled off, / \\ slid"),
        ] {
            if way(technique) {
                signs.push(text.into());
            }
        }
        if self
            .arrangement
            .song
            .bars
            .iter()
            .any(|b| !b.ending.is_empty())
        {
            signs.push("[1. only on that pass".into());
        }
        self.wrapped(&format!("Signs: {}.", signs.join("; ")), "")
    }

    /// What a teacher would say, if there is anything.
    pub fn remarks(&self) -> Option<String> {
        let lines: Vec<String> = (self.arrangement.remarks.iter())
            .map(|r| {
                let text = format!("{}: {}", self.place(r.bar, r.at), r.text);
                self.wrapped(&text, "  ")
            })
            .collect();
        (!lines.is_empty()).then(|| format!("Remarks\n{}", lines.join("\n")))
    }

    /// Why each note is there, bar by bar.
    pub fn reasons(&self) -> Option<String> {
        let mut lines = vec!["Why each note is there".to_string()];
        for onset in self.arrangement.plucks.chunk_by(|a, b| a.at == b.at) {
            let place = self.place(onset[0].bar, onset[0].at);
            for (i, pluck) in onset.iter().enumerate() {
                let text = if i == 0 {
                    format!("{place}: {}", pluck.reason)
                } else {
                    format!("  {}", pluck.reason)
                };
                lines.push(self.wrapped(&text, "    "));
            }
        }
        (lines.len() > 1).then(|| lines.join("\n"))
    }

    /// `bar 3, beat 2½`; `at` is in ticks from the song's start.
    fn place(&self, bar: usize, at: Ticks) -> String {
        let Some(written) = self.arrangement.song.bars.get(bar) else {
            return format!("bar {}", bar + 1);
        };
        let beat = counted(written, self.missing[bar], at - self.starts[bar]);
        format!("bar {}, beat {beat}", written.number)
    }

    fn wrapped(&self, text: &str, indent: &str) -> String {
        // Two spaces at the front mark a line under another and are no part of the sentence.
        let lead = &text[..text.len() - text.trim_start().len()];
        let options = textwrap::Options::new(self.width)
            .initial_indent(lead)
            .subsequent_indent(indent);
        textwrap::fill(&self.signs.text(text), options)
    }
}

/// `quarter = 96`, `dotted quarter = 60`.
pub(in crate::exchange) fn tempo_text(tempo: Tempo) -> String {
    let name = |beat: Ticks| {
        [(4, "whole"), (2, "half"), (1, "quarter")]
            .into_iter()
            .find(|(n, _)| n * QUARTER == beat)
            .map(|(_, name)| name)
            .or_else(|| {
                [(2, "eighth"), (4, "sixteenth")]
                    .into_iter()
                    .find(|(n, _)| QUARTER == beat * n)
                    .map(|(_, name)| name)
            })
    };
    let beat = tempo.beat;
    let beat = match (name(beat), name(beat / 3 * 2)) {
        (Some(name), _) => name.to_string(),
        (None, Some(name)) => format!("dotted {name}"),
        (None, None) => format!("{} quarters", crate::theory::beats(beat)),
    };
    format!("{beat} = {}", tempo.per_minute)
}

pub(in crate::exchange) fn layers(highest: Layer) -> String {
    let names: Vec<&str> = highest.stack().map(Layer::name).collect();
    names.join(" + ")
}

/// How the melody was moved against the tune as written, if it was.
fn moved(shift: i32) -> Option<String> {
    let way = if shift < 0 { "below" } else { "above" };
    match (shift.abs() / 12, shift.abs() % 12) {
        (0, 0) => None,
        (1, 0) => Some(format!("melody an octave {way} the tune as written")),
        (n, 0) => Some(format!("melody {n} octaves {way} the tune as written")),
        _ => Some(format!(
            "melody {} semitones {way} the tune as written",
            shift.abs()
        )),
    }
}

/// The runs of bars as they are played, when that is not simply from first to last.
fn play_order(bars: &[PlayedBar]) -> Option<String> {
    let runs: Vec<String> = bars
        .chunk_by(|a, b| a.bar + 1 == b.bar)
        .map(|run| match run {
            [one] => one.number.to_string(),
            [first, .., last] => format!("{}-{}", first.number, last.number),
            [] => String::new(),
        })
        .collect();
    (runs.len() > 1).then(|| runs.join(", "))
}
