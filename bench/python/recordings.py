"""Reads a recording with polars, as it stands in a file.

Usage: recordings.py FOLDER. Reads FOLDER/log.csv and, so that there is one, writes
FOLDER/log.parquet; writes FOLDER/result.json: for each of the two, how long the least of three
readings took, the processor time of it, and what was read; and the most memory at the end.
"""

import json
import pathlib
import resource
import sys
import time

import polars as pl

REPEATS = 3


def read(reader, path):
    """The least time of some readings, and figures of what was read."""
    best = None
    for _ in range(REPEATS):
        wall, cpu = time.perf_counter(), time.process_time()
        table = reader(path)
        took = (time.perf_counter() - wall, time.process_time() - cpu)
        best = took if best is None else min(best, took)
    total = float(table["actual [%]"].sum())
    return {"s": best[0], "cpu_s": best[1], "rows": table.height, "sum": total}


def main():
    """Both files."""
    folder = pathlib.Path(sys.argv[1])
    csv, parquet = folder / "log.csv", folder / "log.parquet"
    result = {"csv": read(pl.read_csv, csv)}
    # Of one reading alone: the Parquet file is written from another.
    result["peak_mb"] = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    pl.read_csv(csv).write_parquet(parquet)
    result["parquet"] = read(pl.read_parquet, parquet)
    (folder / "result.json").write_text(json.dumps(result))


main()
