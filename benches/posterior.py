#!/usr/bin/env python3
"""Repeats the pooled change of a trial from its double runs and the priors alone.

    python3 benches/posterior.py result.json

Needs numpy and scipy. It reads the rows, the conditions and the rules under `model` in
result.json, builds every covariance itself, and integrates over all that is not linear: cause of
the half differences, kinds of trend, lever and day, bad run, scatter. Then it
compares what it found with what the program answered, and with its design matrix, priors and
posterior. Exit code 1 where a figure of the answer differs by more than one in its fourth digit.
The model is described in DEVELOPERS.md, 'The model of the comparison'.
"""
import itertools
import json
import sys

import numpy as np
from scipy.optimize import brentq
from scipy.special import logsumexp
from scipy.stats import multivariate_normal, norm

LEAST_SD = 1e-5  # of a log speed, so that equal runs leave a covariance of full rank
LEAST_VARIANCE = 1e-8  # of a half difference, likewise


def bearing_off(row, conditions):
    """Angle from the axis of a run to where the stated wind comes from, radians."""
    return np.radians((conditions["wind_from"] or row["axis"]) - row["axis"])


def excess_drag(speed, against, across):
    """Wind drag along the course over that at the boat's own speed in a calm, less 1."""
    ahead = 1 + against / speed
    return ahead * np.hypot(ahead, across / speed) - 1


class Trial:
    def __init__(self, model):
        self.rows, self.c, self.r = model["rows"], model["conditions"], model["rules"]
        for name in ("configuration", "setting", "line", "day", "speed", "half_difference", "at", "apart"):
            setattr(self, name, np.array([row[name] for row in self.rows]))
        self.se = np.array([row["se"] or 0.0 for row in self.rows])
        self.water = [row["water_speed"] for row in self.rows]
        self.logged = all(row["wind"] is not None for row in self.rows)
        used = np.where([w is None for w in self.water], self.speed, [w or 1.0 for w in self.water])
        self.usual = np.log(used).mean()
        self.days, self.settings, self.parts, self.lines = (
            sorted(set(v)) for v in (self.day, self.setting, self.configuration, self.line))
        middle = {d: self.at[self.day == d].mean() for d in self.days}
        self.hours = (self.at - np.array([middle[d] for d in self.day])) / 3600
        self.same_day = self.day[:, None] == self.day[None, :]

    def wind_at(self, row):
        """The stated wind against the axis of a run and across it, m/s."""
        speed = self.c["wind_speed"]
        if not speed or speed <= 0:
            return None
        off = bearing_off(row, self.c)
        return speed * np.cos(off), speed * np.sin(off)

    def prior_of_cause(self, cause, own):
        current = {"none": 0.0, "river": 1.0, "tide": 1.0, None: self.r["current_probability"]}[
            None if self.logged else self.c["current"]]
        if cause == "current":
            return current
        if self.c["wind_from"] is None:
            return 1 - current
        se = np.radians(max(1.0, self.c["wind_se_deg"] or self.r["direction_se_deg"]))
        toward = np.array([np.cos(bearing_off(self.rows[i], self.c)) for i in own])
        right = norm.cdf(np.arcsin(abs(toward[0])) / se)
        agrees = right if (-self.half_difference[own] * toward).sum() >= 0 else 1 - right
        return (1 - current) * 2 * max(agrees, self.r["least_agreement"])

    def explain(self, cause, day):
        """Log evidence of a cause of one day's half differences; what it left in the means."""
        own = np.flatnonzero(self.day == day)
        prior = self.prior_of_cause(cause, own)
        if prior <= 0:
            return None
        v, h, at, apart = (x[own] for x in (self.speed, self.half_difference, self.at, self.apart))
        scale = 1 / v if cause == "wind" else np.ones(len(own))
        steady = self.r["current_drift"]
        if cause == "wind":
            steady, winds = self.r["wind_drift"], [self.wind_at(self.rows[i]) for i in own]
            if winds[0] is not None:
                push = [u * u + np.hypot(a, b) * abs(a) for u, (a, b) in zip(v, winds)]
                steady = self.r["air_share"]["mean"] * np.mean(push)
        line = self.line[own]
        both = np.outer(scale, scale) * (line[:, None] == line[None, :])
        logs, means, variances = [], [], []
        for size, length, noise in itertools.product(
                self.r["drift_sizes"], self.r["drift_lengths_s"], self.r["drift_noises"]):
            size *= steady

            def shape(t):
                return np.exp(-0.5 * (t / length) ** 2)
            apart_by = at[:, None] - at[None, :]
            cov = both * (steady**2 + size**2 * shape(apart_by))
            cov += (noise**2 + LEAST_VARIANCE) * np.eye(len(own))
            logs.append(multivariate_normal.logpdf(h, np.zeros(len(own)), cov))
            half = apart[:, None] / 2
            cross = both * size**2 * (shape(apart_by - half) - shape(apart_by + half)) / 2
            gain = np.linalg.solve(cov, cross.T).T
            means.append(gain @ h)
            prior_variance = (scale * size) ** 2 * (1 - shape(apart)) / 2
            variances.append(np.maximum(prior_variance - (gain * cross).sum(axis=1), 0))
        w = np.exp(np.array(logs) - logsumexp(logs))[:, None]
        mean = (w * means).sum(axis=0)
        variance = (w * (np.array(variances) + (np.array(means) - mean) ** 2)).sum(axis=0)
        return np.log(prior) + logsumexp(logs) - np.log(len(logs)), own, mean, variance

    def combinations(self):
        """Causes of the days: log evidence, causes, what they left in the means, its variance."""
        names = ["current"] if self.logged else ["wind", "current"]
        said = [[(cause, e) for cause in names if (e := self.explain(cause, day))] for day in self.days]
        out = []
        for choice in itertools.product(*said):
            left, variance = np.zeros(len(self.rows)), np.zeros(len(self.rows))
            for _, (_, own, m, v) in choice:
                left[own], variance[own] = m, v
            out.append((sum(e[0] for _, e in choice), [cause for cause, _ in choice], left, variance))
        best = max(o[0] for o in out)
        return sorted((o for o in out if o[0] > best - 16), key=lambda o: -o[0])

    def log_speeds(self, left, left_variance):
        own = (self.r["se_factor"] * self.se) ** 2
        speed = self.speed - np.clip(left, -0.5 * self.speed, 0.5 * self.speed)
        variance = own + left_variance
        for i, water in enumerate(self.water):
            if water is not None:
                speed[i], variance[i] = water, own[i]
        return np.log(speed), variance / speed**2

    def design(self, causes, trend, day_change):
        """Names, columns, prior means and standard deviations of the coefficients."""
        r, terms = self.r, []

        def add(name, column, sd, mean=0.0):
            terms.append((name, np.asarray(column, float) * np.ones(len(self.rows)), mean, sd))

        half = 2**-0.5  # each of two has half the variance of their difference
        for k in self.settings:
            add(f"setting {k}", self.setting == k, r["setting_sd"])
        for j in self.parts:
            add(f"part {j}", self.configuration == j, half * r["change_sd"])
            for k in self.settings if len(self.settings) > 1 else []:
                here = (self.configuration == j) & (self.setting == k)
                add(f"part {j} at setting {k}", here, half * r["interaction_sd"])
        for line in self.lines if len(self.lines) > 1 else []:
            add(f"line {line}", self.line == line, half * r["line_sd"])
        for d in self.days:
            here = self.day == d
            rate = r["trends"][trend]["rate"]
            add(f"trend of day {d}, per hour", here * self.hours, rate["sd"], rate["mean"])
            if len(self.days) > 1:
                add(f"day {d}", here, half * r["day_sd"])
                for k in self.settings:
                    add(f"setting {k} on day {d}", here & (self.setting == k), half * r["day_setting_sd"])
                for j in self.parts:
                    own = here & (self.configuration == j)
                    add(f"part {j} on day {d}", own, half * r["day_change_sds"][day_change])

        def centred(column):
            out = np.array(column, float)
            for k in self.settings:
                out[self.setting == k] -= out[self.setting == k].mean()
            return out

        share = self.half_difference / self.speed
        cause = dict(zip(self.days, causes))
        by_wind = np.array([not self.logged and cause[d] == "wind" for d in self.day])
        winds = [self.wind_at(row) for row in self.rows]
        slope = dict(r["wind_slope"])
        if winds[0] is not None:
            ratio = np.mean([u / abs(w[0]) for u, w in zip(self.speed, winds)])
            slope["mean"] = -min(ratio, 1 / ratio)
        air = dict(r["air_share"])
        if winds[0] is not None and by_wind.all():
            excess = [abs(excess_drag(u, a, b) - excess_drag(u, -a, b)) / 2
                      for u, (a, b) in zip(self.speed, winds)]
            found = abs(share).mean() / np.mean(excess)
            a, b = air["sd"] ** -2, (2 * r["stated_wind_share"] * found) ** -2
            air = {"mean": (air["mean"] * a + found * b) / (a + b), "sd": (a + b) ** -0.5}
        add("wind slope", centred(by_wind * abs(share)), slope["sd"], slope["mean"])
        add("calm slope", 0.0, r["calm_slope"]["sd"], r["calm_slope"]["mean"])
        drag = np.zeros(len(self.rows))
        if self.logged:
            drag = centred([-(excess_drag(u, a, b) + excess_drag(u, -a, b)) / 2
                            for u, (a, b) in zip(self.speed, (row["wind"] for row in self.rows))])
        add("air share", drag, air["sd"], air["mean"])
        names, columns, means, sds = zip(*terms)
        return names, np.array(columns).T, np.array(means), np.array(sds)

    def mixture(self):
        """Weight; setup, bad run and scatter; mean; covariance of each part."""
        r, n = self.r, len(self.rows)
        s, t = self.hours[:, None], self.hours[None, :]
        walk = np.where(self.same_day & (s * t > 0), np.minimum(abs(s), abs(t)), 0.0)
        hold = self.holds()
        scatters = np.exp(np.linspace(np.log(2e-4), np.log(0.5), 157))
        out, self.made = [], []
        for evidence, causes, left, left_variance in self.combinations():
            y, variance = self.log_speeds(left, left_variance)
            kinds = [range(len(r[name])) for name in ("trends", "lever_sds", "day_change_sds")]
            if len(self.days) == 1:
                kinds[2] = range(1)
            for kind in itertools.product(*kinds):
                trend, lever, day_change = kind
                names, x, mean, sd = self.design(causes, trend, day_change)
                hidden = not self.logged and "current" in causes
                base = (x * sd**2) @ x.T + np.diag(variance + LEAST_SD**2)
                base += r["lever_sds"][lever] ** 2 * (hold[:, None] == hold[None, :])
                if hidden:
                    base += r["hidden_wander_sd"] ** 2 * walk
                noise = np.diag(np.exp(2 * r["scatter_power"] * (self.usual - y)))
                share = r["trends"][trend]["share"]
                self.made.append((evidence, causes, kind, names, x, mean, sd, y))
                for scatter, bad in itertools.product(scatters, [None, *range(n)]):
                    cov = base + scatter**2 * noise
                    if bad is not None:
                        cov[bad, bad] += r["bad_run_sd"] ** 2
                    q = r["bad_run_share"]
                    log = n * np.log1p(-q) if bad is None else (n - 1) * np.log1p(-q) + np.log(q)
                    df = r["scatter_df"]
                    log += -df * np.log(scatter) - df / 2 * (r["scatter"] / scatter) ** 2
                    log += evidence + np.log(share)
                    log += multivariate_normal.logpdf(y, self.usual + x @ mean, cov)
                    out.append([log, (len(self.made) - 1, bad, scatter), cov])
        best = max(o[0] for o in out)
        out = [o for o in out if o[0] > best - 14]
        total = logsumexp([o[0] for o in out])
        for o in out:
            _, _, _, _, x, mean, sd, y = self.made[o[1][0]]
            prior = np.diag(sd**2)
            gain = np.linalg.solve(o[2], x * sd**2).T
            o[0] = np.exp(o[0] - total)
            o[2:] = [mean + gain @ (y - self.usual - x @ mean), prior - gain @ (x * sd**2)]
        return out

    def holds(self):
        """The number of each run's hold of the lever: runs of one cell that follow each other."""
        order = np.argsort(self.at, kind="stable")
        cell = np.column_stack([self.day, self.configuration, self.setting])[order]
        hold = np.zeros(len(order), int)
        hold[order] = np.cumsum(np.r_[0, (cell[1:] != cell[:-1]).any(axis=1)])
        return hold

    def change(self, changed, baseline, names):
        """Weights of the pooled change: settings weigh n m / (n + m) by their runs."""
        count = {(j, k): ((self.configuration == j) & (self.setting == k)).sum()
                 for j in self.parts for k in self.settings}
        weight = {}
        for k in self.settings:
            n, m = count[changed, k], count[baseline, k]
            weight[k] = n * m / (n + m) if n and m else 0.0
        total = sum(weight.values())
        if total == 0:
            return None
        out = np.zeros(len(names))
        for j, sign in ((changed, 1), (baseline, -1)):
            out[names.index(f"part {j}")] = sign
            for k in self.settings if len(self.settings) > 1 else []:
                out[names.index(f"part {j} at setting {k}")] = sign * weight[k] / total
        return out


def summary(parts, weights, level):
    """Mean and interval of a linear combination, in percent."""
    w = np.array([p[0] for p in parts])
    m = np.array([weights @ p[2] for p in parts])
    s = np.array([np.sqrt(weights @ p[3] @ weights) for p in parts])

    def bound(q):
        low, high = (m - 9 * s).min(), (m + 9 * s).max()
        return brentq(lambda x: w @ norm.cdf((x - m) / s) - q, low, high, xtol=1e-12)

    out = (1 - level) / 2
    return [100 * np.expm1(x) for x in (w @ m, bound(out), bound(1 - out))]


def main():
    with open(sys.argv[1]) as file:
        model = json.load(file)["model"]
    trial = Trial(model)
    parts = trial.mixture()
    names = trial.made[0][3]
    assert list(names) == model["terms"], "the coefficients differ"
    wrong = 0
    print("change over all settings, %        value      low     high")
    for said in model["changes"]:
        weights = trial.change(said["changed"], said["baseline"], names)
        found = summary(parts, weights, model["rules"]["level"])
        answer = [100 * np.expm1(said["estimate"][k]) for k in ("value", "low", "high")]
        label = f"part {said['changed']} against {said['baseline']}"
        for name, row in (("here", found), ("the program", answer)):
            print(f"{label:21}{name:12}" + "".join(f"{x:9.4f}" for x in row))
        off = max(abs(a - b) for a, b in zip(found, answer))
        size = max(1.0, *(abs(x) for x in answer))
        wrong += off > 1e-3 * 10 ** np.floor(np.log10(size))
    w = np.array([p[0] for p in parts])
    mean = sum(p[0] * p[2] for p in parts)
    cov = sum(p[0] * (p[3] + np.outer(p[2] - mean, p[2] - mean)) for p in parts)
    print("largest difference from what the program wrote:")
    sd = np.sqrt(np.diag(np.array(model["covariance"])))
    sd[sd == 0] = 1
    show = lambda name, value: print(f"  {name:44}{value:.1e}")
    show("mean of a coefficient, in its own sd", max(abs(mean - model["mean"]) / sd))
    show("covariance, in their sds", abs((cov - model["covariance"]) / np.outer(sd, sd)).max())
    shares, tables = np.zeros(len(trial.made)), [0.0, 0.0, 0.0, 0.0]
    for weight, at in zip(w, (p[1] for p in parts)):
        shares[at[0]] += weight
    offs = []
    for setup in model["setups"]:
        causes = model["causes"][setup["causes"]]
        for share, made in zip(shares, trial.made):
            kind = (setup["trend"], setup["lever"], setup["day_change"])
            if (made[1], made[2]) == (causes["causes"], kind):
                pairs = ((made[4].T, causes["columns"]), (made[5], setup["prior_mean"]),
                         (made[6], setup["prior_sd"]), (made[7], causes["log_speed"]))
                tables = [max(t, abs(np.array(a) - b).max()) for t, (a, b) in zip(tables, pairs)]
                offs.append((abs(share - setup["weight"]), made[0] - causes["log_evidence"]))
    show("weight of a point of the grid", max(o[0] for o in offs))
    show("log evidence of the causes, but for a constant", np.ptp([o[1] for o in offs]))
    for name, value in zip(("column", "prior mean", "prior sd", "log speed"), tables):
        show(name, value)
    bad = np.zeros(len(trial.rows))
    for p in parts:
        if p[1][1] is not None:
            bad[p[1][1]] += p[0]
    show("probability of a bad run", max(abs(bad - model["bad_runs"])))
    show("scatter", abs(sum(p[0] * p[1][2] for p in parts) - model["scatter"]))
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
