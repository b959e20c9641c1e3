"""One question asked of every plausible model: if the air were cut now, or held, where does the pit go?

    cut     full air ends when the pit would carry itself to the target, in the belief of SURE of the weights
    held    each model's pit in AHEAD of its lags, if the air were what holding takes: what that misses of the target,
            over what a unit of air does by then, is the air that is missing (one coincidence point, Richalet 1978)
    cap     CAP times the holding air, looser with the error, giving way while it binds without effect
    floor   a share of the holding air for a fire that is no larger than holding takes

`s` is the law's own state (places below), `x` the bank's, `m` the models, `c` the constants (`onelaw.py` has them
with their meaning), `w` the weights. All on flat rows of numbers, for MicroPython and for a compiled search alike.
"""

import math

from . import bank
from .bank import DRAUGHT, FACTOR, LOG_WEIGHT, LOSS, MODEL, R1, R2, ROW, SHUT, TAU, WALL, D

(
    AIR,
    GAIN,
    KNOWN,
    FLAT,
    FLAT_S,
    ARRIVED,
    HELD,
    BINDS_S,
    SETTLE_S,
    HOLD,
    MISSES,
    LOW,
    HIGH,
    COLD_C,
    FIRE,
    NEAR_S,
) = range(16)
HEAD = 16

(
    C_FIRE,
    C_PIT,
    C_DIST,
    C_NOISE,
    C_TEMPER,
    C_FORGET,
    C_ANSWER,
    C_ANSWER_TAU,
    C_ANSWER_SD,
    C_FULL,
    C_SURE,
    C_EARLY,
    C_REACH,
    C_SHORTEST,
    C_PACE,
    C_CAP,
    C_CAP_C,
    C_GIVES,
    C_FLOOR,
    C_BIG,
    C_FIRST,
    C_SETTLE_LOW,
    C_SETTLE_HIGH,
    C_ABOVE,
    C_DOUBT,
    C_LAG,
    C_LAGS,
    C_WEAK,
    C_STRONG,
    C_PROMPT,
    C_DRAUGHT,
    C_LOSS,
    C_PROMPT_LOSS,
    C_WALL,
) = range(34)
CONSTANTS = 34
LAGS = 4
USUAL_DRAUGHT = -SHUT
NO_WALL_S = 1e6

ARRIVED_C = 3.0
HELD_S = 240.0
FAR_C = 12.0
VERY_FAR_C = 20.0
ANSWER_C = 4.0
G_LOW, G_HIGH = 0.01, 0.8
STEPS = 16
FULL_S = 240.0
BINDS_C = 2.0
BINDS_CPS = 0.003


def models(c):
    """Rows of models: each lag with a weak and a strong gain, and prompt and living on draught.

    The last number of a row is what a unit of air does by the model's point ahead.
    """
    kinds = (
        (c[C_WEAK], USUAL_DRAUGHT, c[C_LOSS], NO_WALL_S),
        (c[C_STRONG], USUAL_DRAUGHT, c[C_LOSS], NO_WALL_S),
        (c[C_PROMPT], c[C_DRAUGHT], c[C_PROMPT_LOSS], c[C_WALL]),
    )
    m = []
    for i in range(LAGS):
        tau = c[C_LAG] * c[C_LAGS] ** i
        for kind in kinds:
            at = len(m)
            m.extend((tau, *kind, max(c[C_REACH] * tau, c[C_SHORTEST]), 0.0))
            m[at + bank.RISE] = bank.ahead([0.0] * ROW, 0, m, at, 1.0, m[at + bank.AHEAD], STEPS)[0]
    return m


def holds(s, x, m, b, k, target_c):
    """The air counted from all shut (v) that holds `target_c` by this model, as things stand."""
    lost = (target_c - x[b + WALL]) / m[k + LOSS] - x[b + D]
    return max(lost, 0.0) / (s[GAIN] * m[k + FACTOR])


def wake(s, c, x, m, n, pit_c):
    """All models begin at a pit that is cold, or held by what holding takes."""
    for j in range(n):
        b = j * ROW
        bank.begin(x, b, pit_c, 0.0, 0.3 * s[GAIN])
        x[b + R1] = x[b + R2] = max(pit_c - 20.0, 0.0) / c[C_LOSS]


def start(s, target_c, pit_c):
    """Hold `target_c` from here."""
    far_c = target_c - pit_c
    s[FLAT] = 1.0 if far_c >= (VERY_FAR_C if s[HELD] > 0.5 else FAR_C) else 0.0
    s[ARRIVED] = 1.0 - s[FLAT]
    s[FLAT_S] = 0.0
    s[BINDS_S] = 0.0
    s[COLD_C] = pit_c if pit_c < 50.0 and s[FLAT] > 0.5 else -1e3


def observe(s, c, x, m, n, costs, pit_c, dt_s):
    """All models are told the air that went out and the pit that came of it."""
    flat, settle = s[FLAT] > 0.5, s[SETTLE_S] > 0.0
    size = s[GAIN] * s[GAIN] * dt_s
    q_dist = 0.0 if flat or settle else c[C_DIST] * c[C_DIST] * size
    for j in range(n):
        b, k = j * ROW, j * MODEL
        push = -1.0 if flat else s[GAIN] * m[k + FACTOR] * bank.flow(s[AIR], m[k + DRAUGHT])
        lag = 1.0 - math.exp(-dt_s / m[k + TAU])
        bank.predict(
            x,
            b,
            lag,
            dt_s / m[k + LOSS],
            dt_s,
            push,
            c[C_FIRE] ** 2 * size,
            c[C_PIT] ** 2 * dt_s,
            q_dist,
        )
        if settle:
            x[b + bank.T] = pit_c
        else:
            costs[j] = bank.correct(x, b, pit_c, c[C_NOISE] * c[C_NOISE], flat)
        x[b + R1] = max(x[b + R1], 0.0)
        x[b + R2] = max(x[b + R2], 0.0)
        x[b + WALL] += (pit_c - x[b + WALL]) * dt_s / m[k + bank.WALL_S]
    if not (flat or settle):
        bank.weigh(x, n, costs, c[C_TEMPER] * dt_s / 60.0, 1.0 - dt_s / c[C_FORGET])
    s[SETTLE_S] = max(0.0, s[SETTLE_S] - dt_s)


def answered(s, c, x, m, n):
    """A cold cooker answers full air: how late it was says which lags are plausible."""
    s[COLD_C] = -1e3
    for j in range(n):
        late = (s[FLAT_S] - c[C_ANSWER] - c[C_ANSWER_TAU] * m[j * MODEL + TAU]) / c[C_ANSWER_SD]
        x[j * ROW + LOG_WEIGHT] -= 0.5 * late * late


def learn_gain(s, c, x, n, w):
    """At the end of minutes of full air the fire is as C_FULL of air: that tells the gain."""
    rate = 0.0
    for j in range(n):
        rate += w[j] * x[j * ROW + R2]
    s[GAIN] = min(max(rate / c[C_FULL], G_LOW), G_HIGH)
    s[KNOWN] = 1.0
    for j in range(n):
        x[j * ROW + 19] = c[C_DOUBT] * c[C_DOUBT] * s[GAIN] * s[GAIN]


def carries(s, c, x, m, n, w, target_c):
    """The share of the weights in whose belief the pit reaches `target_c` with the air cut now."""
    belief = 0.0
    for j in range(n):
        b, k = j * ROW, j * MODEL
        push = c[C_FLOOR] * holds(s, x, m, b, k, target_c) * s[GAIN] * m[k + FACTOR]
        _, most = bank.ahead(x, b, m, k, push, 6.0 * m[k + TAU] + 120.0, STEPS)
        if most >= target_c - c[C_EARLY]:
            belief += w[j]
    return belief


def milestones(s, short_c, dt_s):
    """Arrived: within 3 degC of this target. Held: for some minutes, not merely passing by."""
    near = abs(short_c) < ARRIVED_C
    s[NEAR_S] = s[NEAR_S] + dt_s if near else 0.0
    if near:
        s[ARRIVED] = 1.0
    if s[NEAR_S] >= HELD_S:
        s[HELD] = 1.0


def aim(s, c, x, m, n, w, target_c):
    """What holding takes, what is missed of the target ahead, the fire: each as air."""
    hold = misses = fire = 0.0
    for j in range(n):
        b, k = j * ROW, j * MODEL
        g = s[GAIN] * m[k + FACTOR]
        v = holds(s, x, m, b, k, target_c)
        there_c, _ = bank.ahead(x, b, m, k, g * v, m[k + bank.AHEAD], STEPS)
        short_c = target_c - there_c
        if short_c < 0.0:
            short_c *= c[C_ABOVE]
        more = short_c * c[C_PACE] / (g * m[k + bank.RISE])
        held = bank.unflow(v, m[k + DRAUGHT])
        hold += w[j] * held
        misses += w[j] * (bank.unflow(max(v + more, 0.0), m[k + DRAUGHT]) - held)
        fire += w[j] * bank.unflow(0.5 * (x[b + R1] + x[b + R2]) / g, m[k + DRAUGHT])
    s[HOLD] = min(max(hold, SHUT), 1.0)
    s[MISSES] = misses
    s[FIRE] = fire


def limit(s, c, short_c, slope_cps, dt_s):
    """Floor and cap of the air."""
    v = s[HOLD] - SHUT
    first = s[HELD] < 0.5 and short_c > -ARRIVED_C
    s[LOW] = SHUT + (c[C_FIRST] if first else floor_share(s, c)) * v
    cap = SHUT + c[C_CAP] * v * (1.0 + max(short_c, 0.0) / c[C_CAP_C]) * (1.0 + s[BINDS_S] / c[C_GIVES])
    if s[SETTLE_S] > 0.0:
        s[LOW] = SHUT + c[C_SETTLE_LOW] * v
        cap = SHUT + c[C_SETTLE_HIGH] * v
    binds = s[AIR] >= s[HIGH] - 1e-6 and short_c > BINDS_C and slope_cps < BINDS_CPS
    s[BINDS_S] = s[BINDS_S] + dt_s if binds else max(0.0, s[BINDS_S] - 2.0 * dt_s)
    s[HIGH] = min(max(cap, s[LOW]), 1.0) if s[ARRIVED] > 0.5 else 1.0


def floor_share(s, c):
    """All of C_FLOOR for a fire as large as holding takes, nothing for one C_BIG times so."""
    size = (s[FIRE] - SHUT) / max(s[HOLD] - SHUT, 0.01)
    burns = min(max((size - 1.0) / (c[C_BIG] - 1.0), 0.0), 1.0)
    return c[C_FLOOR] * (1.0 - burns)
