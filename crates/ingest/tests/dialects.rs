//! A known series written in a random dialect reads back to the same instants and values, or is refused by naming what
//! is ambiguous; and no bytes at all make reading stop.
//!
//! 500 dialects are tried; `GRAINFALL_DIALECTS=10000` tries as many. The reads per axis are printed (`--nocapture`).

#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "a test stops where it fails, and prints its table")]

mod common;

use std::cell::RefCell;
use std::collections::BTreeMap;

use chrono::{DateTime, Datelike, TimeDelta, Timelike, Utc};
use grainfall_ingest::{Reading, read_bytes};
use grainfall_record::{Certainty, DateOrder, Outcome, Quantity, ReadingHints};
use proptest::prelude::*;
use proptest::test_runner::{Config, RngAlgorithm, TestCaseError, TestRng, TestRunner};

/// The name of an axis, and its values with their weights.
type Axis = (&'static str, &'static [(&'static str, u32)]);

/// Every axis.
static AXES: [Axis; 16] = [
    (
        "layout",
        &[("one logger", 8), ("side by side", 3), ("logger column", 3), ("quantity column", 3), ("units in cells", 2)],
    ),
    ("delimiter", &[("comma", 5), ("semicolon", 4), ("tab", 3), ("pipe", 1)]),
    ("decimal mark", &[("point", 3), ("comma", 2)]),
    ("quotes", &[("none", 3), ("all", 1)]),
    (
        "times",
        &[
            ("iso", 4),
            ("iso Z", 2),
            ("iso offset", 2),
            ("iso slashes", 1),
            ("us am pm", 4),
            ("us two-digit year", 2),
            ("day first slashes", 2),
            ("day first dots", 3),
            ("month name", 2),
            ("date and time columns", 3),
            ("date, time and half columns", 1),
            ("parts", 2),
            ("epoch s", 1),
            ("epoch ms", 1),
            ("epoch us", 1),
            ("epoch ns", 1),
            ("serial", 2),
            ("elapsed minutes", 2),
            ("elapsed seconds", 1),
            ("hour 24", 1),
            ("two formats", 2),
            ("signs", 1),
            ("half before time", 1),
            ("jitter", 1),
            ("twelve hours unmarked", 1),
        ],
    ),
    (
        "bytes",
        &[("UTF-8", 6), ("UTF-8 mark", 2), ("UTF-16LE mark", 2), ("UTF-16LE", 1), ("UTF-16BE", 1), ("windows-1252", 2)],
    ),
    ("line end", &[("LF", 3), ("CRLF", 3), ("CR", 1)]),
    ("unit", &[("C", 3), ("F", 3), ("K", 1)]),
    ("names", &[("brackets", 4), ("underscore", 2), ("units row", 2), ("scaled", 1)]),
    (
        "language",
        &[
            ("English", 4),
            ("German", 2),
            ("Spanish", 1),
            ("French", 1),
            ("Dutch", 1),
            ("Italian", 1),
            ("Portuguese", 1),
            ("Polish", 1),
            ("Czech", 1),
            ("Danish", 1),
            ("Norwegian", 1),
            ("Swedish", 1),
            ("Finnish", 1),
            ("Japanese", 1),
            ("Chinese", 1),
        ],
    ),
    ("above", &[("nothing", 3), ("one line", 2), ("five lines", 2)]),
    ("missing", &[("empty", 3), ("NA", 1), ("---", 1), ("NaN", 1), ("OL", 1), ("-999", 1)]),
    ("order", &[("oldest first", 3), ("newest first", 1)]),
    ("end", &[("line end", 3), ("none", 1), ("statistics", 1)]),
    ("row numbers", &[("no", 3), ("yes", 1)]),
    ("header again", &[("no", 5), ("in the middle", 1)]),
];

/// Names of date-and-time, date, time, temperature and humidity, and of a month, in each language.
static LANGUAGES: [(&str, [&str; 5], [&str; 12]); 15] = [
    (
        "English",
        ["timestamp", "Date", "Time", "Temperature", "Humidity"],
        [
            "January",
            "February",
            "March",
            "April",
            "May",
            "June",
            "July",
            "August",
            "September",
            "October",
            "November",
            "December",
        ],
    ),
    (
        "German",
        ["Zeitstempel", "Datum", "Uhrzeit", "Temperatur", "Feuchte"],
        [
            "Januar",
            "Februar",
            "März",
            "April",
            "Mai",
            "Juni",
            "Juli",
            "August",
            "September",
            "Oktober",
            "November",
            "Dezember",
        ],
    ),
    (
        "Spanish",
        ["Fecha y hora", "Fecha", "Hora", "Temperatura", "Humedad relativa"],
        [
            "enero",
            "febrero",
            "marzo",
            "abril",
            "mayo",
            "junio",
            "julio",
            "agosto",
            "septiembre",
            "octubre",
            "noviembre",
            "diciembre",
        ],
    ),
    (
        "French",
        ["Horodatage", "Date", "Heure", "Température", "Humidité relative"],
        [
            "janvier",
            "février",
            "mars",
            "avril",
            "mai",
            "juin",
            "juillet",
            "août",
            "septembre",
            "octobre",
            "novembre",
            "décembre",
        ],
    ),
    (
        "Dutch",
        ["Tijdstip", "Datum", "Tijd", "Temperatuur", "Relatieve vochtigheid"],
        [
            "januari",
            "februari",
            "maart",
            "april",
            "mei",
            "juni",
            "juli",
            "augustus",
            "september",
            "oktober",
            "november",
            "december",
        ],
    ),
    (
        "Italian",
        ["Data e ora", "Data", "Ora", "Temperatura", "Umidità relativa"],
        [
            "gennaio",
            "febbraio",
            "marzo",
            "aprile",
            "maggio",
            "giugno",
            "luglio",
            "agosto",
            "settembre",
            "ottobre",
            "novembre",
            "dicembre",
        ],
    ),
    (
        "Portuguese",
        ["Data e hora", "Data", "Hora", "Temperatura do ar", "Umidade relativa"],
        [
            "janeiro",
            "fevereiro",
            "março",
            "abril",
            "maio",
            "junho",
            "julho",
            "agosto",
            "setembro",
            "outubro",
            "novembro",
            "dezembro",
        ],
    ),
    (
        "Polish",
        ["Data i czas", "Data", "Czas", "Temperatura", "Wilgotność względna"],
        [
            "stycznia",
            "lutego",
            "marca",
            "kwietnia",
            "maja",
            "czerwca",
            "lipca",
            "sierpnia",
            "września",
            "października",
            "listopada",
            "grudnia",
        ],
    ),
    (
        "Czech",
        ["Datum a čas", "Datum", "Čas", "Teplota", "Relativní vlhkost"],
        [
            "ledna",
            "února",
            "března",
            "dubna",
            "května",
            "června",
            "července",
            "srpna",
            "září",
            "října",
            "listopadu",
            "prosince",
        ],
    ),
    (
        "Danish",
        ["Tidspunkt", "Dato", "Klokkeslæt", "Temperatur", "Relativ luftfugtighed"],
        [
            "januar",
            "februar",
            "marts",
            "april",
            "maj",
            "juni",
            "juli",
            "august",
            "september",
            "oktober",
            "november",
            "december",
        ],
    ),
    (
        "Norwegian",
        ["Tidspunkt", "Dato", "Klokkeslett", "Lufttemperatur", "Luftfuktighet"],
        [
            "januar",
            "februar",
            "mars",
            "april",
            "mai",
            "juni",
            "juli",
            "august",
            "september",
            "oktober",
            "november",
            "desember",
        ],
    ),
    (
        "Swedish",
        ["Tidpunkt", "Datum", "Tid", "Temperatur", "Luftfuktighet"],
        [
            "januari",
            "februari",
            "mars",
            "april",
            "maj",
            "juni",
            "juli",
            "augusti",
            "september",
            "oktober",
            "november",
            "december",
        ],
    ),
    (
        "Finnish",
        ["Aikaleima", "Päivämäärä", "Kello", "Lämpötila", "Suhteellinen kosteus"],
        [
            "tammikuuta",
            "helmikuuta",
            "maaliskuuta",
            "huhtikuuta",
            "toukokuuta",
            "kesäkuuta",
            "heinäkuuta",
            "elokuuta",
            "syyskuuta",
            "lokakuuta",
            "marraskuuta",
            "joulukuuta",
        ],
    ),
    (
        "Japanese",
        ["測定日時", "日付", "時刻", "温度", "相対湿度"],
        ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"],
    ),
    (
        "Chinese",
        ["日期时间", "日期", "时间", "温度", "湿度"],
        ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"],
    ),
];

/// One value of each axis.
#[derive(Debug, Clone)]
struct Dialect(Vec<&'static str>);

impl Dialect {
    fn of(&self, axis: &str) -> &'static str {
        self.0[AXES.iter().position(|(name, _)| *name == axis).unwrap()]
    }

    fn is(&self, axis: &str, value: &str) -> bool {
        assert!(AXES.iter().any(|(name, values)| *name == axis && values.iter().any(|(known, _)| *known == value)));
        self.of(axis) == value
    }

    fn language(&self) -> (&'static [&'static str; 5], &'static [&'static str; 12]) {
        let (_, words, months) = LANGUAGES.iter().find(|(name, ..)| *name == self.of("language")).unwrap();
        (words, months)
    }

    /// Combinations that no writer can make are changed into the nearest that one can.
    fn sane(mut self) -> Self {
        let now: BTreeMap<&str, &'static str> = AXES.iter().map(|(name, _)| (*name, self.of(name))).collect();
        let mut put = |axis: &str, value: &'static str| {
            self.0[AXES.iter().position(|(name, _)| *name == axis).unwrap()] = value;
        };
        // A decimal comma between commas is only readable in quotes.
        if now["delimiter"] == "comma" && now["decimal mark"] == "comma" {
            put("quotes", "all");
        }
        let western = [
            "English",
            "German",
            "Spanish",
            "French",
            "Dutch",
            "Italian",
            "Portuguese",
            "Danish",
            "Norwegian",
            "Swedish",
            "Finnish",
        ];
        if now["bytes"] == "windows-1252" && (!western.contains(&now["language"]) || now["times"] == "signs") {
            put("bytes", "UTF-8");
        }
        if now["times"].starts_with("elapsed") && now["above"] == "nothing" {
            put("above", "one line");
        }
        // One column of values has one unit a row; a units row has none to give, and neither do cells with units.
        if matches!(now["layout"], "quantity column" | "units in cells") {
            put("names", "brackets");
        }
        if now["layout"] == "quantity column" || now["layout"] == "logger column" {
            put("header again", "no");
        }
        self
    }
}

fn dialect() -> impl Strategy<Value = Dialect> {
    prop::collection::vec(any::<u32>(), AXES.len()).prop_map(|draws| {
        let pick = |((_, values), draw): (&Axis, u32)| {
            let mut rest = draw % values.iter().map(|(_, weight)| weight).sum::<u32>();
            for (value, weight) in *values {
                if rest < *weight {
                    return *value;
                }
                rest -= weight;
            }
            values[0].0
        };
        Dialect(AXES.iter().zip(draws).map(pick).collect()).sane()
    })
}

#[derive(Debug, Clone)]
struct Log {
    start: DateTime<Utc>,
    step_min: i64,
    /// Tenths of a unit as written.
    temps: Vec<Option<i32>>,
    humidities: Vec<Option<i32>>,
}

fn log() -> impl Strategy<Value = Log> {
    let value = |low: i32, high: i32| prop::option::weighted(0.93, low..high);
    (1_262_304_000_i64..1_893_456_000, prop::sample::select(vec![1_i64, 10, 15, 60]), 12..70_usize).prop_flat_map(
        move |(start, step_min, rows)| {
            let start = DateTime::from_timestamp(start - start % 60, 0).unwrap();
            (prop::collection::vec(value(-150, 950), rows), prop::collection::vec(value(100, 1000), rows)).prop_map(
                move |(mut temps, mut humidities)| {
                    // A sample has at least one value; these are the outer ones, to fix the span.
                    let last = temps.len() - 1;
                    for at in [0, last] {
                        temps[at] = temps[at].or(Some(215));
                        humidities[at] = humidities[at].or(Some(455));
                    }
                    Log { start, step_min, temps, humidities }
                },
            )
        },
    )
}

impl Log {
    fn time(&self, row: usize) -> DateTime<Utc> {
        self.start + TimeDelta::minutes(self.step_min * i64::try_from(row).unwrap())
    }

    /// The instant as a dialect can write it.
    fn written_time(&self, dialect: &Dialect, row: usize) -> DateTime<Utc> {
        let jitter = if dialect.is("times", "jitter") { i64::try_from(row % 7).unwrap() } else { 0 };
        self.time(row) + TimeDelta::milliseconds(jitter)
    }

    /// Temperature in the unit's tenths: a kelvin log is one of degC.
    fn tenths(&self, dialect: &Dialect, row: usize) -> Option<i32> {
        self.temps[row].map(|tenths| if dialect.is("unit", "K") { tenths + 2731 } else { tenths })
    }
}

/// The cells that say when, for a row.
fn time_cells(log: &Log, dialect: &Dialect, row: usize) -> Vec<String> {
    let t = log.written_time(dialect, row);
    let one = |form: &str| vec![t.format(form).to_string()];
    let (_, months) = dialect.language();
    match dialect.of("times") {
        "iso" => one("%Y-%m-%d %H:%M:%S"),
        "iso Z" => one("%Y-%m-%dT%H:%M:%SZ"),
        "iso offset" => vec![(t + TimeDelta::hours(2)).format("%Y-%m-%dT%H:%M:%S+02:00").to_string()],
        "iso slashes" => one("%Y/%m/%d %H:%M"),
        "us am pm" => one("%-m/%-d/%Y %-I:%M:%S %p"),
        "us two-digit year" => one("%m/%d/%y %H:%M"),
        "day first slashes" => one("%d/%m/%Y %H:%M"),
        "day first dots" => one("%d.%m.%y %H:%M"),
        "month name" => vec![format!("{} {} {}", t.day(), months[t.month0() as usize], t.format("%Y %H:%M"))],
        "date and time columns" => vec![t.format("%d.%m.%Y").to_string(), t.format("%H:%M").to_string()],
        "date, time and half columns" => {
            vec![t.format("%Y-%m-%d").to_string(), t.format("%-I:%M").to_string(), t.format("%p").to_string()]
        }
        "parts" => {
            [t.year(), t.month().cast_signed(), t.day().cast_signed(), t.hour().cast_signed(), t.minute().cast_signed()]
                .map(|part| part.to_string())
                .to_vec()
        }
        "epoch s" => vec![t.timestamp().to_string()],
        "epoch ms" => vec![t.timestamp_millis().to_string()],
        "epoch us" => vec![t.timestamp_micros().to_string()],
        "epoch ns" => vec![t.timestamp_nanos_opt().unwrap().to_string()],
        "serial" => {
            // Days since 1899-12-30; 1970-01-01 is day 25569.
            let days = 25_569.0 + t.timestamp() as f64 / 86_400.0;
            vec![format!("{days:.6}").replace('.', mark(dialect))]
        }
        "elapsed minutes" => vec![(t - log.start).num_minutes().to_string()],
        "elapsed seconds" => vec![(t - log.start).num_seconds().to_string()],
        "hour 24" if t.hour() == 0 && t.minute() == 0 => {
            vec![(t - TimeDelta::days(1)).format("%Y-%m-%d 24:00").to_string()]
        }
        "hour 24" => one("%Y-%m-%d %H:%M"),
        "two formats" if row.is_multiple_of(2) => one("%Y-%m-%d %H:%M:%S"),
        "two formats" => one("%Y/%m/%d %-I:%M %p"),
        "signs" => one("%Y年%-m月%-d日 %-H時%M分"),
        "half before time" => one("%Y-%m-%d %p %I:%M"),
        "jitter" => one("%Y-%m-%d %H:%M:%S%.3f"),
        "twelve hours unmarked" => one("%Y-%m-%d %I:%M"),
        other => panic!("{other}"),
    }
}

fn time_names(dialect: &Dialect) -> Vec<&'static str> {
    let [stamp, date, time, ..] = *dialect.language().0;
    match dialect.of("times") {
        "date and time columns" => vec![date, time],
        "date, time and half columns" => vec![date, time, "AM/PM"],
        "parts" => vec!["year", "month", "day", "hour", "minute"],
        "elapsed minutes" => vec!["Elapsed time (min)"],
        "elapsed seconds" => vec!["Elapsed (s)"],
        _ => vec![stamp],
    }
}

fn mark(dialect: &Dialect) -> &'static str {
    if dialect.is("decimal mark", "comma") { "," } else { "." }
}

fn write(log: &Log, dialect: &Dialect) -> Vec<u8> {
    let scaled = dialect.is("names", "scaled");
    let missing = dialect.of("missing");
    let missing = if missing == "empty" { "" } else { missing };
    let number = |tenths: Option<i32>| match tenths {
        None => missing.to_owned(),
        Some(tenths) if scaled => tenths.to_string(),
        Some(tenths) => {
            let sign = if tenths < 0 { "-" } else { "" };
            format!("{sign}{}{}{}", tenths.abs() / 10, mark(dialect), tenths.abs() % 10)
        }
    };
    let delimiter = match dialect.of("delimiter") {
        "comma" => ",",
        "semicolon" => ";",
        "tab" => "\t",
        _ => "|",
    };
    let quoted = dialect.is("quotes", "all");
    let join = |cells: &[String]| {
        let cells: Vec<String> = cells.iter().map(|c| if quoted { format!("\"{c}\"") } else { c.clone() }).collect();
        cells.join(delimiter)
    };
    let mut lines: Vec<String> = Vec::new();
    let elapsed = dialect.of("times").starts_with("elapsed");
    let start = format!("Start time: {}", log.start.format("%Y-%m-%d %H:%M:%S"));
    let facts = [
        if elapsed { start.as_str() } else { "Interval: 10 min" },
        "Serial number: 20-4471",
        "",
        "Printed by: nobody",
        "Unit in the hall",
    ];
    let above = match dialect.of("above") {
        "nothing" => 0,
        "one line" => 1,
        _ => 5,
    };
    lines.extend(facts.iter().take(above).map(|line| (*line).to_owned()));
    let [.., temp, rh] = *dialect.language().0;
    let unit = dialect.of("unit");
    let degrees = if unit == "K" { "K".to_owned() } else { format!("°{unit}") };
    let name = |word: &str, unit: &str, place: &str| match dialect.of("names") {
        "brackets" => format!("{word}{place} ({unit})"),
        "underscore" => format!("{word}{}_{}", place.replace(' ', "_"), unit.replace('°', "deg")),
        "units row" => format!("{word}{place}"),
        _ => format!("{word}{place} (0.1 {unit})"),
    };
    let mut names: Vec<String> = time_names(dialect).into_iter().map(str::to_owned).collect();
    let stamps = names.len();
    let rows = log.temps.len();
    let other = |row: usize| (row + 5) % rows;
    // Each line of data as the cells after its time.
    let mut data: Vec<(usize, Vec<String>)> = Vec::new();
    match dialect.of("layout") {
        "one logger" => {
            names.extend([name(temp, &degrees, ""), name(rh, "%", "")]);
            data.extend(
                (0..rows).map(|row| (row, vec![number(log.tenths(dialect, row)), number(log.humidities[row])])),
            );
        }
        "side by side" => {
            for place in [" 1", " 2"] {
                names.extend([name(temp, &degrees, place), name(rh, "%", place)]);
            }
            data.extend((0..rows).map(|row| {
                let pair = |at: usize| [number(log.tenths(dialect, at)), number(log.humidities[at])];
                (row, [pair(row), pair(other(row))].concat())
            }));
        }
        "logger column" => {
            names.extend(["Sensor".to_owned(), name(temp, &degrees, ""), name(rh, "%", "")]);
            for row in 0..rows {
                for (sensor, at) in [("1", row), ("2", other(row))] {
                    data.push((
                        row,
                        vec![sensor.to_owned(), number(log.tenths(dialect, at)), number(log.humidities[at])],
                    ));
                }
            }
        }
        "quantity column" => {
            names.extend(["Parameter", "Value", "Unit"].map(str::to_owned));
            for row in 0..rows {
                data.push((row, vec![temp.to_owned(), number(log.tenths(dialect, row)), degrees.clone()]));
                data.push((row, vec![rh.to_owned(), number(log.humidities[row]), "%".to_owned()]));
            }
        }
        _ => {
            names.extend([temp.to_owned(), rh.to_owned()]);
            let with = |text: String, unit: &str, missing: bool| if missing { text } else { format!("{text} {unit}") };
            data.extend((0..rows).map(|row| {
                let (t, h) = (log.tenths(dialect, row), log.humidities[row]);
                (row, vec![with(number(t), &degrees, t.is_none()), with(number(h), "%", h.is_none())])
            }));
        }
    }
    let numbered = dialect.is("row numbers", "yes");
    let columns = names.len();
    if numbered {
        names.insert(0, "No.".into());
    }
    lines.push(join(&names));
    if dialect.is("names", "units row") {
        let mut units = vec![String::new(); columns + usize::from(numbered)];
        let first = stamps + usize::from(numbered);
        for (measured, text) in units[first..].iter_mut().enumerate() {
            let measured = match dialect.of("layout") {
                "logger column" => measured.checked_sub(1),
                _ => Some(measured),
            };
            if let Some(measured) = measured {
                *text = if measured.is_multiple_of(2) { degrees.clone() } else { "%".to_owned() };
            }
        }
        lines.push(join(&units));
    }
    if dialect.is("order", "newest first") {
        data.reverse();
    }
    let half = data.len() / 2;
    for (count, (row, cells)) in data.into_iter().enumerate() {
        if count == half && dialect.is("header again", "in the middle") {
            lines.push(join(&names));
        }
        let mut all = time_cells(log, dialect, row);
        all.extend(cells);
        if numbered {
            all.insert(0, (count + 1).to_string());
        }
        lines.push(join(&all));
    }
    let line_end = match dialect.of("line end") {
        "LF" => "\n",
        "CRLF" => "\r\n",
        _ => "\r",
    };
    if dialect.is("end", "statistics") {
        lines.push(String::new());
        lines.push(join(&["Average".to_owned(), "21".to_owned(), "45".to_owned()]));
    }
    let mut text = lines.join(line_end);
    if !dialect.is("end", "none") {
        text.push_str(line_end);
    }
    match dialect.of("bytes") {
        "UTF-8" => text.into_bytes(),
        "UTF-8 mark" => [b"\xEF\xBB\xBF", text.as_bytes()].concat(),
        "UTF-16LE mark" => std::iter::once(0xFEFF).chain(text.encode_utf16()).flat_map(u16::to_le_bytes).collect(),
        "UTF-16LE" => text.encode_utf16().flat_map(u16::to_le_bytes).collect(),
        "UTF-16BE" => text.encode_utf16().flat_map(u16::to_be_bytes).collect(),
        _ => text.chars().map(|c| u8::try_from(u32::from(c)).unwrap()).collect(),
    }
}

/// How often each value of each axis came to each end.
type Counts = BTreeMap<(usize, &'static str), BTreeMap<End, usize>>;

/// What became of a dialect.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum End {
    Read,
    /// Refused because its dates have two readings, and read with the order said.
    Ambiguous,
    /// Refused, or shown as a guess, because its clock has twelve hours and no halves.
    Unmarked,
    Refused,
}

/// Writes, reads and compares. An error is a wrong reading.
fn round_trip(log: &Log, dialect: &Dialect) -> Result<End, TestCaseError> {
    let bytes = write(log, dialect);
    let hints = ReadingHints { time_zone: Some(chrono_tz::UTC), ..ReadingHints::default() };
    let mut reading = read_bytes("log.csv", &bytes, &hints).unwrap();
    let mut end = End::Read;
    if let Outcome::Refused { reason, remedy } = &reading.ledger.inputs[0].outcome {
        if dialect.is("times", "twelve hours unmarked") && reason.contains("a clock of twelve hours") {
            return Ok(End::Unmarked);
        }
        if !reason.contains("every date of the file fits each reading") {
            println!("refused: {reason}\n{dialect:?}");
            return Ok(End::Refused);
        }
        prop_assert!(remedy.contains("date_order = \"month-first\""), "{}", remedy);
        // All dates of the log are one day, or it could have been told.
        prop_assert_eq!(log.time(0).date_naive(), log.time(log.temps.len() - 1).date_naive());
        let order = if dialect.of("times").starts_with("us") { DateOrder::MonthFirst } else { DateOrder::DayFirst };
        let hints = ReadingHints { date_order: Some(order), ..hints };
        reading = read_bytes("log.csv", &bytes, &hints).unwrap();
        end = End::Ambiguous;
    }
    let input = &reading.ledger.inputs[0];
    if !matches!(input.outcome, Outcome::Read { .. }) {
        println!("not read: {:?}\n{dialect:?}", input.outcome);
        return Ok(End::Refused);
    }
    if dialect.is("times", "twelve hours unmarked") {
        // Within the first half of one day the stamps mean what they say; else it must be asked about.
        let plain = (0..log.temps.len()).all(|row| (1..=12).contains(&log.time(row).hour()));
        if !plain {
            let asked = input.decisions.iter().any(|d| d.topic == "hours" && d.certainty == Certainty::Guess);
            prop_assert!(asked, "hours without AM or PM were read as they stand\n{:?}", dialect);
            return Ok(End::Unmarked);
        }
    }
    let expects_refusals = dialect.is("missing", "-999") || dialect.is("end", "statistics");
    prop_assert!(expects_refusals || input.refused.is_empty(), "{:?}\n{:?}", input.refused, dialect);
    compare(log, dialect, &reading)?;
    Ok(end)
}

fn compare(log: &Log, dialect: &Dialect, reading: &Reading) -> Result<(), TestCaseError> {
    let rows = log.temps.len();
    let base = if dialect.is("above", "five lines") { "20-4471" } else { "log" };
    let two = matches!(dialect.of("layout"), "side by side" | "logger column");
    let wanted: Vec<(String, usize)> =
        if two { vec![(format!("{base}/1"), 0), (format!("{base}/2"), 5)] } else { vec![(base.to_owned(), 0)] };
    let found: Vec<&str> = reading.frame.series().iter().map(|s| s.logger.as_str()).collect();
    let names: Vec<&str> = wanted.iter().map(|(name, _)| name.as_str()).collect();
    prop_assert_eq!(&found, &names, "{:?}", dialect);
    for ((_, shift), series) in wanted.iter().zip(reading.frame.series()) {
        let at = |row: usize| (row + shift) % rows;
        let kept: Vec<usize> =
            (0..rows).filter(|r| log.temps[at(*r)].is_some() || log.humidities[at(*r)].is_some()).collect();
        prop_assert_eq!(series.len(), kept.len(), "{:?}", dialect);
        let temps = series.column(Quantity::AirTemp).unwrap();
        let humidities = series.column(Quantity::RelativeHumidity).unwrap();
        for (place, row) in kept.into_iter().enumerate() {
            prop_assert_eq!(series.time[place], log.written_time(dialect, row), "{:?}", dialect);
            let want = log.tenths(dialect, at(row)).map(|tenths| {
                let value = f64::from(tenths) / 10.0;
                match dialect.of("unit") {
                    "F" => (value - 32.0) / 1.8,
                    "K" => value - 273.15,
                    _ => value,
                }
            });
            // The last bits of a conversion.
            prop_assert!(near(temps[place], want), "{:?} {:?}\n{:?}", temps[place], want, dialect);
            let want = log.humidities[at(row)].map(|tenths| f64::from(tenths) / 10.0);
            prop_assert!(near(humidities[place], want), "{:?} {:?}\n{:?}", humidities[place], want, dialect);
        }
    }
    Ok(())
}

#[test]
fn a_log_in_any_dialect_reads_back() {
    let cases: u32 = std::env::var("GRAINFALL_DIALECTS").ok().and_then(|n| n.parse().ok()).unwrap_or(500);
    let counts: RefCell<Counts> = RefCell::default();
    let ends: RefCell<BTreeMap<End, usize>> = RefCell::default();
    let config = Config { cases, failure_persistence: None, max_shrink_iters: 200, ..Config::default() };
    let mut runner = TestRunner::new_with_rng(config, TestRng::deterministic_rng(RngAlgorithm::ChaCha));
    let outcome = runner.run(&(log(), dialect()), |(log, dialect)| {
        let end = round_trip(&log, &dialect)?;
        *ends.borrow_mut().entry(end).or_default() += 1;
        for (axis, value) in dialect.0.iter().enumerate() {
            *counts.borrow_mut().entry((axis, *value)).or_default().entry(end).or_default() += 1;
        }
        Ok(())
    });
    for ((axis, value), ends) in counts.borrow().iter() {
        let of = |end| ends.get(&end).copied().unwrap_or(0);
        println!(
            "{:14} {value:28} read {:5}  two dates {:4}  twelve hours {:4}  refused {:4}",
            AXES[*axis].0,
            of(End::Read),
            of(End::Ambiguous),
            of(End::Unmarked),
            of(End::Refused)
        );
    }
    println!("{:?} of {cases}", ends.borrow());
    outcome.unwrap();
    // What can be told from the file is read; the rest is asked about.
    let refused = ends.borrow().get(&End::Refused).copied().unwrap_or(0);
    assert!(refused * 100 <= cases as usize, "{refused} of {cases} dialects were refused without need");
}

proptest! {
    #[test]
    fn no_bytes_stop_reading(bytes in prop::collection::vec(any::<u8>(), 0..3000)) {
        read_bytes("log.csv", &bytes, &ReadingHints::default()).unwrap();
    }

    /// Pieces of real logs in any order reach further into reading than plain noise.
    #[test]
    fn no_pieces_of_logs_stop_reading(
        pieces in prop::collection::vec(prop::sample::select(PIECES.to_vec()), 0..120),
        zone in prop::sample::select(vec![None, Some(chrono_tz::America::Chicago), Some(chrono_tz::Australia::Lord_Howe)]),
    ) {
        let hints = ReadingHints { time_zone: zone, ..ReadingHints::default() };
        read_bytes("log.csv", pieces.concat().as_bytes(), &hints).unwrap();
    }
}

const PIECES: [&str; 40] = [
    "\n",
    "\n",
    "\n",
    "\n",
    "\r\n",
    ",",
    ",",
    ",",
    ",",
    ";",
    "\t",
    "|",
    " ",
    "\"",
    "time",
    "Temp (°F)",
    "RH",
    "dew point",
    "2025-03-09 02:30",
    "2025-11-02 01:30",
    "2025-11-02 01:30",
    "3/4/2025 1:00 PM",
    "13.4.25",
    "10:00",
    "24:00",
    "21.5",
    "-999",
    "1,5",
    "45%",
    "NA",
    "99999999999999999999",
    "-",
    "Serial: 12",
    "year",
    "hour",
    "+02:00",
    "\u{0}",
    "°",
    "1700000000",
    "Average",
];

fn near(got: Option<f64>, want: Option<f64>) -> bool {
    match (got, want) {
        (Some(got), Some(want)) => (got - want).abs() <= 1e-9,
        (got, want) => got.is_none() && want.is_none(),
    }
}
