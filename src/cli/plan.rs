//! How songs are arranged: the options of every subcommand that arranges, and what they come to.

use super::melody::Melody;
use super::problem::Problem;
use super::{Failure, Fault, ideas};
use crate::arrange::{Arrangement, Goal, Grade, Layer, Lean, Options, Proposal, arrange, propose};
use crate::exchange::input::Choice;
use crate::guitar::{GuitarError, Hand, Instrument};
use crate::song::{GuitarWish, Song};
use crate::theory::Key;
use std::borrow::Cow;

/// How songs are arranged; for every subcommand that arranges.
#[derive(Debug, clap::Args)]
pub(super) struct How {
    /// Highest layer: 1 melody, 2 bass, 3 fill, 4 colour: the ideas taken in the song. If nothing is
    /// said, 4 for a song with such ideas, else 3
    #[arg(long, value_parser = clap::value_parser!(u8).range(1..=4))]
    layer: Option<u8>,
    /// Only the tune of this number (X: in an abc file)
    #[arg(long, value_name = "N")]
    tune: Option<u32>,
    #[command(flatten)]
    melody: Melody,
    /// Move the song to this key (G, Em, Bb), or `auto` for the one that plays best
    #[arg(long, value_name = "KEY")]
    key: Option<String>,
    /// Capo at this fret
    #[arg(long, value_name = "FRET")]
    capo: Option<u8>,
    /// Tuning by name, or its notes from the lowest: "D2 A2 D3 G3 B3 E4"
    #[arg(long)]
    tuning: Option<String>,
    /// Hand profile: small, medium, large
    #[arg(long)]
    hand: Option<String>,
    /// Lean towards fuller chords
    #[arg(long, conflicts_with = "easy")]
    full: bool,
    /// Lean towards easier grips
    #[arg(long)]
    easy: bool,
    /// Take ideas for the whole song: plain, walking, lively or sparse (layer 4)
    #[arg(long, value_name = "NAME", value_parser = ideas::proposal)]
    colour: Option<Proposal>,
    /// How many efforts more the song may cost with --colour or --propose
    // A negative one is answered by the reader of budgets.
    #[arg(long, value_name = "EFFORTS", default_value_t = 8.0, allow_negative_numbers = true,
        value_parser = ideas::budget)]
    budget: f64,
    /// How much the hand is asked for: 1 beginner (no stretch, no barre, small chords), 2 between,
    /// 3 concert
    #[arg(long, value_name = "1-3", value_parser = clap::value_parser!(u8).range(1..=3),
          conflicts_with_all = ["full", "easy"])]
    grade: Option<u8>,
    /// Write the repeats out, so that the second time may be another
    #[arg(long)]
    write_out: bool,
    /// Make the hardest single move as easy as it can be, and only then the whole
    #[arg(long)]
    smooth: bool,
}

/// How songs are arranged, understood.
#[derive(Clone)]
pub(super) struct Plan {
    pub(super) tune: Option<u32>,
    pub(super) choice: Choice,
    key: Wanted,
    wish: GuitarWish,
    /// But for the layer.
    options: Options,
    layer: Option<Layer>,
    /// Ideas of this character are taken, for no more than so many thousandths of an effort.
    colour: Option<Proposal>,
    pub(super) budget: i64,
    grade: Option<Grade>,
    write_out: bool,
}

/// The key that is wanted.
#[derive(Clone)]
enum Wanted {
    AsWritten,
    Key(Key),
    Best,
}

impl Plan {
    pub(super) fn new(how: How) -> Result<Plan, Failure> {
        let usage = |text: String| Failure::new(Fault::Usage, text);
        let layer = match how.colour {
            Some(_) => Some(Layer::Colour),
            None => how.layer.and_then(Layer::numbered),
        };
        let key = match how.key.as_deref().map(str::trim) {
            None => Wanted::AsWritten,
            Some(auto) if auto.eq_ignore_ascii_case("auto") => Wanted::Best,
            Some(key) => Wanted::Key(key.parse().map_err(|e| usage(format!("--key: {e}")))?),
        };
        let wish = GuitarWish {
            tuning: how.tuning,
            capo: how.capo,
            hand: how.hand,
            ..GuitarWish::default()
        };
        // What can't be right for any song is found before a song is opened.
        Instrument::wished(&wish).map_err(|e| usage(typed(&e)))?;
        Hand::wished(&wish).map_err(|e| usage(typed(&e)))?;
        let lean = match (how.full, how.easy) {
            (true, _) => Lean::Full,
            (_, true) => Lean::Easy,
            _ => Lean::Even,
        };
        let grade = how.grade.map(|n| match n {
            1 => Grade::First,
            2 => Grade::Middle,
            _ => Grade::Concert,
        });
        let options = Options {
            lean,
            goal: if how.smooth {
                Goal::HardestStep
            } else {
                Goal::Total
            },
            ..Options::default()
        };
        Ok(Plan {
            tune: how.tune,
            choice: how.melody.choice()?,
            key,
            wish,
            colour: how.colour,
            budget: (how.budget * 1000.0).round() as i64,
            options: grade.map_or(options.clone(), |g| g.options(&options)),
            layer,
            grade,
            write_out: how.write_out,
        })
    }

    /// The same at a grade.
    pub(super) fn graded(&self, grade: Grade) -> Plan {
        Plan {
            options: grade.options(&self.options),
            grade: Some(grade),
            ..self.clone()
        }
    }

    /// What the arranger is asked for.
    pub(super) fn options(&self, song: &Song) -> Options {
        Options {
            layer: self.layer.unwrap_or(Options::usual(song).layer),
            ..self.options.clone()
        }
    }

    /// The song as it is arranged, but for its key: with its repeats written out where that is asked
    /// for.
    fn laid_out<'a>(&self, song: &'a Song) -> Cow<'a, Song> {
        match self.write_out {
            true => Cow::Owned(song.written_out()),
            false => Cow::Borrowed(song),
        }
    }

    /// The song in the key that is asked for, with the ideas that are; for those, and for the key that
    /// plays best, it is arranged first.
    pub(super) fn song(&self, song: &Song) -> Result<Song, Problem> {
        let mut wanted = match &self.key {
            _ if self.colour.is_some() => arranged(self, song)?.song,
            Wanted::Best => arranged(self, song)?.song,
            Wanted::AsWritten => self.laid_out(song).into_owned(),
            Wanted::Key(key) => self.laid_out(song).in_key(key),
        };
        wanted.guitar = self.wished(song);
        Ok(wanted)
    }

    /// What the options and the song ask of the guitar; the options come first.
    fn wished(&self, song: &Song) -> GuitarWish {
        GuitarWish {
            tuning: self.wish.tuning.clone().or(song.guitar.tuning.clone()),
            capo: self.wish.capo.or(song.guitar.capo),
            hand: self.wish.hand.clone().or(song.guitar.hand.clone()),
            ..song.guitar.clone()
        }
    }
}

/// A guitar that can't be, by the option that asks for it.
pub(super) fn typed(error: &GuitarError) -> String {
    match error.field() {
        Some(option) => format!("--{option}: {error}"),
        None => error.to_string(),
    }
}

/// Arranges a song as it is asked for.
pub(super) fn arranged(plan: &Plan, song: &Song) -> Result<Arrangement, Problem> {
    let wish = plan.wished(song);
    let blame = |error: GuitarError| {
        let by_option = match error.field() {
            Some("tuning") => plan.wish.tuning.is_some(),
            Some("capo") => plan.wish.capo.is_some(),
            Some("hand") => plan.wish.hand.is_some(),
            _ => false,
        };
        if by_option {
            Problem::Option(error)
        } else {
            Problem::Guitar(error)
        }
    };
    let instrument = Instrument::wished(&wish).map_err(blame)?;
    let hand = Hand::wished(&wish).map_err(blame)?;
    let hand = plan.grade.map_or(hand.clone(), |g| g.hand(&hand));
    let laid_out = plan.laid_out(song);
    let options = plan.options(song);
    let solve = |tried: &Song| {
        let solved = match plan.colour {
            None => arrange(tried, &instrument, &hand, &options),
            Some(name) => {
                let wanted = (name, plan.budget);
                propose(tried, &instrument, &hand, &options, wanted).map(|p| p.arrangement)
            }
        };
        solved.map_err(|error| Problem::arrange(error, tried, song))
    };
    match &plan.key {
        Wanted::AsWritten => solve(&laid_out),
        Wanted::Key(key) => solve(&laid_out.in_key(key)),
        Wanted::Best => best_key(&laid_out, solve),
    }
}

/// The arrangement of least cost over the twelve keys, the nearer key where two cost the same.
fn best_key(
    song: &Song,
    solve: impl Fn(&Song) -> Result<Arrangement, Problem>,
) -> Result<Arrangement, Problem> {
    let mut best = solve(song);
    for semitones in [1, -1, 2, -2, 3, -3, 4, -4, 5, -5, 6] {
        let other = solve(&song.transposed(semitones));
        let better = match (&best, &other) {
            (Ok(best), Ok(other)) => other.price.total() < best.price.total(),
            (Err(_), Ok(_)) => true,
            _ => false,
        };
        if better {
            best = other;
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::Parser;

    #[derive(clap::Parser)]
    struct Typed {
        #[command(flatten)]
        how: How,
    }

    #[test]
    fn a_budget_keeps_its_thousandths() {
        let typed = Typed::parse_from(["arrange", "--budget", "1.005"]);
        assert_eq!(Plan::new(typed.how).unwrap().budget, 1005);
    }
}
