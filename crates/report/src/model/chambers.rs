//! One section per chamber: its charts, its air day by day, its points and every reading; then the air that belongs
//! to no chamber.

use grainfall_analysis::evidence::{
    ChamberEvidence, DailyAir, DailyRate, DifferenceKind, DryStandardBasis, Evidence, GoalBasis, GoalVerdict,
    PointEvidence, TrackPlace,
};

use super::answers::{RELATIVE, ROWS_NAMED, verdict_words};
use super::shown::{self, Shown};
use super::{Block, Cell, Fact, Section, Table, chart_block, heading, note, number_column, paragraph, text_column};
use super::{outlook, readings};
use crate::charts::{Chart, ChartKind, ChartScope};
use crate::number_format::{NO_VALUE, range, share, signed, signed_trimmed, trimmed};
use crate::words::{Words, say};

/// The sections.
pub(super) fn sections(evidence: &Evidence, shown: &Shown, charts: &[Chart]) -> Vec<Section> {
    let mut sections: Vec<Section> = evidence
        .chambers
        .iter()
        .enumerate()
        .map(|(index, chamber)| chamber_section(evidence, shown, charts, index, chamber))
        .collect();
    sections.extend(other_section(evidence, shown));
    sections
}

/// Charts of the whole job but the equipment timeline, which stands with the equipment.
pub(super) fn overview(words: Words, charts: &[Chart]) -> Option<Section> {
    let of_job = |chart: &Chart| chart.scope == ChartScope::Job && chart.kind != ChartKind::Equipment;
    let mut section = Section::new("overview", 1, say!(words, "chambers.whole_job"));
    section.blocks.extend((0..charts.len()).filter(|i| of_job(&charts[*i])).map(|i| chart_block(charts, i)));
    if section.blocks.is_empty() { None } else { Some(section) }
}

fn chamber_section(
    evidence: &Evidence,
    shown: &Shown,
    charts: &[Chart],
    index: usize,
    chamber: &ChamberEvidence,
) -> Section {
    let title = shown::cut(&shown::chamber(shown.words, chamber), 160);
    let mut section = Section::new(format!("chamber-{}", index + 1), 1, title);
    section.new_page = true;
    let blocks = &mut section.blocks;
    blocks.push(paragraph(format!("{}: {}", verdict_words(shown.words, chamber.verdict), chamber.why)));
    blocks.push(Block::Facts { facts: facts(shown, chamber) });
    blocks.extend(rests_on(evidence, shown, chamber));
    let own = |chart: &Chart| matches!(&chart.scope, ChartScope::Chamber(id) if *id == chamber.id);
    let of_kind = |kind: ChartKind| -> Vec<Block> {
        let wanted = (0..charts.len()).filter(|i| own(&charts[*i]) && charts[*i].kind == kind);
        wanted.map(|i| chart_block(charts, i)).collect()
    };
    // What was read decides and stands first; each chart is followed by its table, which fills the page below it.
    blocks.push(heading(say!(shown.words, "chambers.points_and_their_goals")));
    let points: Vec<&PointEvidence> =
        evidence.points.iter().filter(|p| p.chamber.as_deref() == Some(chamber.id.as_str())).collect();
    if points.is_empty() {
        blocks.push(note(say!(shown.words, "text.chamber_without_points")));
    } else {
        blocks.push(Block::Table(points_table(evidence, shown, &points)));
        blocks.extend(outlook::forecasts(evidence, shown, &points).map(Block::Table));
    }
    blocks.extend(of_kind(ChartKind::Readings));
    if points.iter().any(|point| !point.readings.is_empty()) {
        blocks.extend(readings::by_day(evidence, shown, &points));
    }
    let air: Vec<&DailyAir> =
        evidence.daily_air.iter().filter(|air| has_air_values(air) && is_own(air, chamber)).collect();
    let (air_charts, temp_charts) = (of_kind(ChartKind::Air), of_kind(ChartKind::TemperatureHumidity));
    if !air.is_empty() || !air_charts.is_empty() {
        blocks.push(heading(say!(shown.words, "chambers.air_day_by_day")));
    }
    blocks.extend(air_charts);
    let mut differences = differences_table(evidence, shown, chamber);
    if !air.is_empty() {
        let mut table = air_by_day(shown, &air);
        // One air a date: its differences stand in its row.
        if is_one(&air) {
            differences.take().into_iter().for_each(|of_dates| table.join(of_dates));
        }
        blocks.push(Block::Table(table));
    }
    blocks.extend(temp_charts);
    blocks.extend(differences.map(Block::Table));
    if evidence.daily_differences.iter().any(|one| one.chamber == chamber.id && one.within_uncertainty) {
        blocks.push(note(say!(shown.words, "text.small_differences")));
    }
    blocks.extend(of_kind(ChartKind::Drive));
    section
}

/// On which readings the release statement rests.
fn rests_on(evidence: &Evidence, shown: &Shown, chamber: &ChamberEvidence) -> Option<Block> {
    let release = evidence.releases.iter().find(|release| release.chambers.contains(&chamber.id))?;
    Some(Block::Statement {
        title: say!(shown.words, "chambers.release_of_equipment").to_owned(),
        sentences: release.sentences.iter().chain(&release.rests_on).cloned().collect(),
        rows: shown::rows(shown.words, &release.rows, ROWS_NAMED),
    })
}

fn facts(shown: &Shown, chamber: &ChamberEvidence) -> Vec<Fact> {
    let mut facts = Vec::new();
    let mut fact = |name: &str, value: String| facts.push(Fact { name: name.to_owned(), value });
    if let Some(area) = chamber.floor_area_m2 {
        let units = shown.units;
        fact(
            say!(shown.words, "chambers.floor_area"),
            format!("{} {}", crate::number_format::shown(shown.words, units.area(area), 0), units.area_unit()),
        );
    }
    if let Some(volume) = chamber.volume_m3 {
        let units = shown.units;
        fact(
            say!(shown.words, "chambers.air_volume"),
            format!("{} {}", crate::number_format::shown(shown.words, units.volume(volume), 0), units.volume_unit()),
        );
    }
    // From the first date on which it was as far as it is now.
    let now = chamber.progress.last();
    if let Some((date, progress)) = now.and_then(|now| chamber.progress.iter().find(|one| one.1 >= now.1)) {
        fact(
            say!(shown.words, "chambers.initial_excess_moisture_gone"),
            say!(
                shown.words,
                "chambers.on_median_of_the_points",
                progress = share(shown.words, *progress),
                date = shown.day(*date)
            ),
        );
    }
    for goal in &chamber.air_goals {
        let when = goal.met_at.map_or(String::new(), |at| format!(", {}", shown.instant(at)));
        fact(
            say!(shown.words, "chambers.air_goal"),
            format!("{}: {}{when}. {}", goal.text, goal.verdict.said(shown.words), goal.why),
        );
    }
    if !chamber.not_shown_points.is_empty() {
        fact(say!(shown.words, "chambers.points_not_shown"), shown::list(&chamber.not_shown_points));
    }
    if !chamber.ended_points.is_empty() {
        fact(say!(shown.words, "chambers.points_ended"), shown::list(&chamber.ended_points));
    }
    if !chamber.moved_points.is_empty() {
        fact(say!(shown.words, "chambers.points_that_moved_to_another_chamber"), shown::list(&chamber.moved_points));
    }
    facts
}

/// Whether an air has values of air; a surface or material logger without humidity has none, its readings stand with
/// its point.
pub(super) fn has_air_values(air: &DailyAir) -> bool {
    air.gpp.is_some() || !matches!(air.place, TrackPlace::Surface | TrackPlace::Material)
}

/// Whether an air is the chamber's own; those of its units and those it is compared with stand with each day.
fn is_own(air: &DailyAir, chamber: &ChamberEvidence) -> bool {
    air.unit.is_none()
        && air.chamber.as_deref() == Some(chamber.id.as_str())
        && !matches!(air.place, TrackPlace::Unaffected | TrackPlace::Outdoor)
}

/// Whether the charts of a chamber show an air: its own, its units', and the airs it is compared with.
fn belongs(evidence: &Evidence, air: &DailyAir, chamber: &ChamberEvidence) -> bool {
    let compared = matches!(air.place, TrackPlace::Unaffected | TrackPlace::Outdoor);
    match (&air.chamber, &air.unit) {
        (Some(id), _) => *id == chamber.id,
        (None, Some(unit)) => serves(evidence, unit, &chamber.id),
        (None, None) => compared,
    }
}

fn serves(evidence: &Evidence, unit: &str, chamber: &str) -> bool {
    evidence
        .equipment
        .iter()
        .filter(|u| u.unit == unit)
        .flat_map(|u| &u.stays)
        .any(|stay| stay.chambers.iter().any(|id| id == chamber))
}

/// Airs day by day; one that is alone is named above the table.
fn air_by_day(shown: &Shown, air: &[&DailyAir]) -> Table {
    let caption = say!(shown.words, "chambers.daily_air_time_weighted_mean_least");
    let mut table = air_table(shown, caption, AirRows::ByDay, air);
    if let (true, Some(one)) = (is_one(air), air.first()) {
        table.remove_column(1);
        table.caption = format!("{caption}; {}", one.label);
    }
    table
}

/// Whether all values are of one logger.
fn is_one(air: &[&DailyAir]) -> bool {
    air.windows(2).all(|pair| pair[0].logger == pair[1].logger)
}

/// Whether the rows of an air table name their day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum AirRows {
    /// Several days.
    ByDay,
    /// One day, named above.
    OfOneDay,
}

/// Daily values of some airs.
pub(super) fn air_table(shown: &Shown, caption: &str, rows: AirRows, air: &[&DailyAir]) -> Table {
    let units = shown.units;
    let mut table = Table::new(
        caption,
        vec![
            text_column(say!(shown.words, "chambers.day"), 60.0),
            text_column(say!(shown.words, "chambers.air"), 120.0),
            number_column(say!(shown.words, "chambers.samples"), 42.0),
            number_column(say!(shown.words, "chambers.temperature", temp_unit = units.temp_unit()), 92.0),
            number_column(say!(shown.words, "chambers.rh"), 66.0),
            number_column(format!("{} ± U", ratio_head(shown)), 62.0),
            number_column(say!(shown.words, "chambers.dew_point", temp_unit = units.temp_unit()), 46.0),
            number_column(
                say!(shown.words, "chambers.vapour_pressure", vapour_pressure_unit = units.vapour_pressure_unit()),
                52.0,
            ),
        ],
    );
    for day in air {
        table.push(vec![
            Cell::on(shown.day(day.date), day.date),
            Cell::from(&day.label),
            share(shown.words, day.sample_share).into(),
            shown.temp_spread(day.air_temp_c).into(),
            shown.rh_spread(day.rh_pct).into(),
            shown.ratio(day.gpp.map(|g| g.mean), day.u_gpp).into(),
            day.dew_point_c.map_or(NO_VALUE.to_owned(), |s| shown.temp(s.mean)).into(),
            shown.pressure(day.vapour_pressure_pa.map(|s| s.mean)).into(),
        ]);
    }
    if rows == AirRows::OfOneDay {
        table.remove_column(0);
    }
    if air.iter().any(|day| day.sample_share < 0.75) {
        table.notes.push(say!(shown.words, "text.sample_share").to_owned());
    }
    table
}

/// The head of a humidity ratio.
pub(super) fn ratio_head(shown: &Shown) -> String {
    match shown.units {
        crate::UnitSystem::Us => "GPP".to_owned(),
        crate::UnitSystem::Si => say!(shown.words, "chambers.water_g_kg").to_owned(),
    }
}

fn differences_table(evidence: &Evidence, shown: &Shown, chamber: &ChamberEvidence) -> Option<Table> {
    let own: Vec<_> = evidence.daily_differences.iter().filter(|d| d.chamber == chamber.id).collect();
    if own.is_empty() {
        return None;
    }
    let mut dates: Vec<_> = own.iter().map(|d| d.date).collect();
    dates.dedup();
    let unit = shown.units.humidity_ratio_unit();
    let mut table = Table::new(
        say!(shown.words, "chambers.daily_difference_of_the_affected_air"),
        vec![
            text_column(say!(shown.words, "chambers.day"), 50.0),
            number_column(say!(shown.words, "chambers.affected_unaffected_u", unit = unit), 92.0),
            number_column(say!(shown.words, "chambers.affected_outdoor_u", unit = unit), 92.0),
        ],
    );
    for date in dates {
        let cell = |kind: DifferenceKind| -> Cell {
            own.iter()
                .find(|d| d.date == date && d.kind == kind)
                .map_or_else(
                    || NO_VALUE.to_owned(),
                    |d| {
                        let within =
                            if d.within_uncertainty { say!(shown.words, "chambers.within_uncertainty") } else { "" };
                        let short = if d.sample_share < 0.75 {
                            say!(
                                shown.words,
                                "chambers.of_the_pairs",
                                sample_share = share(shown.words, d.sample_share)
                            )
                        } else {
                            String::new()
                        };
                        format!("{}{within}{short}", shown.ratio(Some(d.mean_gpp), Some(d.u_gpp)))
                    },
                )
                .into()
        };
        table.push(vec![
            Cell::on(shown.day(date), date),
            cell(DifferenceKind::AffectedMinusUnaffected),
            cell(DifferenceKind::AffectedMinusOutdoor),
        ]);
    }
    Some(table)
}

fn points_table(evidence: &Evidence, shown: &Shown, points: &[&PointEvidence]) -> Table {
    let mut table = Table::new(
        say!(shown.words, "chambers.each_point_against_its_goal_on"),
        vec![
            text_column(say!(shown.words, "chambers.point"), 158.0),
            number_column(say!(shown.words, "chambers.dry_standard"), 42.0),
            number_column(say!(shown.words, "chambers.goal"), 34.0),
            number_column(say!(shown.words, "chambers.first"), 34.0),
            number_column(say!(shown.words, "chambers.highest"), 40.0),
            number_column(say!(shown.words, "chambers.last"), 76.0),
            number_column(say!(shown.words, "chambers.distance_to_goal"), 42.0),
            number_column(say!(shown.words, "chambers.rate_a_day"), 96.0),
            text_column(say!(shown.words, "chambers.verdict"), 84.0),
        ],
    );
    let mut bases: Vec<(String, Vec<&str>)> = Vec::new();
    let mut basis = |words: String, id| match bases.iter_mut().find(|known| known.0 == words) {
        Some(known) => known.1.push(id),
        None => bases.push((words, vec![id])),
    };
    for point in points {
        let words = shown.words;
        let first = point.readings.iter().find(|r| r.decides);
        let first = first.map_or(NO_VALUE.to_owned(), |reading| readings::number(words, reading));
        let value = |v: Option<f64>| v.map_or(NO_VALUE.to_owned(), |v| trimmed(words, v, 2));
        let last = match (point.last, point.last_at) {
            (Some(last), Some(at)) => format!("{}, {}", trimmed(words, last, 2), shown.instant(at)),
            (last, _) => value(last),
        };
        if let Some(words) = dry_standard(shown, point) {
            basis(words, point.id.as_str());
        }
        if !point.reference {
            basis(goal(shown.words, point), point.id.as_str());
        }
        let cells = vec![
            format!("{}{}", point.id, point_words(shown.words, point)).into(),
            value(point.dry_standard.as_ref().map(|standard| standard.value)).into(),
            value(point.goal.as_ref().map(|goal| goal.value)).into(),
            first.into(),
            match point.highest {
                Some(highest) if point.highest_is_bound => format!("> {}", trimmed(words, highest, 2)).into(),
                highest => value(highest).into(),
            },
            last.into(),
            point.distance_to_goal.map_or(NO_VALUE.to_owned(), |d| signed_trimmed(words, d, 2)).into(),
            rate_of(shown, point).map_or(NO_VALUE.to_owned(), |rate| rate_words(words, rate)).into(),
            verdict(shown, point),
        ];
        match super::answers::point_anchor(evidence, &point.id) {
            Some(anchor) => table.push_anchored(anchor, cells),
            None => table.push(cells),
        }
    }
    for (words, ids) in bases {
        table.notes.push(format!("{}: {words}.", ids.join(", ")));
    }
    // Why a point is met stands in its row.
    for point in points.iter().filter(|point| point.verdict != GoalVerdict::Met && !point.why.is_empty()) {
        table.notes.push(format!("{}: {}.", point.id, point.why.trim_end_matches('.')));
    }
    if points.iter().any(|point| !point.rates.is_empty()) {
        table.notes.push(say!(shown.words, "chambers.rates_note").to_owned());
    }
    if points.iter().any(|point| point.unit == RELATIVE) {
        table.notes.push(say!(shown.words, "chambers.rel_note").to_owned());
    }
    table
}

fn point_words(words: Words, point: &PointEvidence) -> String {
    let parts: Vec<&str> = [point.location.as_deref(), point.depth.as_deref(), point.material.as_deref()]
        .into_iter()
        .flatten()
        .filter(|text| !text.is_empty())
        .collect();
    let scale = match point.unit.is_empty() {
        true => say!(words, "chambers.scale", scale = point.scale),
        false => say!(words, "chambers.scale_and_unit", scale = point.scale, unit = point.unit),
    };
    let reference = if point.reference { say!(words, "chambers.reference_unaffected") } else { "" };
    let logged = if point.logged { say!(words, "chambers.logged") } else { "" };
    let place = if parts.is_empty() { String::new() } else { format!(": {}", parts.join(", ")) };
    format!("{place}; {scale}{reference}{logged}")
}

/// Where a dry standard comes from; `None` where there is none to tell of.
fn dry_standard(shown: &Shown, point: &PointEvidence) -> Option<String> {
    let standard = point.dry_standard.as_ref()?;
    let value = shown::with_unit(shown.words, standard.value, &point.unit);
    Some(match &standard.basis {
        DryStandardBasis::Stated { row } => say!(shown.words, "chambers.stated", value = value, row = shown::row(row)),
        DryStandardBasis::ReferencePoints { points, meter, at, min, max, rows } => {
            let meter =
                meter.as_ref().map_or(String::new(), |meter| say!(shown.words, "chambers.meter", meter = meter));
            let named = points.join(", ");
            let spread = format!("; {}", range(shown.words, *min, *max, |value| trimmed(shown.words, value, 2)));
            say!(
                shown.words,
                "chambers.median_of_to",
                value = value,
                counted = say!(shown.words, "count.reference_point", count = points.len() as u64),
                points = if points.len() > 1 { named + &spread } else { named },
                at = shown.instant(*at),
                meter = meter,
                rows = shown::rows(shown.words, rows, super::answers::ROWS_NAMED)
            )
        }
    })
}

/// What the goal is, and by whom.
fn goal(words: Words, point: &PointEvidence) -> String {
    let Some(goal) = &point.goal else { return say!(words, "chambers.no_goal").to_owned() };
    let basis = match goal.basis {
        GoalBasis::Point => say!(words, "chambers.set_for_the_point"),
        GoalBasis::Material => say!(words, "chambers.set_for_the_material"),
        GoalBasis::CommonPractice => say!(words, "text.common_practice"),
    };
    let text = if goal.text.contains(basis) { goal.text.clone() } else { format!("{} ({basis})", goal.text) };
    say!(words, "chambers.goal_is", text = text)
}

fn verdict(shown: &Shown, point: &PointEvidence) -> Cell {
    if let Some(ended) = &point.ended {
        return Cell::verdict(
            say!(shown.words, "word.ended"),
            format!(" {}: {}", shown.instant(ended.at), ended.reason),
        );
    }
    if point.reference {
        return Cell::strong(say!(shown.words, "chambers.reference"));
    }
    let mut rest = String::new();
    if let Some(at) = point.met_at {
        rest.push_str(&format!(" {}", shown.instant(at)));
    }
    if !point.reopened_at.is_empty() {
        let times: Vec<String> = point.reopened_at.iter().map(|at| shown.instant(*at)).collect();
        rest.push_str(&say!(shown.words, "chambers.lost_again", times = times.join(", ")));
    }
    Cell::verdict(point.verdict.said(shown.words), rest)
}

/// The last drying rate, of a met point that of the date it was met: what is flat after that is no drying.
fn rate_of<'a>(shown: &Shown, point: &'a PointEvidence) -> Option<&'a DailyRate> {
    let met = point.met_at.map(|at| shown.date(at));
    point.rates.iter().rev().find(|rate| met.is_none_or(|met| rate.date <= met))
}

/// A drying rate with its interval.
fn rate_words(words: Words, rate: &DailyRate) -> String {
    let per_day = signed(words, rate.per_day, 2);
    match (rate.low, rate.high) {
        (Some(low), Some(high)) => {
            let (low, high) = (signed(words, low, 2), signed(words, high, 2));
            say!(words, "chambers.95_interval_to", per_day = per_day, low = low, high = high)
        }
        _ => per_day,
    }
}

/// Points and airs of no chamber.
fn other_section(evidence: &Evidence, shown: &Shown) -> Option<Section> {
    let air: Vec<&DailyAir> = evidence
        .daily_air
        .iter()
        .filter(|air| has_air_values(air) && !evidence.chambers.iter().any(|chamber| belongs(evidence, air, chamber)))
        .collect();
    let points: Vec<&PointEvidence> = evidence
        .points
        .iter()
        .filter(|point| !evidence.chambers.iter().any(|chamber| point.chamber.as_ref() == Some(&chamber.id)))
        .collect();
    if air.is_empty() && points.is_empty() && evidence.hand_air.is_empty() {
        return None;
    }
    let title = if evidence.chambers.is_empty() {
        say!(shown.words, "chambers.air_day_by_day")
    } else {
        say!(shown.words, "chambers.air_and_points_of_no_single")
    };
    let mut section = Section::new("other", 1, title);
    if !air.is_empty() {
        section.blocks.push(Block::Table(air_by_day(shown, &air)));
    }
    if !points.is_empty() {
        section.blocks.push(Block::Table(points_table(evidence, shown, &points)));
        if points.iter().any(|point| !point.readings.is_empty()) {
            section.blocks.extend(readings::by_day(evidence, shown, &points));
        }
    }
    if !evidence.hand_air.is_empty() {
        section.blocks.push(heading(say!(shown.words, "chambers.air_readings_by_hand")));
        section.blocks.push(Block::Table(hand_air_table(evidence, shown)));
    }
    Some(section)
}

fn hand_air_table(evidence: &Evidence, shown: &Shown) -> Table {
    let units = shown.units;
    let mut table = Table::new(
        say!(shown.words, "chambers.air_readings_by_hand_a_record"),
        vec![
            text_column(say!(shown.words, "chambers.when"), 60.0),
            text_column(say!(shown.words, "chambers.air"), 100.0),
            number_column(say!(shown.words, "chambers.temperature", temp_unit = units.temp_unit()), 56.0),
            number_column(say!(shown.words, "chambers.rh"), 36.0),
            number_column(ratio_head(shown), 44.0),
            number_column(say!(shown.words, "chambers.dew_point", temp_unit = units.temp_unit()), 46.0),
            text_column(say!(shown.words, "chambers.instrument"), 60.0),
            text_column(say!(shown.words, "chambers.by"), 52.0),
            text_column(say!(shown.words, "chambers.row"), 80.0),
        ],
    );
    for air in &evidence.hand_air {
        let of = air.unit.as_ref().or(air.chamber.as_ref()).map_or(String::new(), |of| format!(", {of}"));
        table.push(vec![
            Cell::at(shown.instant(air.time), air.time),
            format!("{}{of}", air.place.said(shown.words)).into(),
            shown.temp(air.air_temp_c).into(),
            crate::number_format::shown(shown.words, air.rh_pct, 1).into(),
            shown.ratio(Some(air.gpp), None).into(),
            shown.temp(air.dew_point_c).into(),
            Cell::from(air.instrument.as_ref()),
            Cell::from(air.by.as_ref()),
            shown::row(&air.row).into(),
        ]);
    }
    table
}
