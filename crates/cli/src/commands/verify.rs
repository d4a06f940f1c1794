//! `verify`: computes a report again from its inputs and says what is not as recorded.

use std::fs;
use std::path::Path;

use anyhow::{Context, Result};
use grainfall_analysis::Settings;
use grainfall_keep::Store;
use grainfall_report::compare::{self, Difference, DifferenceKind, Recorded};
use grainfall_report::jobs::brief;
use grainfall_report::manifest::{MANIFEST, ManifestSettings, SIGNATURE, sha256};
use grainfall_words::{Language, Words};
use serde::Serialize;

use crate::args::{Style, VerifyArgs};
use crate::commands::report::{self, REPORT};
use crate::exit_code::Outcome;
use crate::folder;
use crate::progress::Progress;
use crate::signature;
use crate::terminal::{self, columns, paragraph};

/// Differences listed on the terminal.
const SHOWN: usize = 20;

/// The answer, as a program reads it.
#[derive(Serialize)]
struct Verification<'a> {
    schema: &'static str,
    schema_version: u32,
    folder: &'a str,
    same: bool,
    signature: SignatureState,
    differences: &'a [Difference],
}

/// What was said of the signature.
#[derive(Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
enum SignatureState {
    NotChecked,
    Valid,
    NotValid,
}

/// Compares signature, files and a new computation with the manifest.
pub fn run(args: &VerifyArgs) -> Result<Outcome> {
    let key = args.public_key.as_deref().map(signature::public_key).transpose()?;
    let report_dir = args.folder.join(REPORT);
    let recorded = Recorded::read(&report_dir)?;
    let mut differences = compare::files(&report_dir, &recorded);
    let mut state = SignatureState::NotChecked;
    if let Some(key) = &key {
        let wrong = signature_difference(&report_dir, &recorded, key);
        state = if wrong.is_none() { SignatureState::Valid } else { SignatureState::NotValid };
        differences.extend(wrong);
    }
    differences.extend(compute_again(&args.folder, &recorded, !differences.is_empty())?);
    differences.sort();
    let name = folder::folder_name(&args.folder);
    if args.json {
        let answer = Verification {
            schema: "grainfall-verification",
            schema_version: 1,
            folder: &name,
            same: differences.is_empty(),
            signature: state,
            differences: &differences,
        };
        terminal::print_data(&serde_json::to_string_pretty(&answer)?)?;
    } else {
        terminal::print(text(&name, &recorded, state, &differences).trim_end())?;
    }
    Ok(if differences.is_empty() { Outcome::Done } else { Outcome::Differs })
}

fn signature_difference(report_dir: &Path, recorded: &Recorded, key: &minisign::PublicKey) -> Option<Difference> {
    let wrong = match fs::read(report_dir.join(SIGNATURE)) {
        Ok(bytes) => signature::check(&recorded.bytes, &bytes, key).err()?,
        Err(source) => format!("cannot be read: {source}; `grainfall report --sign KEYFILE` writes one"),
    };
    Some(Difference {
        kind: DifferenceKind::Signature,
        place: SIGNATURE.to_owned(),
        recorded: None,
        found: Some(wrong),
    })
}

/// What a new computation from the inputs gives otherwise. Inputs that can no longer be read are compared by their hash.
fn compute_again(folder: &Path, recorded: &Recorded, differs: bool) -> Result<Vec<Difference>> {
    let progress = Progress::start("reading");
    let asked = &recorded.settings;
    let settings = Settings { as_of: asked.as_of, folder: asked.folder.clone() };
    let made = written(asked)
        .and_then(|style| folder::judge_with(folder, settings, style, &progress))
        .and_then(|judged| report::outputs(&judged, asked.units, asked.workbook, &Store::none(), &progress));
    match made {
        Ok(outputs) => Ok(compare::again(recorded, outputs.files.get(MANIFEST).map(Vec::as_slice).unwrap_or_default())),
        Err(fault) => {
            let mut differences = compare::inputs(folder, recorded);
            if differences.is_empty() && !differs {
                return Err(fault.context("the report cannot be computed again, though its inputs are as recorded"));
            }
            differences.push(Difference {
                kind: DifferenceKind::Result,
                place: "cannot be computed again".to_owned(),
                recorded: Some(sha256(&recorded.bytes)),
                found: Some(brief(&format!("{fault:#}"))),
            });
            Ok(differences)
        }
    }
}

/// How the recorded report was written.
fn written(asked: &ManifestSettings) -> Result<Style> {
    let language = Language::of_code(&asked.language);
    let language = language
        .with_context(|| format!("the report is in `{}`, a language this program does not have", asked.language))?;
    Ok(Style { dates: asked.dates, words: Words::of(language) })
}

fn text(name: &str, recorded: &Recorded, state: SignatureState, differences: &[Difference]) -> String {
    let signed = match state {
        SignatureState::NotChecked => "",
        SignatureState::Valid => "; the signature is valid",
        SignatureState::NotValid => "; the signature is not valid",
    };
    if differences.is_empty() {
        let outputs = recorded.outputs().len();
        let same = format!("{name}: same; computed again from its inputs, {outputs} files as recorded{signed}");
        return paragraph(&same, 0);
    }
    let mut out = paragraph(&format!("{name}: differs in {} places{signed}", differences.len()), 0);
    if recorded.is_behind() {
        let why = "`grainfall watch` is making the report, or was when it was stopped: only its summary is of these \
                   inputs; `grainfall report` makes it whole";
        out += &paragraph(why, 2);
    }
    let value = |text: &Option<String>| text.as_deref().map_or_else(|| "nothing".to_owned(), short);
    let rows: Vec<Vec<String>> = differences
        .iter()
        .take(SHOWN)
        .map(|one| {
            let recorded = value(&one.recorded);
            vec![
                one.kind.words().to_owned(),
                match one.kind {
                    DifferenceKind::Signature => format!("{}: {}", one.place, value(&one.found)),
                    _ => format!("{}: recorded {recorded}, found {}", one.place, value(&one.found)),
                },
            ]
        })
        .collect();
    out += &columns(&rows, 2);
    if differences.len() > SHOWN {
        out += &format!("  and {} more; `--json` lists them all\n", differences.len() - SHOWN);
    }
    out
}

/// A hash by its first digits, any other text as it is.
fn short(text: &str) -> String {
    let is_hash = text.len() == 64 && text.bytes().all(|byte| byte.is_ascii_hexdigit());
    if is_hash { format!("{}...", &text[..12]) } else { text.to_owned() }
}
