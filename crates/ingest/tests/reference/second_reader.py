"""What a general reader of delimited files makes of the open logs: DuckDB's sniffer (PyPI `duckdb`), a second opinion.

    python crates/ingest/tests/reference/second_reader.py [FOLDER]

Prints a table: the delimiter, header and types that it finds by itself, how many rows it reads, whether a column of
times came out as a timestamp, and how many columns of numbers as numbers. It infers no quantity, unit, logger or zone;
what this project reads of the same files is in `open_logs.csv` beside this script.
"""

import pathlib
import sys

import duckdb

HERE = pathlib.Path(__file__).resolve().parent
FOLDER = pathlib.Path(sys.argv[1]) if len(sys.argv) > 1 else HERE.parents[4] / "shared" / "data"


def look(path):
    sniffed = duckdb.sql(f"select * from sniff_csv('{path}')").fetchall()[0]
    names = [d[0] for d in duckdb.sql(f"select * from sniff_csv('{path}') limit 0").description]
    found = dict(zip(names, sniffed))
    types = [str(column["type"]) for column in found["Columns"]]
    rows = duckdb.sql(f"select count(*) from read_csv('{path}')").fetchall()[0][0]
    return found, types, rows


def main():
    print("| file | lines | delimiter | header | skipped | rows | columns | timestamps | dates | numbers | texts |")
    print("|---|---|---|---|---|---|---|---|---|---|---|")
    for path in sorted([*FOLDER.glob("*.csv"), *FOLDER.glob("*.txt")]):
        lines = path.read_bytes().count(b"\n")
        try:
            found, types, rows = look(path)
        except duckdb.Error as error:
            print(f"| {path.name} | {lines} | error: {str(error).splitlines()[0][:80]} | | | | | | | | |")
            continue
        stamps = sum(t.startswith("TIMESTAMP") for t in types)
        dates = sum(t in ("DATE", "TIME") for t in types)
        numbers = sum(t in ("BIGINT", "DOUBLE") for t in types)
        texts = len(types) - stamps - dates - numbers
        print(
            f"| {path.name} | {lines} | `{found['Delimiter']}` | {found['HasHeader']} | {found['SkipRows']} | {rows} "
            f"| {len(types)} | {stamps} | {dates} | {numbers} | {texts} |"
        )


if __name__ == "__main__":
    main()
