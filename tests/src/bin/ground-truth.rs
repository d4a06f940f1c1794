//! Prints how right the program is about houses of which everything is known: `ground-truth [HOUSES] [--wrong]
//! [--record]`.
//!
//! `HOUSES` is the number of houses of each scenario; `--wrong` lists every wrong answer; `--record` writes the table to
//! `tests/ground-truth.txt`.

use std::process::ExitCode;

use grainfall_tests::ground_truth::{HOUSES, Measure, record, run};
use grainfall_tests::told;

fn main() -> ExitCode {
    let mut houses = HOUSES;
    let (mut list, mut keep) = (false, false);
    for argument in std::env::args().skip(1) {
        match argument.parse::<u64>() {
            Ok(number) if number > 0 => houses = number,
            _ if argument == "--wrong" => list = true,
            _ if argument == "--record" => keep = true,
            _ => {
                return told(
                    "expected `ground-truth [HOUSES] [--wrong] [--record]`, for example `ground-truth 12`\n",
                    2,
                );
            }
        }
    }
    let table = run(houses);
    if keep && let Err(error) = record(&table) {
        return told(&format!("cannot write tests/ground-truth.txt: {error}\n"), 2);
    }
    let mut text = table.to_string();
    if list {
        for measure in Measure::ALL {
            for wrong in table.wrong(measure) {
                text += &format!("\n{measure:?}: {wrong}");
            }
        }
        text.push('\n');
    }
    let holds = table.rows().iter().filter(|row| row.share.all >= row.measure.enough()).all(|row| row.holds());
    told(&text, u8::from(!holds))
}
