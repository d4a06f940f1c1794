"""Checks a report against its manifest without the program that wrote it.

    python docs/check_report.py JOB_FOLDER

Needs PyPI `duckdb` as a general reader of Parquet. Exit code 0 when everything is as the manifest says, else 1.
"""

import datetime
import hashlib
import json
import pathlib
import struct
import sys

import duckdb

EPOCH = datetime.datetime(1970, 1, 1, tzinfo=datetime.timezone.utc)


def sha256(path):
    return hashlib.sha256(path.read_bytes()).hexdigest()


def files(folder, manifest):
    """Pairs of what the manifest says of a file and what is there; files within archives have none of their own."""
    for entry in manifest["job_files"] + manifest["inputs"]:
        path = folder / entry["path"]
        within = any(parent.is_file() for parent in path.parents)
        if entry["sha256"] and not within:
            yield entry["path"], entry["sha256"], sha256(path) if path.is_file() else "no such file"
    for name, expected in manifest["outputs"].items():
        path = folder / "report" / name
        yield f"report/{name}", expected, sha256(path) if path.is_file() else "no such file"


def rows(path):
    """Names of the columns and all rows, as the general reader gives them."""
    with duckdb.connect() as connection:
        connection.execute("set timezone = 'UTC'")
        found = connection.execute("select * from read_parquet(?)", [str(path)])
        return [column[0] for column in found.description], found.fetchall()


def lines(names, samples):
    compact = {"ensure_ascii": False, "separators": (",", ":")}
    yield json.dumps(names, **compact)
    for sample in samples:
        cells = []
        for name, value in zip(names, sample):
            if name == "time":
                value = (value - EPOCH) // datetime.timedelta(microseconds=1)
            elif isinstance(value, float):
                value = struct.pack(">d", value).hex()
            cells.append(value)
        yield json.dumps(cells, **compact)


def lines_there(folder, names, samples):
    """Samples whose line is not in the plain text file they name, and how many could be looked up."""
    file, row = names.index("file"), names.index("row")
    lengths, missing, looked = {}, 0, 0
    for sample in samples:
        path = folder / sample[file]
        if path.suffix.lower() not in (".csv", ".tsv", ".txt"):
            continue
        if path not in lengths:
            lengths[path] = path.read_bytes().replace(b"\r\n", b"\n").count(b"\n") + 1 if path.is_file() else 0
        looked += 1
        missing += not 1 <= sample[row] <= lengths[path]
    return missing, looked


def main():
    folder = pathlib.Path(sys.argv[1])
    manifest = json.loads((folder / "report" / "manifest.json").read_bytes())
    wrong = 0
    checked = 0
    for name, expected, found in files(folder, manifest):
        checked += 1
        if expected != found:
            wrong += 1
            print(f"differs: {name}: recorded {expected}, found {found}")
    names, samples = rows(folder / "report" / "samples.parquet")
    digest = hashlib.sha256()
    for line in lines(names, samples):
        digest.update(line.encode() + b"\n")
    if digest.hexdigest() != manifest["tidy_rows_sha256"]:
        wrong += 1
        print(f"differs: rows: recorded {manifest['tidy_rows_sha256']}, found {digest.hexdigest()}")
    missing, looked = lines_there(folder, names, samples)
    if missing:
        wrong += 1
        print(f"differs: {missing} samples name a line that their file does not have")
    print(f"{checked} files, {len(samples)} rows, {looked} lines looked up, {wrong} differences")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
