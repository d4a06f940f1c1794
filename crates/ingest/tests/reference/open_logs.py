#!/usr/bin/env python3
"""Figures of the open sample logs, computed apart from the crate with Python's csv, datetime and zoneinfo, and
openpyxl for the spreadsheet.

Usage: open_logs.py FOLDER > open_logs.csv

Every file is read with what its publisher documents of it: columns, units and zone are written down here by hand, and
nothing is inferred. Units: degC, %, Pa, kg/kg, kg. A sample is an instant with at least one value; of two rows of one
instant the first in the file is used and the second fills what the first lacks; a gap is a step above 1.5 times the
median step (of an even number of steps the lower middle one).
"""

import csv
import sys
from datetime import datetime, timedelta, timezone
from pathlib import Path
from zoneinfo import ZoneInfo

UTC = timezone.utc


def celsius(f):
    return (f - 32.0) / 1.8


def same(x):
    return x


def inhg(x):
    # Conventional inch of mercury: 25.4 mm of density 13.5951 under standard gravity.
    return x * 25.4 * 13.5951 * 9.80665


def mmhg(x):
    return x * 13.5951 * 9.80665


def rows(path, delimiter=",", skip=0, encoding="utf-8"):
    with open(path, encoding=encoding, newline="") as handle:
        reader = csv.reader(handle, delimiter=delimiter, skipinitialspace=True)
        for number, row in enumerate(reader, 1):
            if number > skip:
                yield [cell.strip() for cell in row]


def value(text, convert, comma=False):
    if text in ("", "NA", "M", "---"):
        return None
    return convert(float(text.replace(",", ".") if comma else text))


def wall(text, form, zone):
    return datetime.strptime(text, form).replace(tzinfo=zone).astimezone(UTC)


def attic(path, temp, rh):
    zone = timezone(timedelta(hours=2))
    for row in csv.DictReader(open(path, newline="")):
        yield "", wall(row["t_UTC+2"], "%Y-%m-%d %H:%M:%S", zone), {
            "air_temp_c": value(row[temp], same),
            "rh_pct": value(row[rh], same),
        }


def dwd(path):
    for row in rows(path, ";", 3):
        yield "", wall(row[0] + " " + row[1], "%d.%m.%y %H:%M", UTC), {
            "air_temp_c": value(row[9], same, True),
            "rh_pct": value(row[37], same, True),
            "dew_point_c": value(row[5], same, True),
        }


def toronto(path):
    # Local standard time of Toronto all year: five hours behind UTC.
    zone = timezone(timedelta(hours=-5))
    for row in rows(path, skip=0, encoding="utf-8-sig"):
        if len(row) < 24 or row[0] == "Date/Time":
            continue
        yield "", wall(row[0], "%Y-%m-%d %H:%M", zone), {
            "air_temp_c": value(row[5], same),
            "rh_pct": value(row[9], same),
            "dew_point_c": value(row[7], same),
            "pressure_pa": value(row[17], lambda kpa: kpa * 1000.0),
        }


def atlanta(path):
    # Local standard time: the raw reports in the last columns are five hours ahead.
    zone = timezone(timedelta(hours=-5))
    for row in csv.DictReader(open(path, newline="")):
        yield "", wall(row["DATE"], "%Y-%m-%dT%H:%M:%S", zone), {
            "air_temp_c": value(row["HourlyDryBulbTemperature"], celsius),
            "rh_pct": value(row["HourlyRelativeHumidity"], same),
            "dew_point_c": value(row["HourlyDewPointTemperature"], celsius),
            "wet_bulb_c": value(row["HourlyWetBulbTemperature"], celsius),
            "pressure_pa": value(row["HourlyStationPressure"], inhg),
        }


def new_york(path):
    for row in csv.DictReader(open(path, newline="")):
        yield row["origin"], wall(row["time_hour"], "%Y-%m-%dT%H:%M:%SZ", UTC), {
            "air_temp_c": value(row["temp"], celsius),
            "rh_pct": value(row["humid"], same),
            "dew_point_c": value(row["dewp"], celsius),
            "pressure_pa": value(row["pressure"], lambda hpa: hpa * 100.0),
        }


def house(path):
    zone = ZoneInfo("Europe/Brussels")
    for row in csv.DictReader(open(path, newline="")):
        time = wall(row["date"], "%Y-%m-%d %H:%M:%S", zone)
        for room in range(1, 10):
            yield str(room), time, {
                "air_temp_c": value(row[f"T{room}"].strip(), same),
                "rh_pct": value(row[f"RH_{room}"].strip(), same),
            }
        yield "out", time, {
            "air_temp_c": value(row["T_out"].strip(), same),
            "rh_pct": value(row["RH_out"].strip(), same),
            "dew_point_c": value(row["Tdewpoint"].strip(), same),
            "pressure_pa": value(row["Press_mm_hg"].strip(), mmhg),
        }


def office(path):
    zone = ZoneInfo("Europe/Brussels")
    for row in rows(path, skip=1):
        yield "", wall(row[1], "%Y-%m-%d %H:%M:%S", zone), {
            "air_temp_c": value(row[2], same),
            "rh_pct": value(row[3], same),
            "humidity_ratio_kg_kg": value(row[6], same),
        }


def stick_weather(path):
    zone = ZoneInfo("America/Vancouver")
    for row in csv.DictReader(open(path, newline="")):
        yield "", wall(row["date"], "%Y-%m-%d %H:%M", zone), {
            "air_temp_c": value(row["temp"], same),
            "rh_pct": value(row["rh"], same),
        }


def stick_moisture(path):
    zone = ZoneInfo("America/Vancouver")
    for row in csv.DictReader(open(path, newline="")):
        time = wall(row["date"], "%Y-%m-%d %H:%M:%S", zone)
        for stick in ("BC1", "BC2"):
            yield stick, time, {"moisture_pct": value(row[stick], same)}


def field_sheet(path):
    # Site, date and time stand in the first row of each site; rows below belong to it until the next one.
    import openpyxl

    zone = ZoneInfo("Europe/London")
    sheet = openpyxl.load_workbook(path, data_only=True).active
    names, *data = sheet.iter_rows(values_only=True)
    at = {name: column for column, name in enumerate(names)}
    site = date = time = None
    for row in data:
        site, date, time = (
            row[at[name]] if row[at[name]] is not None else last
            for name, last in (("Site", site), ("Date", date), ("Time", time))
        )
        number = lambda name, unit=1.0: row[at[name]] * unit if isinstance(row[at[name]], (int, float)) else None
        yield str(site), datetime.combine(date.date(), time, zone).astimezone(UTC), {
            "air_temp_c": number("Temperature (\u2218C)"),
            "rh_pct": number("Relative Humidity (%)"),
            "dew_point_c": number("Dew Point (\u2218C)"),
            "moisture_pct": number("Moisture Content (%)"),
            "weight_kg": number("Wet Weight", 1e-3),
        }


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


def loggers(samples):
    """Samples by channel, in time order, with repeats of one instant put together."""
    by_channel = {}
    for channel, time, values in samples:
        if any(v is not None for v in values.values()):
            by_channel.setdefault(channel, []).append((time, values))
    for channel in sorted(by_channel):
        kept, duplicates, conflicts = [], 0, 0
        for time, values in sorted(by_channel[channel], key=lambda sample: sample[0]):
            if kept and kept[-1][0] == time:
                first = kept[-1][1]
                filled = differs = False
                for name, v in values.items():
                    if v is None:
                        continue
                    if first[name] is None:
                        first[name], filled = v, True
                    elif abs(first[name] - v) > 1e-9 * max(1.0, abs(v)):
                        conflicts, differs = conflicts + 1, True
                duplicates += not filled and not differs
            else:
                kept.append((time, dict(values)))
        yield channel, kept, duplicates, conflicts


def main(folder):
    out = csv.writer(sys.stdout, lineterminator="\n")
    out.writerow(
        "file channel quantity samples first last interval_s gaps missing duplicates conflicts values mean low high".split()
    )
    for name, read in sorted(FILES.items()):
        for channel, kept, duplicates, conflicts in loggers(read(Path(folder) / name)):
            times = [time for time, _ in kept]
            steps = [(b - a).total_seconds() for a, b in zip(times, times[1:])]
            usual = sorted(steps)[(len(steps) - 1) // 2] if steps else None
            long = [step for step in steps if step > 1.5 * usual]
            missing = sum(max(1, int(step / usual + 0.5) - 1) for step in long)
            for quantity in kept[0][1]:
                values = [v[quantity] for _, v in kept if v[quantity] is not None]
                if values:
                    out.writerow(
                        [name, channel, quantity, len(kept), times[0].isoformat(), times[-1].isoformat(), int(usual) if steps else ""]
                        + [len(long), missing, duplicates, conflicts, len(values)]
                        + [f"{sum(values) / len(values):.9g}", f"{min(values):.9g}", f"{max(values):.9g}"]
                    )


if __name__ == "__main__":
    main(sys.argv[1])
