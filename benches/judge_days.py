#!/usr/bin/env python3
"""How often `thereback report` reads days right whose truth is known, by habit.

    cargo build --release
    python3 benches/judge_days.py FOLDER [PROGRAM]

FOLDER holds `day-N.gpx.gz`, the track of a day, and `day-N.truth.json`, what really happened, from
whatever simulator or logbook. Times are seconds after `start`:

    start           time of the beginning, RFC 3339
    legs            [{start, on_line, end, course_deg, config, setting, kind}] in order of time;
                    `on_line`: on its course from here; `kind`: `run` for a leg of a double run
    double_runs     [[i, j]]: indices of the two legs there and back, the earlier first
    configurations  [{config, start, end}]: each series of one part, in order; the first is the old
    change          [{config, setting, percent}]: by how much faster than the old part
    habits          {habit: value}: what the table is split by; may be empty

A leg found is a true one where both share seven tenths of the time that either lasts and the
courses differ by less than 25 degrees. A day is read right where every double run was found, none
was invented, and each part and setting has a name of its own; an old part that comes back may have
a second name. A change is answered where its comparison has an interval. Standard library only.
"""

import datetime
import json
import subprocess
import sys
import tempfile
from collections import defaultdict
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

SAME_LEG = 0.7
SAME_COURSE_DEG = 25
COUNTS = ("legs", "found", "runs", "right_runs", "runs_found", "right", "changes", "answered", "held")


def when(text):
    return datetime.datetime.fromisoformat(text.replace("Z", "+00:00")).timestamp()


def report(program, track):
    with tempfile.TemporaryDirectory() as folder:
        done = subprocess.run([program, "report", track, "-o", folder], capture_output=True)
        result = Path(folder) / "result.json"
        if done.returncode not in (0, 1) or not result.exists():
            return {"legs": [], "double_runs": [], "comparisons": []}
        return json.loads(result.read_text())


def matched(truth, legs):
    """Number of the leg found -> index of the true leg."""
    begin, true_of = when(truth["start"]), {}
    for index, leg in enumerate(truth["legs"]):
        if leg["kind"] != "run":
            continue
        best = (0, None)
        for found in legs:
            off = (found["course_deg"] - leg["course_deg"] + 180) % 360 - 180
            if found["leg"] in true_of or abs(off) > SAME_COURSE_DEG:
                continue
            start, end = when(found["start"]) - begin, when(found["end"]) - begin
            shared = min(end, leg["end"]) - max(start, leg["start"])
            # Coming onto the line may be part of the leg or not.
            first = min(start, min(max(start, leg["start"]), leg["on_line"]))
            share = shared / max(1e-9, max(end, leg["end"]) - first)
            best = max(best, (share, found["leg"]), key=lambda b: b[0])
        if best[0] >= SAME_LEG:
            true_of[best[1]] = index
    return true_of


def names(truth, cells):
    """The name that most double runs of each true cell have, and whether cells and names go one to one.

    `cells`: [(true leg, name found)]."""
    def by(key):
        groups = defaultdict(list)
        for leg, name in cells:
            groups[key(leg)].append(name)
        return groups

    def series(leg):
        spans = truth["configurations"]
        return next((k for k, s in enumerate(spans) if s["start"] <= leg["start"] <= s["end"]), None)

    groups = by(lambda leg: (leg["config"], leg["setting"]))
    label = {cell: max(found, key=found.count) for cell, found in groups.items()}
    parts = [span["config"] for span in truth["configurations"]]
    if len(parts) > len(set(parts)):  # by series, which is no stricter
        groups = by(lambda leg: (series(leg), leg["setting"]))
    pure = all(len(set(found)) == 1 and None not in found[0] for found in groups.values())
    return label, pure and len(set(label.values())) == len(label)


def judge(program, track):
    truth = json.loads(Path(str(track).replace(".gpx.gz", ".truth.json")).read_text())
    result = report(program, track)
    true_of = matched(truth, result["legs"])
    pairs = {tuple(pair) for pair in truth["double_runs"]}
    hit, cells = set(), []
    for run in result["double_runs"]:
        pair = tuple(sorted(true_of.get(leg, -1) for leg in run["legs"]))
        if pair in pairs:
            hit.add(pair)
            cells.append((truth["legs"][pair[0]], (run["configuration"], run["setting"])))
    label, grouped = names(truth, cells)
    invented = len(result["double_runs"]) - len(cells)
    old = truth["configurations"][0]["config"]
    ends = []
    for change in truth["change"]:
        new, was = (label.get((part, change["setting"])) for part in (change["config"], old))
        for c in result["comparisons"] if new and was and new[1] == was[1] else []:
            same = (c["changed"], c["baseline"], c["setting"]) == (new[0], was[0], new[1])
            if same and c.get("percent") and c["percent"].get("low") is not None:
                ends.append(c["percent"]["low"] <= change["percent"] <= c["percent"]["high"])
    counts = dict(
        legs=sum(leg["kind"] == "run" for leg in truth["legs"]), found=len(true_of),
        runs=len(pairs), right_runs=len(hit), runs_found=len(result["double_runs"]),
        right=int(grouped and hit == pairs and not invented),
        changes=len(truth["change"]), answered=len(ends), held=sum(ends))
    return truth.get("habits", {}), counts


def line(habit, value, days):
    total = {key: sum(day[key] for day in days) for key in COUNTS}
    def share(part, whole):
        return f"{100 * total[part] / total[whole]:.1f}" if total[whole] else "-"
    total["days"] = len(days)
    shares = [share("found", "legs"), share("right_runs", "runs"), share("right_runs", "runs_found"),
              share("right", "days"), share("answered", "changes"), share("held", "answered")]
    print(f"| {habit} | {value} | {len(days)} | " + " | ".join(shares) + " |")


def main():
    folder = Path(sys.argv[1])
    program = sys.argv[2] if len(sys.argv) > 2 else "target/release/thereback"
    with ThreadPoolExecutor(2) as pool:
        judged = list(pool.map(lambda track: judge(program, track), sorted(folder.glob("day-*.gpx.gz"))))
    print("| habit | | days | runs found % | double runs found % | true % | days read right % "
          "| changes answered % | held by the interval % |")
    print("|" + "---|" * 9)
    line("all", "", [counts for _, counts in judged])
    groups = defaultdict(list)
    for habits, counts in judged:
        for habit, value in habits.items():
            if isinstance(value, (str, bool, int)):
                groups[habit, str(value)].append(counts)
    for (habit, value), days in sorted(groups.items()):
        line(habit, value, days)


if __name__ == "__main__":
    main()
