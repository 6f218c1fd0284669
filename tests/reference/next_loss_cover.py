#!/usr/bin/env python3
"""Cover of the 80 and 90 % intervals of a group's next mean, simulated with an independent implementation of the integrated ratio
(numpy, 400 midpoints over all of (0, 1), no cut). Prints rows for next_loss_cover.csv. Needs numpy and scipy."""
import numpy as np
from scipy.stats import t as student

MEAN, BETWEEN, WITHIN, DRAWS = 0.0085, 0.00085, 0.0021, 20_000
rng = np.random.default_rng(3)


def predict(y, group, groups):
    n = np.bincount(group, minlength=groups).astype(float)
    ybar = np.bincount(group, weights=y, minlength=groups) / n
    ss = ((y - ybar[group]) ** 2).sum()
    df = len(y)  # N - 1 + nu0, nu0 = 1
    u = (np.arange(400) + 0.5) / 400
    r = u / (1 - u)
    scale = 1 + np.outer(r, n)
    g = n / scale
    mu = (g @ ybar) / g.sum(1)
    s2 = (ss + (g * (ybar - mu[:, None]) ** 2).sum(1) + (0.25 * y.mean()) ** 2 * (1 - u)) / df
    log_weight = -(df * np.log(s2) + np.log(scale).sum(1) + np.log(g.sum(1))) / 2 + np.log(1 - u) / 2
    w = np.exp(log_weight - log_weight.max())
    w /= w.sum()
    own = n[0] * r / (1 + n[0] * r)
    m = mu + own * (ybar[0] - mu)
    v = r * s2 * (1 - own) + (1 - own) ** 2 * s2 / g.sum(1)
    mean = (w * m).sum()
    return mean, (w * v).sum() + (w * (m - mean) ** 2).sum() + (w * s2).sum(), df


print("cycles,propellers,cover80,cover90")
for cycles, groups in [(5, 2), (15, 5), (35, 12)]:
    inside = np.zeros(2)
    for _ in range(DRAWS):
        effect = MEAN + BETWEEN * rng.standard_normal(groups)
        group = np.arange(cycles) % groups
        mean, variance, df = predict(effect[group] + WITHIN * rng.standard_normal(cycles), group, groups)
        score = abs(effect[0] + WITHIN * rng.standard_normal() - mean) / variance**0.5
        inside += score <= student.ppf([0.9, 0.95], df)
    print(f"{cycles},{groups},{inside[0] / DRAWS},{inside[1] / DRAWS}")
