//! What is asked for in print: paper, large print, grades, a booklet's title.

use super::plan::Plan;
use crate::arrange::{Arrangement, Grade};
use crate::exchange::output::{Format, Look};
use crate::exchange::sheet::{Booklet, Options, Paper, Part};

/// How sheets are printed.
#[derive(Debug, Clone, clap::Args)]
pub(super) struct Print {
    /// Paper of the sheets: a4 or letter
    #[arg(long, default_value = "a4", value_parser = paper)]
    paper: Paper,
    /// Sheets in large print
    #[arg(long)]
    large: bool,
    /// Sheets of each song in three grades, from beginner to concert, as one booklet
    #[arg(long, requires = "outs", conflicts_with_all = ["full", "easy", "grade"])]
    grades: bool,
    /// Title over the contents when several sheets make a booklet
    #[arg(long, value_name = "TITLE", requires = "outs")]
    booklet: Option<String>,
}

impl Print {
    pub(super) fn options(&self) -> Options {
        Options {
            paper: self.paper,
            large: self.large,
        }
    }

    /// How each song is arranged, once or in three grades.
    pub(super) fn plans(&self, plan: &Plan) -> Vec<(Plan, &'static str)> {
        if !self.grades {
            return vec![(plan.clone(), "")];
        }
        let names = ["grade 1", "grade 2", "grade 3"];
        (Grade::ALL.iter().zip(names))
            .map(|(&grade, name)| (plan.graded(grade), name))
            .collect()
    }

    /// Whether what is asked for can be written in these formats; `only` when there is nothing else.
    pub(super) fn fits(
        &self,
        only: bool,
        mut formats: impl Iterator<Item = Format>,
    ) -> Result<(), String> {
        let sheets = only && formats.all(|f| matches!(f, Format::Pdf | Format::Svg));
        if (self.grades || self.booklet.is_some()) && !sheets {
            return Err("--grades and --booklet make sheets: use -o with .pdf or .svg only".into());
        }
        Ok(())
    }

    /// The bytes of a file.
    pub(super) fn render(&self, format: Format, done: &Graded, look: Look) -> Vec<u8> {
        let booklet = || Booklet {
            title: self.booklet.as_deref().unwrap_or_default(),
            parts: done.parts(),
        };
        match format {
            Format::Pdf => booklet().lay_out(look.sheet).pdf(),
            Format::Svg => booklet().lay_out(look.sheet).svg().into_bytes(),
            format => format.render(&done.arrangements, look),
        }
    }
}

/// Songs arranged, each with the grade it was arranged in, or nothing.
#[derive(Default)]
pub(super) struct Graded {
    pub(super) arrangements: Vec<Arrangement>,
    grades: Vec<String>,
}

impl Graded {
    /// Takes a song in its grades, the easiest first. Grades that come out the same are one.
    pub(super) fn take(&mut self, song: Vec<(Arrangement, &str)>) {
        let from = self.arrangements.len();
        for (arrangement, grade) in song {
            let known = self.arrangements.iter().skip(from);
            let same = known
                .zip(from..)
                .find(|(a, _)| a.plucks == arrangement.plucks);
            match same.and_then(|(_, i)| self.grades.get_mut(i)) {
                Some(known) => *known = format!("{known} and {grade}"),
                None => {
                    self.arrangements.push(arrangement);
                    self.grades.push(grade.to_owned());
                }
            }
        }
    }

    fn parts(&self) -> Vec<Part<'_>> {
        (self.arrangements.iter().zip(&self.grades))
            .map(|(arrangement, kind)| Part { arrangement, kind })
            .collect()
    }
}

fn paper(text: &str) -> Result<Paper, String> {
    match text.to_ascii_lowercase().as_str() {
        "a4" => Ok(Paper::A4),
        "letter" => Ok(Paper::Letter),
        _ => Err("the paper is a4 or letter".into()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::score::fixture;

    #[test]
    fn grades_that_come_out_the_same_are_one() {
        let mut done = Graded::default();
        done.take(vec![
            (fixture::waltz(), "grade 1"),
            (fixture::waltz(), "grade 2"),
            (fixture::round(), "grade 3"),
        ]);
        done.take(vec![(fixture::waltz(), "grade 1")]);
        let kinds: Vec<&str> = done.parts().iter().map(|p| p.kind).collect();
        assert_eq!(kinds, ["grade 1 and grade 2", "grade 3", "grade 1"]);
    }
}
