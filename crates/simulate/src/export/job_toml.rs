//! `job.toml`.

use chrono::{DateTime, Utc};

use super::hand::place;
use super::shapes;
use crate::clock::wall;
use crate::instruments::Record;
use crate::scenario::{DayRule, Goal, Role, Scenario, StampClock, Zone};

pub(super) fn text(scenario: &Scenario, record: &Record) -> String {
    let mut toml = Toml { text: String::new(), scenario };
    toml.text += "# An invented job: every name, number and place in it is made up.\n";
    job(&mut toml);
    chambers(&mut toml);
    materials(&mut toml);
    points(&mut toml);
    loggers(&mut toml);
    equipment(&mut toml);
    entries(&mut toml, record);
    toml.text
}

/// A `job.toml` in the making.
struct Toml<'a> {
    text: String,
    scenario: &'a Scenario,
}

impl Toml<'_> {
    fn table(&mut self, head: &str) {
        self.text += &format!("\n{head}\n");
    }

    /// A key with a value that is TOML already.
    fn raw(&mut self, key: &str, value: &str) {
        self.text += &format!("{key} = {value}\n");
    }

    fn string(&mut self, key: &str, value: &str) {
        self.raw(key, &quoted(value));
    }

    fn maybe(&mut self, key: &str, value: Option<&str>) {
        if let Some(value) = value {
            self.string(key, value);
        }
    }

    fn list<'v>(&mut self, key: &str, values: impl IntoIterator<Item = &'v str>) {
        let items: Vec<String> = values.into_iter().map(quoted).collect();
        self.raw(key, &format!("[{}]", items.join(", ")));
    }

    fn time(&mut self, key: &str, time: DateTime<Utc>) {
        self.string(key, &wall(self.scenario.job.zone, time));
    }
}

fn job(toml: &mut Toml) {
    let job = &toml.scenario.job;
    toml.table("[job]");
    toml.string("number", &job.number);
    toml.string("title", &job.title);
    toml.string("claim", &job.claim);
    toml.string("time_zone", job.zone.name());
    toml.string("elevation", &job.elevation);
    toml.time("loss_at", job.loss_at);
    toml.raw("category", &job.category.to_string());
    toml.raw("class", &job.class.to_string());
    toml.string("edition", &job.edition);
    toml.string(
        "equipment_day",
        match job.day_rule {
            DayRule::Hours24 => "24h",
            DayRule::Calendar => "calendar",
        },
    );
    toml.string("pull_window", &format!("{} h", number(hours(job.pull_window_min))));
    toml.raw("confirm_readings", &job.confirm_readings.to_string());
}

fn chambers(toml: &mut Toml) {
    for chamber in &toml.scenario.chambers {
        toml.table("[[chamber]]");
        toml.string("id", &chamber.id);
        toml.string("name", &chamber.sheet.name);
        toml.string("floor_area", &chamber.sheet.floor_area);
        toml.string("volume", &chamber.sheet.volume);
        if let Some(time) = chamber.sheet.drying_from {
            toml.time("drying_from", time);
        }
        toml.maybe("before_drying_reason", chamber.sheet.before_drying_reason.as_deref());
    }
}

fn materials(toml: &mut Toml) {
    for meter in &toml.scenario.meters {
        toml.table("[[meter]]");
        toml.string("id", &meter.id);
        toml.string("kind", &meter.kind);
        toml.list("scales", meter.scales.iter().map(|scale| scale.word()));
        toml.raw("accuracy", &number(meter.accuracy));
        toml.string("serial", &meter.serial);
        toml.maybe("calibrated", meter.calibrated.as_deref());
    }
    for material in &toml.scenario.materials {
        toml.table("[[material]]");
        toml.string("kind", &material.kind);
        toml.string("scale", material.scale.word());
        if let Some(goal) = material.goal {
            toml.raw("goal", &number(goal));
        }
    }
}

fn points(toml: &mut Toml) {
    for point in &toml.scenario.points {
        toml.table("[[point]]");
        toml.string("id", &point.id);
        if let Zone::Chamber(id) = &point.zone {
            toml.string("chamber", id);
        }
        toml.string("location", &point.location);
        toml.maybe("depth", point.depth.as_deref());
        toml.string("material", &point.kind);
        toml.string("scale", point.scale.word());
        if point.role == Role::Reference {
            toml.string("role", "reference");
        }
        match &point.goal {
            Goal::None => {}
            Goal::Written(value) => toml.raw("goal", &number(*value)),
            Goal::DryStandard(value) => toml.raw("dry_standard", &number(*value)),
            Goal::References(ids) => toml.list("dry_standard", ids.iter().map(String::as_str)),
        }
        if let Some(ended) = &point.ended {
            toml.time("ended", ended.at);
            toml.string("ended_reason", &ended.reason);
        }
    }
}

fn loggers(toml: &mut Toml) {
    let scenario = toml.scenario;
    for logger in &scenario.loggers {
        toml.table("[[logger]]");
        let export = scenario.exports.iter().find(|export| export.loggers.contains(&logger.serial));
        match export.and_then(|export| Some((export, shapes::channel(export, &logger.serial)?))) {
            Some((export, channel)) => {
                toml.string("file", &export.file);
                toml.string("channel", &channel);
            }
            None => toml.string("serial", &logger.serial),
        }
        let (place, chamber, unit) = place(&logger.stated);
        toml.string("place", place);
        toml.maybe("chamber", chamber);
        toml.maybe("unit", unit);
        if !export.is_some_and(|export| shapes::has_offset(export.shape)) {
            toml.string(
                "clock",
                match logger.clock {
                    StampClock::Wall => "wall",
                    StampClock::Fixed => "fixed",
                    StampClock::Utc => "utc",
                },
            );
        }
        toml.string("temp_accuracy", &format!("{} F", number(logger.temp_limit_k * 1.8)));
        toml.string("rh_accuracy", &format!("{} %", number(logger.rh_limit_pct)));
        toml.string("accuracy_basis", "limits");
        toml.maybe("calibrated", logger.calibrated.as_deref());
    }
}

fn equipment(toml: &mut Toml) {
    for stay in &toml.scenario.stays {
        toml.table("[[equipment]]");
        toml.string("unit", &stay.unit);
        toml.maybe("asset", stay.asset.as_deref());
        toml.string("kind", stay.kind.word());
        toml.maybe("purpose", stay.purpose.as_deref());
        match stay.chambers.as_slice() {
            [one] => toml.string("chamber", one),
            several => toml.list("chamber", several.iter().map(String::as_str)),
        }
        if !stay.points.is_empty() {
            toml.list("points", stay.points.iter().map(String::as_str));
        }
        toml.time("placed", stay.placed);
        toml.string("placed_by", &stay.placed_by);
        toml.string("placed_reason", &stay.placed_reason);
        if let Some(removed) = stay.removed {
            toml.time("removed", removed);
        }
        toml.maybe("removed_by", stay.removed_by.as_deref());
        toml.maybe("removed_reason", stay.removed_reason.as_deref());
        toml.maybe("airflow", stay.airflow.as_deref());
        toml.maybe("rated_capacity", stay.rated_capacity.as_deref());
        toml.maybe("rated_condition", stay.rated_condition.as_deref());
        if let Some(days) = stay.billed_days {
            toml.raw("billed_days", &number(days));
        }
    }
}

fn entries(toml: &mut Toml, record: &Record) {
    for entry in &record.condensate {
        toml.table("[[condensate]]");
        toml.time("time", entry.time);
        toml.string("unit", &entry.unit);
        toml.string("amount", &format!("{:.1} pint", entry.pints));
    }
    for entry in &record.hour_meters {
        toml.table("[[hour_meter]]");
        toml.time("time", entry.time);
        toml.string("unit", &entry.unit);
        toml.raw("hours", &format!("{:.1}", entry.hours));
    }
    for pause in &toml.scenario.pauses {
        toml.table("[[pause]]");
        toml.time("from", pause.from);
        toml.time("to", pause.to);
        if !pause.units.is_empty() {
            toml.list("units", pause.units.iter().map(String::as_str));
        }
        toml.string("reason", &pause.reason);
    }
}

/// A TOML basic string.
fn quoted(text: &str) -> String {
    let mut quoted = String::from("\"");
    for character in text.chars() {
        match character {
            '"' => quoted += "\\\"",
            '\\' => quoted += "\\\\",
            '\n' => quoted += "\\n",
            '\t' => quoted += "\\t",
            other if other.is_control() => quoted += &format!("\\u{:04X}", u32::from(other)),
            other => quoted.push(other),
        }
    }
    quoted.push('"');
    quoted
}

/// A number to at most two decimals, without zeros at its end.
fn number(value: f64) -> String {
    let text = format!("{value:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[allow(clippy::cast_precision_loss, reason = "minutes of a pull window are few")]
fn hours(minutes: i64) -> f64 {
    minutes as f64 / 60.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn strings_are_escaped_and_numbers_are_short() {
        assert_eq!(quoted("a \"b\" \\ c\u{1}"), r#""a \"b\" \\ c\u0001""#);
        assert_eq!([number(0.5), number(16.0), number(100.0), number(13.25)], ["0.5", "16", "100", "13.25"]);
    }
}
