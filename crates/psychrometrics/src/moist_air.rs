//! One state of moist air, from any two independent properties and the pressure.

use crate::constants::{HIGHEST_TEMP_C, LOWEST_TEMP_C};
use crate::dew_point::{dew_point_c, frost_point_c};
use crate::error::Error;
use crate::humidity_ratio::{
    check_air_is_left, check_not_supersaturated, check_pressure, check_vapour_pressure, ratio_kg_kg, vapour_pressure,
    vapour_pressure_of_ratio,
};
use crate::mixture::{enthalpy_kj_kg, volume_m3_kg};
use crate::saturation::{Saturation, check_temp, saturation_pa};
use crate::solve::bracketed_root;
use crate::units::{
    AbsoluteHumidity, Celsius, Density, Enthalpy, GrainsPerPound, HumidityRatio, Pascals, RelativeHumidity,
    SpecificVolume,
};
use crate::wet_bulb::{WetBulbBranch, air_temp_from_wet_bulb, imbalance, ratio_from_wet_bulb, wet_bulb_c};

/// A state of moist air: temperature, relative humidity and total pressure, every other property computed on request.
///
/// A value of this type is always a possible state (0 to 100 % relative humidity, -100 to 200 C, 10 to 200 kPa, some
/// dry air left), so the properties need no error.
///
/// ```
/// use grainfall_psychrometrics::{Celsius, Metres, MoistAir, Pascals, RelativeHumidity, Saturation};
/// use grainfall_psychrometrics::pressure_at_elevation;
/// let (temp, rh) = (Celsius::from_fahrenheit(80.0), RelativeHumidity::from_percent(60.0)?);
/// // 92.09 gr/lb at sea level, 112.35 at 5280 ft (psychrolib 2.5.0).
/// let sea = MoistAir::from_temp_and_rh(temp, rh, Pascals::STANDARD_ATMOSPHERE, Saturation::LiquidWater)?;
/// assert!((sea.grains_per_pound().get() - 92.09).abs() < 0.005);
/// let mile_high = pressure_at_elevation(Metres::from_feet(5280.0))?;
/// let high = MoistAir::from_temp_and_rh(temp, rh, mile_high, Saturation::LiquidWater)?;
/// assert!((high.grains_per_pound().get() - 112.35).abs() < 0.01);
/// # Ok::<(), grainfall_psychrometrics::Error>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MoistAir {
    temp: Celsius,
    rh: RelativeHumidity,
    vapour_pressure: Pascals,
    pressure: Pascals,
    over: Saturation,
}

/// One property of a state, as measured or as asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Property {
    /// Air (dry-bulb) temperature, -100 to 200 C.
    Temperature(Celsius),
    /// Relative humidity, over what the state's [`Saturation`] names.
    RelativeHumidity(RelativeHumidity),
    /// Dew point, over what the state's [`Saturation`] names.
    DewPoint(Celsius),
    /// Thermodynamic wet bulb; at or above 0 C of a liquid wick, below it of an iced one.
    WetBulb(Celsius),
    /// Humidity ratio; grains per pound enter as `GrainsPerPound::into`.
    HumidityRatio(HumidityRatio),
    /// Vapour pressure.
    VapourPressure(Pascals),
}

impl Property {
    /// The name used in messages.
    #[must_use]
    pub const fn name(&self) -> &'static str {
        match self {
            Self::Temperature(_) => "air temperature",
            Self::RelativeHumidity(_) => "relative humidity",
            Self::DewPoint(_) => "dew point",
            Self::WetBulb(_) => "wet bulb",
            Self::HumidityRatio(_) => "humidity ratio",
            Self::VapourPressure(_) => "vapour pressure",
        }
    }
}

impl MoistAir {
    /// The state of a temperature and a relative humidity, what a logger records.
    ///
    /// # Arguments
    /// * `temp`: -100 to 200 C.
    /// * `pressure`: total pressure at the place, 10 to 200 kPa.
    /// * `over`: what the relative humidity refers to below 0.01 C.
    ///
    /// # Errors
    /// [`Error::TemperatureOutOfRange`], [`Error::PressureOutOfRange`], and [`Error::VapourReachesTotal`] for hot humid
    /// states in which no air would be left.
    pub fn from_temp_and_rh(
        temp: Celsius,
        rh: RelativeHumidity,
        pressure: Pascals,
        over: Saturation,
    ) -> Result<Self, Error> {
        check_pressure(pressure)?;
        let vapour_pressure = vapour_pressure(temp, rh, over)?;
        check_air_is_left(vapour_pressure, pressure)?;
        Ok(Self { temp, rh, vapour_pressure, pressure, over })
    }

    /// The state of any two independent properties, in either order.
    ///
    /// Dew point, humidity ratio and vapour pressure are one piece of information: two of them fix no temperature. A
    /// property that exceeds saturation by less than 1e-9 of the vapour pressure is taken as saturated.
    ///
    /// # Arguments
    /// * `first`, `second`: two properties of different kind.
    /// * `pressure`: total pressure at the place, 10 to 200 kPa.
    /// * `over`: what relative humidity and dew point refer to below 0.01 C.
    ///
    /// # Errors
    /// [`Error::DependentPair`] for two of one kind; [`Error::Supersaturated`], [`Error::WetBulbTooLow`] or
    /// [`Error::NoSuchAir`] where no air has both; the range errors of each property.
    ///
    /// ```
    /// use grainfall_psychrometrics::{Celsius, MoistAir, Pascals, Property, Saturation};
    /// // A sling psychrometer at 26.6667 C (80 F) and 20.9165 C, 101.325 kPa: 60 % (psychrolib 2.5.0).
    /// let air = MoistAir::from_pair(
    ///     Property::Temperature(Celsius::from_fahrenheit(80.0)),
    ///     Property::WetBulb(Celsius::new(20.9165)),
    ///     Pascals::STANDARD_ATMOSPHERE,
    ///     Saturation::LiquidWater,
    /// )?;
    /// assert!((air.rh().percent() - 60.0).abs() < 1e-3);
    /// # Ok::<(), grainfall_psychrometrics::Error>(())
    /// ```
    pub fn from_pair(first: Property, second: Property, pressure: Pascals, over: Saturation) -> Result<Self, Error> {
        use Property::{DewPoint, HumidityRatio, RelativeHumidity, Temperature, VapourPressure, WetBulb};
        check_pressure(pressure)?;
        let place = Place { pressure, over };
        match (first, second) {
            (Temperature(temp), RelativeHumidity(rh)) | (RelativeHumidity(rh), Temperature(temp)) => {
                Self::from_temp_and_rh(temp, rh, pressure, over)
            }
            (Temperature(temp), WetBulb(wet_bulb)) | (WetBulb(wet_bulb), Temperature(temp)) => {
                place.temp_and_wet_bulb(temp, wet_bulb)
            }
            (RelativeHumidity(rh), WetBulb(wet_bulb)) | (WetBulb(wet_bulb), RelativeHumidity(rh)) => {
                place.rh_and_wet_bulb(rh, wet_bulb)
            }
            (Temperature(temp), moisture @ (DewPoint(_) | HumidityRatio(_) | VapourPressure(_)))
            | (moisture @ (DewPoint(_) | HumidityRatio(_) | VapourPressure(_)), Temperature(temp)) => {
                place.temp_and_moisture(temp, moisture)
            }
            (RelativeHumidity(rh), moisture @ (DewPoint(_) | HumidityRatio(_) | VapourPressure(_)))
            | (moisture @ (DewPoint(_) | HumidityRatio(_) | VapourPressure(_)), RelativeHumidity(rh)) => {
                place.rh_and_moisture(rh, moisture)
            }
            (WetBulb(wet_bulb), moisture @ (DewPoint(_) | HumidityRatio(_) | VapourPressure(_)))
            | (moisture @ (DewPoint(_) | HumidityRatio(_) | VapourPressure(_)), WetBulb(wet_bulb)) => {
                place.wet_bulb_and_moisture(wet_bulb, moisture)
            }
            (Temperature(_), Temperature(_))
            | (RelativeHumidity(_), RelativeHumidity(_))
            | (WetBulb(_), WetBulb(_))
            | (
                DewPoint(_) | HumidityRatio(_) | VapourPressure(_),
                DewPoint(_) | HumidityRatio(_) | VapourPressure(_),
            ) => Err(Error::DependentPair { first: first.name(), second: second.name() }),
        }
    }

    /// Air (dry-bulb) temperature.
    #[must_use]
    pub const fn temperature(&self) -> Celsius {
        self.temp
    }

    /// Total pressure.
    #[must_use]
    pub const fn pressure(&self) -> Pascals {
        self.pressure
    }

    /// What relative humidity and dew point refer to below 0.01 C.
    #[must_use]
    pub const fn saturation(&self) -> Saturation {
        self.over
    }

    /// Relative humidity.
    #[must_use]
    pub const fn rh(&self) -> RelativeHumidity {
        self.rh
    }

    /// Vapour pressure.
    #[must_use]
    pub const fn vapour_pressure(&self) -> Pascals {
        self.vapour_pressure
    }

    /// Vapour pressure that saturated air would have at this temperature.
    #[must_use]
    pub fn saturation_pressure(&self) -> Pascals {
        Pascals::new(saturation_pa(self.temp.get(), self.over))
    }

    /// Humidity ratio, see [`humidity_ratio`](crate::humidity_ratio()).
    #[must_use]
    pub fn humidity_ratio(&self) -> HumidityRatio {
        HumidityRatio::new(ratio_kg_kg(self.vapour_pressure.get(), self.pressure.get()))
    }

    /// Grains of water per pound of dry air.
    #[must_use]
    pub fn grains_per_pound(&self) -> GrainsPerPound {
        self.humidity_ratio().into()
    }

    /// Dew point, see [`dew_point`](crate::dew_point()); `None` below -100 C and for air without water.
    #[must_use]
    pub fn dew_point(&self) -> Option<Celsius> {
        dew_point_c(self.vapour_pressure.get(), self.over).map(Celsius::new)
    }

    /// Frost point, see [`frost_point`](crate::frost_point); `None` where no ice can form and below -100 C.
    #[must_use]
    pub fn frost_point(&self) -> Option<Celsius> {
        frost_point_c(self.vapour_pressure.get()).map(Celsius::new)
    }

    /// Wet bulb on the default branch, see [`wet_bulb`](crate::wet_bulb()).
    #[must_use]
    pub fn wet_bulb(&self) -> Celsius {
        self.wet_bulb_on(WetBulbBranch::default())
    }

    /// Wet bulb on a named branch, see [`wet_bulb`](crate::wet_bulb()).
    #[must_use]
    pub fn wet_bulb_on(&self, branch: WetBulbBranch) -> Celsius {
        Celsius::new(wet_bulb_c(self.temp.get(), self.humidity_ratio().get(), self.pressure.get(), branch))
    }

    /// Enthalpy, see [`enthalpy`](crate::enthalpy).
    #[must_use]
    pub fn enthalpy(&self) -> Enthalpy {
        Enthalpy::new(enthalpy_kj_kg(self.temp.get(), self.humidity_ratio().get()))
    }

    /// Volume per mass of dry air, see [`specific_volume`](crate::specific_volume).
    #[must_use]
    pub fn specific_volume(&self) -> SpecificVolume {
        SpecificVolume::new(volume_m3_kg(self.temp.get(), self.humidity_ratio().get(), self.pressure.get()))
    }

    /// Density, see [`density`](crate::density).
    #[must_use]
    pub fn density(&self) -> Density {
        Density::new((1.0 + self.humidity_ratio().get()) / self.specific_volume().get())
    }

    /// Mass of vapour per volume, see [`absolute_humidity`](crate::absolute_humidity).
    #[must_use]
    pub fn absolute_humidity(&self) -> AbsoluteHumidity {
        AbsoluteHumidity::new(1000.0 * self.humidity_ratio().get() / self.specific_volume().get())
    }
}

/// Pressure and saturation choice of the state being looked for.
#[derive(Clone, Copy)]
struct Place {
    pressure: Pascals,
    over: Saturation,
}

impl Place {
    fn temp_and_moisture(self, temp: Celsius, moisture: Property) -> Result<MoistAir, Error> {
        check_temp("air temperature", temp)?;
        let vapour_pressure = self.vapour_pressure_of(moisture)?;
        self.state(moisture.name(), temp, vapour_pressure)
    }

    fn temp_and_wet_bulb(self, temp: Celsius, wet_bulb: Celsius) -> Result<MoistAir, Error> {
        check_temp("air temperature", temp)?;
        self.check_wet_bulb(wet_bulb)?;
        let w = ratio_from_wet_bulb(temp.get(), wet_bulb.get(), self.pressure.get());
        if w < 0.0 {
            let limit_c = wet_bulb_c(temp.get(), 0.0, self.pressure.get(), WetBulbBranch::default());
            return Err(Error::WetBulbTooLow { wet_bulb_c: wet_bulb.get(), air_temp_c: temp.get(), limit_c });
        }
        let vapour_pressure = vapour_pressure_of_ratio(HumidityRatio::new(w), self.pressure)?;
        self.state("wet bulb", temp, vapour_pressure)
    }

    fn rh_and_moisture(self, rh: RelativeHumidity, moisture: Property) -> Result<MoistAir, Error> {
        let vapour_pressure = self.vapour_pressure_of(moisture)?;
        let no_such_air = |limit| Error::NoSuchAir { first: "relative humidity", second: moisture.name(), limit };
        if rh.percent() <= 0.0 {
            return Err(no_such_air("air of 0 % holds no water at any temperature, so none is fixed"));
        }
        let saturated_pa = vapour_pressure.get() / rh.fraction();
        if saturated_pa > saturation_pa(HIGHEST_TEMP_C, self.over) {
            return Err(no_such_air("the air would be hotter than 200 C, the end of the equations"));
        }
        let Some(temp_c) = dew_point_c(saturated_pa, self.over) else {
            return Err(no_such_air("the air would be colder than -100 C, the end of the equations"));
        };
        check_air_is_left(vapour_pressure, self.pressure)?;
        Ok(MoistAir { temp: Celsius::new(temp_c), rh, vapour_pressure, pressure: self.pressure, over: self.over })
    }

    fn rh_and_wet_bulb(self, rh: RelativeHumidity, wet_bulb: Celsius) -> Result<MoistAir, Error> {
        self.check_wet_bulb(wet_bulb)?;
        let pressure_pa = self.pressure.get();
        let no_such_air = |limit| Error::NoSuchAir { first: "relative humidity", second: "wet bulb", limit };
        // Falls from positive to negative as the air temperature rises; where the vapour alone would reach the total
        // pressure it is far below zero, so the search keeps clear of that.
        let imbalance_at = |temp_c: f64| {
            let vapour_pa = rh.fraction() * saturation_pa(temp_c, self.over);
            if vapour_pa >= pressure_pa {
                f64::NEG_INFINITY
            } else {
                imbalance(wet_bulb.get(), temp_c, ratio_kg_kg(vapour_pa, pressure_pa), pressure_pa)
            }
        };
        if imbalance_at(HIGHEST_TEMP_C) > 0.0 {
            return Err(no_such_air("the air would be hotter than 200 C, the end of the equations"));
        }
        if imbalance_at(LOWEST_TEMP_C) < 0.0 {
            return Err(no_such_air("the air would be colder than -100 C, the end of the equations"));
        }
        // No slope is given: bisection, which the infinite end does not disturb.
        let temp_c =
            bracketed_root(LOWEST_TEMP_C, HIGHEST_TEMP_C, wet_bulb.get(), |temp_c| (-imbalance_at(temp_c), 0.0));
        MoistAir::from_temp_and_rh(Celsius::new(temp_c), rh, self.pressure, self.over)
    }

    fn wet_bulb_and_moisture(self, wet_bulb: Celsius, moisture: Property) -> Result<MoistAir, Error> {
        self.check_wet_bulb(wet_bulb)?;
        let vapour_pressure = self.vapour_pressure_of(moisture)?;
        check_air_is_left(vapour_pressure, self.pressure)?;
        let w = ratio_kg_kg(vapour_pressure.get(), self.pressure.get());
        let temp = Celsius::new(air_temp_from_wet_bulb(w, wet_bulb.get(), self.pressure.get()));
        if check_temp("air temperature", temp).is_err() {
            return Err(Error::NoSuchAir {
                first: "wet bulb",
                second: moisture.name(),
                limit: "the air temperature would lie outside -100 to 200 C, the range of the equations",
            });
        }
        self.state(moisture.name(), temp, vapour_pressure)
    }

    /// The state of a checked temperature and a vapour pressure, if air can hold it.
    fn state(self, what: &'static str, temp: Celsius, vapour_pressure: Pascals) -> Result<MoistAir, Error> {
        let limit_pa = saturation_pa(temp.get(), self.over);
        check_not_supersaturated(what, vapour_pressure.get(), temp.get(), limit_pa)?;
        check_air_is_left(vapour_pressure, self.pressure)?;
        let rh = RelativeHumidity::from_computed_fraction(vapour_pressure.get() / limit_pa);
        Ok(MoistAir { temp, rh, vapour_pressure, pressure: self.pressure, over: self.over })
    }

    /// The vapour pressure that a dew point, humidity ratio or vapour pressure stands for.
    fn vapour_pressure_of(self, moisture: Property) -> Result<Pascals, Error> {
        match moisture {
            Property::DewPoint(dew_point) => {
                check_temp("dew point", dew_point)?;
                Ok(Pascals::new(saturation_pa(dew_point.get(), self.over)))
            }
            Property::HumidityRatio(ratio) => vapour_pressure_of_ratio(ratio, self.pressure),
            Property::VapourPressure(vapour_pressure) => {
                check_vapour_pressure(vapour_pressure).map(|()| vapour_pressure)
            }
            Property::Temperature(_) | Property::RelativeHumidity(_) | Property::WetBulb(_) => {
                Err(Error::DependentPair { first: moisture.name(), second: moisture.name() })
            }
        }
    }

    /// Refuses a wet bulb outside the equations or at which the wick would boil.
    fn check_wet_bulb(self, wet_bulb: Celsius) -> Result<(), Error> {
        check_temp("wet bulb", wet_bulb)?;
        let saturated = Pascals::new(saturation_pa(wet_bulb.get(), Saturation::IceBelowTriplePoint));
        check_air_is_left(saturated, self.pressure)
    }
}
