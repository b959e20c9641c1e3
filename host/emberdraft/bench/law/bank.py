"""A dozen small models of fire and pit, each a Kalman filter, weighed by how well each foretells.

    r1' = (g v - r1) / tau     r2' = (r1 - r2) / tau      the fire follows its air, twice lagged
    T'  = r2 + d - (T - w) / loss                         the pit
    w'  = (T - w) / wall                                  what the pit loses heat to (measured: no state)
    d   a random walk                                     what none of it explains

r in degC/s, T and w in degC, d in degC/s; `v` is the air in duty counted from all shut. `g` is common to all and learnt
from full air; a model has its own lag, its own factor of the gain, its own worth of the draught, its own loss. Flat out
r1 is a random walk (how far a fire has grown is what is not known then) and d stands.

Kalman, Trans. ASME J. Basic Eng. 82 (1960) 35; bank and weights: Magill, IEEE Trans. Autom. Control 10 (1965) 434.
All functions take flat rows of numbers, so that the same source can be compiled for a search.
"""

import math

SHUT = -0.12  # the air of a shut damper, in duty
STATES = 4
ROW = 22  # r1 r2 T d, their covariance row by row, the weight's logarithm, the wall
LOG_WEIGHT = 20
WALL = 21
R1, R2, T, D = 0, 1, 2, 3
TAU, FACTOR, DRAUGHT, LOSS, WALL_S, AHEAD, RISE = 0, 1, 2, 3, 4, 5, 6
MODEL = 7


def flow(air, draught):
    """Air (duty, SHUT..1) counted from all shut, where the open damper is worth `draught`."""
    return draught * (1.0 - air / SHUT) if air < 0.0 else draught + air


def unflow(v, draught):
    """The inverse of `flow`."""
    return SHUT * (1.0 - v / draught) if v < draught else v - draught


def begin(x, b, pit_c, rate, spread):
    """Begin at a pit (degC) with a fire of `rate` (degC/s), known to `spread` (degC/s)."""
    for i in range(ROW):
        x[b + i] = 0.0
    x[b + R1] = x[b + R2] = rate
    x[b + T] = x[b + WALL] = pit_c
    x[b + 4] = x[b + 9] = spread * spread
    x[b + 14] = 1.0
    x[b + 19] = 0.01 * spread * spread


def predict(x, b, lag, leak, dt_s, push, q_fire, q_pit, q_dist):
    """One step on: `lag` 1 - exp(-dt / tau), `leak` dt / loss, `push` g v; below 0: r1 is free."""
    keep = 1.0 if push < 0.0 else 1.0 - lag
    held = x[b + R1]
    x[b + T] += dt_s * (x[b + R2] + x[b + D]) - leak * (x[b + T] - x[b + WALL])
    x[b + R2] += lag * (held - x[b + R2])
    if push >= 0.0:
        x[b + R1] += lag * (push - held)
    p = b + STATES
    for j in range(STATES):
        spread(x, p + j, STATES, keep, lag, leak, dt_s)
    for i in range(STATES):
        spread(x, p + STATES * i, 1, keep, lag, leak, dt_s)
    x[p] += q_fire
    x[p + 10] += q_pit
    x[p + 15] += q_dist


def spread(x, at, by, keep, lag, leak, dt_s):
    """The transition matrix on one column or row of a covariance."""
    x0, x1, x2, x3 = x[at], x[at + by], x[at + 2 * by], x[at + 3 * by]
    x[at] = keep * x0
    x[at + by] = x1 + lag * (x0 - x1)
    x[at + 2 * by] = x2 + dt_s * (x1 + x3) - leak * x2


def correct(x, b, pit_c, noise, still):
    """Take the pit; return minus twice its log likelihood, less ln 2 pi. `still`: d stands."""
    p = b + STATES
    if still:
        for i in range(3):
            x[p + 4 * i + 3] = x[p + 12 + i] = 0.0
    surprise = pit_c - x[b + T]
    total = x[p + 10] + noise
    g0, g1, g2, g3 = x[p + 2] / total, x[p + 6] / total, x[p + 10] / total, x[p + 14] / total
    x[b + R1] += g0 * surprise
    x[b + R2] += g1 * surprise
    x[b + T] += g2 * surprise
    x[b + D] += g3 * surprise
    for j in range(STATES):
        row = x[p + 8 + j]
        x[p + j] -= g0 * row
        x[p + 4 + j] -= g1 * row
        x[p + 12 + j] -= g3 * row
        x[p + 8 + j] = row - g2 * row
    return surprise * surprise / total + math.log(total)


def ahead(x, b, m, k, push, for_s, steps):
    """Where the model's pit is in `for_s` under `push` (g v), and its highest until then."""
    tau, loss = m[k + TAU], m[k + LOSS]
    r1, r2, t, d, w = x[b + R1], x[b + R2], x[b + T], x[b + D], x[b + WALL]
    h = for_s / steps
    lag = 1.0 - math.exp(-h / tau)
    leak = 1.0 - math.exp(-h / loss)
    most = t
    for _ in range(steps):
        before, fed = r2, r1
        r1 += lag * (push - r1)
        r2 += lag * (0.5 * (fed + r1) - r2)
        t += leak * (loss * (0.5 * (before + r2) + d) - (t - w))
        if t > most:
            most = t
    return t, most


def weigh(x, n, costs, share, fade):
    """Weights by `costs`, tempered by `share`, faded by `fade`; the best has logarithm 0."""
    best = -1e9
    for j in range(n):
        at = j * ROW + LOG_WEIGHT
        x[at] = fade * x[at] - 0.5 * share * costs[j]
        best = max(best, x[at])
    for j in range(n):
        x[j * ROW + LOG_WEIGHT] -= best


def weights(x, n, out):
    """The weights, of sum 1, into `out`."""
    total = 0.0
    for j in range(n):
        out[j] = math.exp(max(x[j * ROW + LOG_WEIGHT], -30.0))
        total += out[j]
    for j in range(n):
        out[j] /= total
