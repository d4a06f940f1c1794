#!/usr/bin/env python3
"""Figures of the open sample logs, computed apart from the crate with pandas, and openpyxl for the spreadsheet.

Usage: open_logs.py FOLDER > open_logs.csv        (PyPI `pandas`, `openpyxl`)

Every file is read with what its publisher documents of it: columns, units and zone are written down here by hand, and
nothing is inferred. Units of the figures: degC, %, Pa, kg/kg, kg; `unit` is the one in the file. `rows` are the records
of the file, `refused` those cells of the columns named here that are neither a number nor the publisher's mark for no
value, and rows without a time. A sample is an instant with at least one value; of two rows of one instant the first in
the file is used and the second fills what the first lacks; a gap is a step above 1.5 times the median step (of an even
number of steps the lower middle one).
"""

import sys
from pathlib import Path

import numpy as np
import pandas as pd

# Of the unit of a file to the canonical one. Conventional inch and millimetre of mercury: of density 13.5951 g/cm3
# under standard gravity.
UNITS = {
    "degC": lambda x: x,
    "degF": lambda x: (x - 32.0) / 1.8,
    "%": lambda x: x,
    "hPa": lambda x: x * 100.0,
    "kPa": lambda x: x * 1000.0,
    "inHg": lambda x: x * 25.4 * 13.5951 * 9.80665,
    "mmHg": lambda x: x * 13.5951 * 9.80665,
    "kg/kg": lambda x: x,
    "g": lambda x: x * 1e-3,
}
MISSING = ["", "NA", "M", "---"]


def texts(path, **how):
    """All cells as text, trimmed."""
    frame = pd.read_csv(path, dtype=str, keep_default_na=False, skipinitialspace=True, **how)
    return frame.apply(lambda column: column.str.strip())


def utc(stamps, form, zone):
    """Wall times of a zone as instants; an hour that occurs twice or never is none of these files'."""
    times = pd.to_datetime(stamps, format=form)
    return times.dt.tz_localize(zone, ambiguous="raise", nonexistent="raise").dt.tz_convert("UTC")


def one(frame, time, columns):
    """The one logger of a file: quantity to (column, unit)."""
    yield "", frame, time, columns


def attic(path, temp, rh):
    frame = texts(path)
    time = utc(frame["t_UTC+2"], "%Y-%m-%d %H:%M:%S", "Etc/GMT-2")
    yield from one(frame, time, {"air_temp_c": (temp, "degC"), "rh_pct": (rh, "%")})


def dwd(path):
    # Names in English, units, names in German; decimal commas.
    frame = texts(path, sep=";", skiprows=2)
    frame = frame.apply(lambda column: column.str.replace(",", ".", regex=False))
    time = utc(frame.iloc[:, 0] + " " + frame.iloc[:, 1], "%d.%m.%y %H:%M", "UTC")
    names = {"air_temp_c": (9, "degC"), "rh_pct": (37, "%"), "dew_point_c": (5, "degC")}
    yield from one(frame, time, {quantity: (frame.columns[at], unit) for quantity, (at, unit) in names.items()})


def toronto(path):
    # Local standard time of Toronto all year: five hours behind UTC.
    frame = texts(path, skiprows=15, encoding="utf-8-sig")
    time = utc(frame["Date/Time"], "%Y-%m-%d %H:%M", "Etc/GMT+5")
    columns = {
        "air_temp_c": ("Temp (°C)", "degC"),
        "rh_pct": ("Rel Hum (%)", "%"),
        "dew_point_c": ("Dew Point Temp (°C)", "degC"),
        "pressure_pa": ("Stn Press (kPa)", "kPa"),
    }
    yield from one(frame, time, columns)


def atlanta(path):
    # Local standard time: the raw reports in the last columns are five hours ahead.
    frame = texts(path)
    time = utc(frame["DATE"], "%Y-%m-%dT%H:%M:%S", "Etc/GMT+5")
    columns = {
        "air_temp_c": ("HourlyDryBulbTemperature", "degF"),
        "rh_pct": ("HourlyRelativeHumidity", "%"),
        "dew_point_c": ("HourlyDewPointTemperature", "degF"),
        "wet_bulb_c": ("HourlyWetBulbTemperature", "degF"),
        "pressure_pa": ("HourlyStationPressure", "inHg"),
    }
    yield from one(frame, time, columns)


def new_york(path):
    frame = texts(path)
    frame["time"] = utc(frame["time_hour"], "%Y-%m-%dT%H:%M:%SZ", "UTC")
    columns = {
        "air_temp_c": ("temp", "degF"),
        "rh_pct": ("humid", "%"),
        "dew_point_c": ("dewp", "degF"),
        "pressure_pa": ("pressure", "hPa"),
    }
    for station, rows in frame.groupby("origin"):
        yield station, rows, rows["time"], columns


def house(path):
    frame = texts(path)
    time = utc(frame["date"], "%Y-%m-%d %H:%M:%S", "Europe/Brussels")
    for room in range(1, 10):
        yield str(room), frame, time, {"air_temp_c": (f"T{room}", "degC"), "rh_pct": (f"RH_{room}", "%")}
    columns = {
        "air_temp_c": ("T_out", "degC"),
        "rh_pct": ("RH_out", "%"),
        "dew_point_c": ("Tdewpoint", "degC"),
        "pressure_pa": ("Press_mm_hg", "mmHg"),
    }
    yield "out", frame, time, columns


def office(path):
    # The first column has no name: pandas takes it for the index.
    frame = texts(path)
    time = utc(frame["date"], "%Y-%m-%d %H:%M:%S", "Europe/Brussels")
    columns = {
        "air_temp_c": ("Temperature", "degC"),
        "rh_pct": ("Humidity", "%"),
        "humidity_ratio_kg_kg": ("HumidityRatio", "kg/kg"),
    }
    yield from one(frame, time, columns)


def stick_weather(path):
    frame = texts(path)
    time = utc(frame["date"], "%Y-%m-%d %H:%M", "America/Vancouver")
    yield from one(frame, time, {"air_temp_c": ("temp", "degC"), "rh_pct": ("rh", "%")})


def stick_moisture(path):
    frame = texts(path)
    time = utc(frame["date"], "%Y-%m-%d %H:%M:%S", "America/Vancouver")
    for stick in ("BC1", "BC2"):
        yield stick, frame, time, {"moisture_pct": (stick, "%")}


def field_sheet(path):
    # Site, date and time stand in the first row of each site; rows below belong to it until the next one.
    frame = pd.read_excel(path, engine="openpyxl", dtype=object)
    group = frame[["Site", "Date", "Time"]].ffill()
    stamps = group.apply(lambda row: pd.Timestamp.combine(row["Date"].date(), row["Time"]), axis=1)
    frame["time"] = stamps.dt.tz_localize("Europe/London").dt.tz_convert("UTC")
    columns = {
        "air_temp_c": ("Temperature (\u2218C)", "degC"),
        "rh_pct": ("Relative Humidity (%)", "%"),
        "dew_point_c": ("Dew Point (\u2218C)", "degC"),
        "moisture_pct": ("Moisture Content (%)", "%"),
        "weight_kg": ("Wet Weight", "g"),
    }
    for site, rows in frame.groupby(group["Site"].astype(str)):
        yield site, rows, rows["time"], columns


FILES = {
    "share_attic_drying_point_hourly_utc+2.csv": lambda p: attic(p, "T", "RH"),
    "share_attic_indoor_hourly_utc+2.csv": lambda p: attic(p, "T", "RH"),
    "share_attic_outdoor_hourly_utc+2.csv": lambda p: attic(p, "Te", "RHe"),
    "share_dwd_3row_header_decimal_comma.csv": dwd,
    "share_eccc_toronto_hourly_preamble_2013-01.csv": toronto,
    "share_field_sheet_wet_dry_weights.xlsx": field_sheet,
    "share_house_wide_9rooms.csv": house,
    "share_noaa_lcd_atlanta_degF_wetbulb.csv": atlanta,
    "share_nyc_weather_degF_dst_mar_nov_2013.csv": new_york,
    "share_office_humidity_ratio_short_header.txt": office,
    "share_woodstick_moisture_hourly.csv": stick_moisture,
    "share_woodstick_weather_hourly.csv": stick_weather,
}


def numbers(column, unit):
    """A column in canonical units, and how many of its cells are no number and no mark for no value."""
    marks = column.isna() | column.isin(MISSING)
    values = pd.to_numeric(column.where(~marks), errors="coerce")
    return UNITS[unit](values.astype(float)), int((values.isna() & ~marks).sum())


def merged(values):
    """Rows of one instant put together, with the repeats and the contradictions among them."""
    duplicates = conflicts = 0
    repeated = values.index[values.index.duplicated()].unique()
    for time in repeated:
        rows = values.loc[[time]].to_numpy()
        kept = rows[0].copy()
        for row in rows[1:]:
            both = ~np.isnan(kept) & ~np.isnan(row)
            differs = both & (np.abs(kept - row) > 1e-9 * np.maximum(1.0, np.abs(row)))
            fills = np.isnan(kept) & ~np.isnan(row)
            conflicts += int(differs.sum())
            duplicates += int(not differs.any() and not fills.any())
            kept[fills] = row[fills]
    return values.groupby(level=0).first(), duplicates, conflicts


def main(folder):
    figures = []
    for name, read in sorted(FILES.items()):
        parts = list(read(Path(folder) / name))
        # Loggers side by side share the rows, loggers below each other have their own.
        shared = all(frame is parts[0][1] for _, frame, _, _ in parts)
        rows = len(parts[0][1]) if shared else sum(len(frame) for _, frame, _, _ in parts)
        refused, of_file = int(parts[0][2].isna().sum()), []
        for channel, frame, time, columns in sorted(parts, key=lambda part: part[0]):
            values = {}
            for quantity, (column, unit) in columns.items():
                values[quantity], bad = numbers(frame[column], unit)
                refused += bad
            values = pd.DataFrame(values).set_index(pd.DatetimeIndex(time)).dropna(how="all").sort_index(kind="stable")
            values, duplicates, conflicts = merged(values)
            steps = values.index.to_series().diff().dropna().dt.total_seconds()
            usual = steps.quantile(0.5, interpolation="lower")
            long = steps[steps > 1.5 * usual]
            missing = np.maximum(1, np.floor(long / usual + 0.5) - 1).sum()
            for quantity, (column, unit) in columns.items():
                found = values[quantity].dropna()
                if len(found):
                    of_file.append(
                        {
                            "file": name,
                            "channel": channel,
                            "quantity": quantity,
                            "column": column,
                            "unit": unit,
                            "samples": len(values),
                            "first": values.index[0].isoformat(),
                            "last": values.index[-1].isoformat(),
                            "interval_s": int(usual) if len(steps) else "",
                            "gaps": len(long),
                            "missing": int(missing),
                            "duplicates": duplicates,
                            "conflicts": conflicts,
                            "values": len(found),
                            "mean": f"{found.mean():.9g}",
                            "low": f"{found.min():.9g}",
                            "high": f"{found.max():.9g}",
                        }
                    )
        figures += [{**figure, "rows": rows, "refused": refused} for figure in of_file]
    pd.DataFrame(figures).to_csv(sys.stdout, index=False, lineterminator="\n")


if __name__ == "__main__":
    main(sys.argv[1])
