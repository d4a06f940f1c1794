"""Speed of reading beside a plain read of the same file by Polars (PyPI `polars`), best of five in one run.

    cargo build --release -p grainfall-ingest --example read_speed
    python crates/ingest/tests/reference/speed.py target/release/examples/read_speed [FOLDER OF OPEN LOGS]

Long file: one million rows of ten loggers, 39 MB; the plain read is `read_csv` and one `strptime`. Wide file: the log of
122 columns repeated a hundred times; the plain read is `read_csv` with every column as text. Beside the best time stands
the processor time of a run, the mean of five, which a busy machine disturbs less.
"""

import pathlib
import re
import resource
import subprocess
import sys
import tempfile
import time

import polars as pl

READER = pathlib.Path(sys.argv[1]).resolve()
HERE = pathlib.Path(__file__).resolve().parent
LOGS = pathlib.Path(sys.argv[2]) if len(sys.argv) > 2 else HERE.parents[4] / "shared" / "data"
WIDE = LOGS / "share_noaa_lcd_atlanta_degF_wetbulb.csv"


RUNS = 5


def plain(read):
    best, started_cpu = float("inf"), time.process_time()
    for _ in range(RUNS):
        started = time.perf_counter()
        read()
        best = min(best, time.perf_counter() - started)
    return best, (time.process_time() - started_cpu) / RUNS


def children():
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def ours(path, runs):
    before = children()
    text = subprocess.run([READER, "read", path, str(runs)], check=True, capture_output=True, text=True).stdout
    seconds = float(re.search(r"best_s (\S+)", text)[1])
    peak = re.search(r"peak_kb (\d+)", text)
    return seconds, (children() - before) / runs, int(peak[1]) * 1024 if peak else None


def show(name, path, read):
    size = path.stat().st_size
    plain_s, plain_cpu = plain(read)
    seconds, cpu, _ = ours(path, RUNS)
    _, _, peak = ours(path, 1)
    memory = f", peak memory {peak / size:.1f} x the file" if peak else ""
    print(
        f"{name}: {size / 1e6:.1f} MB, {seconds:.3f} s, plain read {plain_s:.3f} s, {seconds / plain_s:.2f} x; "
        f"processor {cpu:.3f} s, plain read {plain_cpu:.3f} s, {cpu / plain_cpu:.2f} x{memory}"
    )


def main():
    with tempfile.TemporaryDirectory() as folder:
        long = pathlib.Path(folder) / "long.csv"
        subprocess.run([READER, "generate", long], check=True, capture_output=True)
        stamp = pl.col("Timestamp").str.strptime(pl.Datetime, "%m/%d/%Y %I:%M:%S %p")
        show("long", long, lambda: pl.read_csv(long).with_columns(stamp))
        if WIDE.exists():
            wide = pathlib.Path(folder) / "wide.csv"
            subprocess.run([READER, "tile", WIDE, "100", wide], check=True, capture_output=True)
            show("wide", wide, lambda: pl.read_csv(wide, infer_schema_length=0))


if __name__ == "__main__":
    main()
