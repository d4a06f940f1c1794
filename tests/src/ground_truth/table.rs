//! The table.

use std::collections::BTreeMap;
use std::fmt::{Display, Formatter, Result};

use grainfall_simulate::scenarios::Suite;

use super::{Measure, Share, Tally};

/// Shares by measure, apart for the scenarios that were set aside.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Table {
    seeds: u64,
    chosen: Tally,
    held_out: Tally,
    by_scenario: BTreeMap<&'static str, Tally>,
}

/// One measure in one half of the table.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// What is measured.
    pub measure: Measure,
    /// Whether over the scenarios that were set aside.
    pub held_out: bool,
    /// How many of how many.
    pub share: Share,
}

impl Row {
    /// The share as a number, 0 to 1.
    #[must_use]
    pub fn value(&self) -> f64 {
        f64::from(self.share.right) / f64::from(self.share.all.max(1))
    }

    /// Whether it lies within its aim.
    #[must_use]
    pub fn holds(&self) -> bool {
        let (least, most) = self.measure.aim();
        (least..=most).contains(&self.value())
    }
}

impl Table {
    pub(super) fn new(seeds: u64) -> Self {
        Self { seeds, chosen: Tally::default(), held_out: Tally::default(), by_scenario: BTreeMap::new() }
    }

    pub(super) fn add(&mut self, suite: Suite, tally: Tally) {
        self.by_scenario.entry(suite.name).or_default().add(tally.clone());
        if suite.held_out { self.held_out.add(tally) } else { self.chosen.add(tally) }
    }

    /// Every row that has something to count.
    #[must_use]
    pub fn rows(&self) -> Vec<Row> {
        let half = |tally: &Tally, held_out| -> Vec<Row> {
            tally.shares.iter().map(|(measure, share)| Row { measure: *measure, held_out, share: *share }).collect()
        };
        let mut rows = half(&self.chosen, false);
        rows.extend(half(&self.held_out, true));
        rows
    }

    /// Events counted of a measure over all scenarios.
    #[must_use]
    pub fn events(&self, measure: Measure) -> u32 {
        self.rows().iter().filter(|row| row.measure == measure).map(|row| row.share.all).sum()
    }

    /// Every wrong answer of a measure, in words.
    pub fn wrong(&self, measure: Measure) -> impl Iterator<Item = &str> {
        let all = self.chosen.wrong.iter().chain(&self.held_out.wrong);
        all.filter(move |(of, _)| *of == measure).map(|(_, words)| words.as_str())
    }
}

impl Display for Table {
    fn fmt(&self, to: &mut Formatter<'_>) -> Result {
        writeln!(to, "{} houses of each scenario\n", self.seeds)?;
        writeln!(to, "{:<42} {:>9} {:>20} {:>20}", "", "aim", "scenarios", "set aside")?;
        for measure in Measure::ALL {
            let (least, most) = measure.aim();
            let aim = match measure {
                Measure::Forecasts => format!("{:.0}-{:.0} %", 100.0 * least, 100.0 * most),
                _ => format!(">= {:.0} %", 100.0 * least),
            };
            let cell = |tally: &Tally| match tally.shares.get(&measure) {
                None => "-".to_owned(),
                Some(share) => words(*share, measure),
            };
            let nothing = self.events(measure) == 0;
            let (chosen, held_out) = if nothing {
                ("not looked for".to_owned(), String::new())
            } else {
                (cell(&self.chosen), cell(&self.held_out))
            };
            writeln!(to, "{:<42} {aim:>9} {chosen:>20} {held_out:>20}", measure.words())?;
        }
        writeln!(to, "\nby scenario, answers right of all:")?;
        for (name, tally) in &self.by_scenario {
            let shares: Vec<String> = Measure::ALL
                .iter()
                .filter_map(|measure| {
                    Some(format!("{measure:?} {}/{}", tally.shares.get(measure)?.right, tally.shares.get(measure)?.all))
                })
                .collect();
            writeln!(to, "  {name}: {}", shares.join(", "))?;
        }
        Ok(())
    }
}

fn words(share: Share, measure: Measure) -> String {
    let row = Row { measure, held_out: false, share };
    let mark = if row.holds() { ' ' } else { '!' };
    format!("{} of {} {:.1} %{mark}", share.right, share.all, 100.0 * row.value())
}
