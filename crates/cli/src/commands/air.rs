//! `air`: the moist-air state of any two properties.

use anyhow::{Context, Result, bail};
use grainfall_psychrometrics::{
    Celsius, GrainsPerPound, HumidityRatio, Metres, MoistAir, Pascals, Property, RelativeHumidity, Saturation,
    pressure_at_elevation,
};
use serde::Serialize;

use crate::args::{AirArgs, Units};
use crate::exit_code::Outcome;
use crate::terminal;

/// The state as JSON: canonical units, names that end in them.
#[derive(Serialize)]
struct State {
    pressure_pa: f64,
    air_temp_c: f64,
    rh_pct: f64,
    dew_point_c: Option<f64>,
    frost_point_c: Option<f64>,
    wet_bulb_c: f64,
    gpp: f64,
    humidity_ratio_kg_kg: f64,
    vapour_pressure_pa: f64,
    saturation_pressure_pa: f64,
    enthalpy_kj_kg: f64,
    specific_volume_m3_kg: f64,
    density_kg_m3: f64,
    absolute_humidity_g_m3: f64,
}

/// Prints the state.
pub fn run(args: &AirArgs) -> Result<Outcome> {
    let given = properties(args)?;
    let [first, second] = given[..] else {
        bail!(
            "{} of the air's properties {} given; give exactly two of --temp, --rh, --dew-point, --wet-bulb, --gpp, \
             --humidity-ratio, --vapour-pressure (for example `--temp 80F --rh 60`)",
            given.len(),
            if given.len() == 1 { "is" } else { "are" }
        );
    };
    let (pressure, basis) = pressure(args)?;
    let air = MoistAir::from_pair(first, second, pressure, Saturation::LiquidWater)?;
    if args.json {
        terminal::print_data(&serde_json::to_string_pretty(&state(&air))?)?;
    } else {
        terminal::print(table(&air, args.units, basis).trim_end())?;
    }
    Ok(Outcome::Done)
}

fn properties(args: &AirArgs) -> Result<Vec<Property>> {
    let mut given = Vec::new();
    if let Some(text) = &args.temp {
        given.push(Property::Temperature(text.parse::<Celsius>().context("--temp")?));
    }
    if let Some(text) = &args.rh {
        // A bare number can only be percent here.
        let text = if text.trim().parse::<f64>().is_ok() { format!("{text} %") } else { text.clone() };
        given.push(Property::RelativeHumidity(text.parse::<RelativeHumidity>().context("--rh")?));
    }
    if let Some(text) = &args.dew_point {
        given.push(Property::DewPoint(text.parse::<Celsius>().context("--dew-point")?));
    }
    if let Some(text) = &args.wet_bulb {
        given.push(Property::WetBulb(text.parse::<Celsius>().context("--wet-bulb")?));
    }
    if let Some(text) = &args.gpp {
        let text = if text.trim().parse::<f64>().is_ok() { format!("{text} GPP") } else { text.clone() };
        let ratio = text.parse::<HumidityRatio>().context("--gpp")?;
        given.push(Property::HumidityRatio(GrainsPerPound::new(ratio.to_grains_per_pound()).into()));
    }
    if let Some(text) = &args.humidity_ratio {
        given.push(Property::HumidityRatio(text.parse::<HumidityRatio>().context("--humidity-ratio")?));
    }
    if let Some(text) = &args.vapour_pressure {
        given.push(Property::VapourPressure(text.parse::<Pascals>().context("--vapour-pressure")?));
    }
    Ok(given)
}

fn pressure(args: &AirArgs) -> Result<(Pascals, &'static str)> {
    if let Some(text) = &args.pressure {
        return Ok((text.parse::<Pascals>().context("--pressure")?, "as given"));
    }
    if let Some(text) = &args.elevation {
        let elevation = text.parse::<Metres>().context("--elevation")?;
        return Ok((pressure_at_elevation(elevation)?, "standard atmosphere at the elevation given"));
    }
    Ok((Pascals::STANDARD_ATMOSPHERE, "standard atmosphere at sea level"))
}

fn state(air: &MoistAir) -> State {
    State {
        pressure_pa: air.pressure().get(),
        air_temp_c: air.temperature().get(),
        rh_pct: air.rh().percent(),
        dew_point_c: air.dew_point().map(Celsius::get),
        frost_point_c: air.frost_point().map(Celsius::get),
        wet_bulb_c: air.wet_bulb().get(),
        gpp: air.grains_per_pound().get(),
        humidity_ratio_kg_kg: air.humidity_ratio().get(),
        vapour_pressure_pa: air.vapour_pressure().get(),
        saturation_pressure_pa: air.saturation_pressure().get(),
        enthalpy_kj_kg: air.enthalpy().get(),
        specific_volume_m3_kg: air.specific_volume().get(),
        density_kg_m3: air.density().get(),
        absolute_humidity_g_m3: air.absolute_humidity().get(),
    }
}

fn table(air: &MoistAir, units: Units, pressure_basis: &str) -> String {
    let temp = |temp: Celsius| match units {
        Units::Us => format!("{:.2} F", temp.to_fahrenheit()),
        Units::Si => format!("{:.2} C", temp.get()),
    };
    let optional = |value: Option<Celsius>| value.map_or_else(|| "none: the air is dry".to_owned(), temp);
    let pressure = |value: Pascals| match units {
        Units::Us => format!("{:.4} inHg", value.to_inches_of_mercury()),
        Units::Si => format!("{:.4} kPa", value.to_kilopascals()),
    };
    let ratio = air.humidity_ratio();
    let rows: Vec<[String; 2]> = vec![
        ["air temperature".into(), temp(air.temperature())],
        ["relative humidity".into(), format!("{:.2} %", air.rh().percent())],
        [
            "humidity ratio".into(),
            match units {
                Units::Us => format!("{:.2} GPP", ratio.to_grains_per_pound()),
                Units::Si => format!("{:.3} g/kg", ratio.to_grams_per_kilogram()),
            },
        ],
        ["dew point".into(), optional(air.dew_point())],
        ["frost point".into(), optional(air.frost_point().filter(|point| point.get() < 0.01))],
        ["wet bulb".into(), temp(air.wet_bulb())],
        ["vapour pressure".into(), pressure(air.vapour_pressure())],
        ["saturation pressure".into(), pressure(air.saturation_pressure())],
        [
            "enthalpy".into(),
            match units {
                Units::Us => format!("{:.2} Btu/lb dry air", air.enthalpy().to_btu_per_pound()),
                Units::Si => format!("{:.2} kJ/kg dry air", air.enthalpy().get()),
            },
        ],
        [
            "specific volume".into(),
            match units {
                Units::Us => format!("{:.3} ft3/lb dry air", air.specific_volume().to_cubic_feet_per_pound()),
                Units::Si => format!("{:.4} m3/kg dry air", air.specific_volume().get()),
            },
        ],
        ["absolute humidity".into(), format!("{:.2} g/m3", air.absolute_humidity().get())],
        ["air pressure".into(), format!("{} ({pressure_basis})", pressure(air.pressure()))],
    ];
    let rows: Vec<Vec<String>> = rows
        .into_iter()
        .filter(|row| !(row[0] == "frost point" && row[1].starts_with("none")))
        .map(Vec::from)
        .collect();
    terminal::columns(&rows, 0)
}
