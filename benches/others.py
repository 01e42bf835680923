#!/usr/bin/env python3
"""How long other readers take over the same tracks, and how `thereback legs` grows with its input.

    cargo build --release
    python3 -m venv others
    others/bin/pip install gpxpy pyogrio geopandas
    others/bin/python benches/others.py [DAYS ...]

The others only read. `thereback legs` is the whole command: start, reading, finding the legs, writing
the table. Of several rounds the least CPU time counts, because another process may have taken the rest.
Without the packages only `legs` is measured. Linux and macOS.
"""

import datetime
import importlib.util
import math
import os
import subprocess
import sys
import tempfile
from pathlib import Path

PROGRAM = Path(__file__).resolve().parent.parent / "target/release/thereback"
FIXES = 28_800  # eight hours at one fix a second
RUN_S = 300  # the boat turns round every five minutes, at 4 m/s
METRES_PER_DEGREE = 111_195.0
FIX_BYTES = 112  # of one `Fix` in memory; `size_of::<Fix>()`, held by a test
ROUNDS = 3
LONG_FIXES = 864_000  # ten days at one fix a second
SHAPES = {
    "plain": "",
    "odd": "<desc>odd &amp; rare</desc>",
    "rich": "<hdop>0.9</hdop>\n<extensions>\n<x:speed>4.00</x:speed>\n<x:course>0.0</x:course>\n"
            "<x:depth>4.2</x:depth>\n</extensions>",
}


def write_day(path, number, fixes=FIXES, extra=""):
    """A day there and back on one line; `extra` stands in each point.

    Written line by line: a child's largest memory is never told as less than its parent's.
    """
    start = datetime.datetime(2031, 1, 1, 8) + datetime.timedelta(days=number)
    with path.open("w") as file:
        file.write('<?xml version="1.0"?>\n<gpx version="1.1" creator="bench" '
                   'xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>\n')
        for second in range(fixes):
            run, at = divmod(second, RUN_S)
            north_m = 4.0 * (RUN_S - at if run % 2 else at)
            at = (start + datetime.timedelta(seconds=second)).strftime("%Y-%m-%dT%H:%M:%SZ")
            file.write(f'<trkpt lat="{57.7 + north_m / METRES_PER_DEGREE:.7f}" '
                       f'lon="{11.9 + 1e-6 * math.sin(second / 7):.7f}">'
                       f"<ele>0.0</ele><time>{at}</time>{extra}</trkpt>\n")
        file.write("</trkseg></trk></gpx>\n")


def cpu_of(work):
    """CPU seconds of the best round, children included."""
    best = math.inf
    for _ in range(ROUNDS):
        before = os.times()
        work()
        after = os.times()
        best = min(best, sum(after[:4]) - sum(before[:4]))
    return best


def legs(path):
    """Runs `legs`, and gives its CPU seconds and largest memory in bytes."""
    best, largest = math.inf, 0
    for _ in range(ROUNDS):
        child = subprocess.Popen([PROGRAM, "legs", path, "--format", "csv"],
                                 stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        _, status, used = os.wait4(child.pid, 0)
        child.returncode = os.waitstatus_to_exitcode(status)
        assert child.returncode == 0, child.returncode
        best = min(best, used.ru_utime + used.ru_stime)
        unit = 1 if sys.platform == "darwin" else 1024
        largest = max(largest, used.ru_maxrss * unit)
    return best, largest


def main():
    days = [int(given) for given in sys.argv[1:]] or [1, 10, 100]
    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)
        print("days  files      MB  legs CPU s  per day ms  largest MB  of the fixes")
        for count in days:
            season = folder / f"season{count}"
            season.mkdir()
            for number in range(count):
                write_day(season / f"{number:04}.gpx", number)
            size = sum(file.stat().st_size for file in season.iterdir())
            seconds, largest = legs(season)
            ratio = largest / (count * FIXES * FIX_BYTES)
            print(f"{count:4} {count:6} {size / 1e6:7.1f} {seconds:11.2f} {1e3 * seconds / count:11.1f}"
                  f" {largest / 1e6:11.1f} {ratio:13.2f}")
        print("\none file of ten days without a break: shape, MB, CPU s, largest MB, of the fixes")
        for shape, extra in SHAPES.items():
            long = folder / f"{shape}.gpx"
            write_day(long, 0, LONG_FIXES, extra)
            seconds, largest = legs(long)
            print(f"{shape:6} {long.stat().st_size / 1e6:6.0f} {seconds:6.2f} {largest / 1e6:6.0f}"
                  f" {largest / (LONG_FIXES * FIX_BYTES):6.2f}")
            long.unlink()
        one = folder / "day.gpx"
        write_day(one, 0)
        ours, _ = legs(one)
        readers = {}
        if importlib.util.find_spec("gpxpy"):
            import gpxpy
            readers["gpxpy"] = lambda: gpxpy.parse(one.read_text())
        if importlib.util.find_spec("pyogrio"):
            import pyogrio
            readers["GDAL by pyogrio"] = lambda: pyogrio.read_dataframe(one, layer="track_points")
        print(f"\none day, {one.stat().st_size / 1e6:.2f} MB: thereback legs, whole: {1e3 * ours:.0f} ms")
        for name, read in readers.items():
            theirs = cpu_of(read)
            print(f"{name}, reading alone: {1e3 * theirs:.0f} ms, {theirs / ours:.0f} times as long")


main()
