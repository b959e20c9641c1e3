"""The fire of a hearth: a lit area that grows and dies by its temperature and takes up oxygen with a lag."""

import math

from . import places as at

SB = 5.670e-8
CP = 1030.0
O2_MASS = 0.232


def burn(s, p, through, top, mood, dt_s):
    """Heat released in W, and the kg/s of gas about the bed; burns fuel and leaves ash."""
    area, fire_k = s[at.S_AREA], s[at.S_FIRE]
    around = p[at.P_RC] * area
    mt = through + top + around + 1e-9
    supply = O2_MASS * (through + top) + s[at.S_O2] * around
    kk = math.exp(min(8.0, p[at.P_EA] * (0.001 - 1.0 / fire_k)))
    ke = kk * p[at.P_KMT] / (kk + p[at.P_KMT])
    free = 1.0 / (1.0 + p[at.P_ASH_S] * s[at.S_ASH])
    most = min(0.9, p[at.P_CMAX] * mood)  # channelling: lumps shift, air passes by
    share = most * (1.0 - math.exp(-(p[at.P_BETA] * area * free * ke * mood) / (most * mt)))
    # What the reaction takes follows a change of the air with a lag; it cannot take more than is there.
    taken = s[at.S_BURNS] + (supply * share - s[at.S_BURNS]) * dt_s / (p[at.P_TAUB] + dt_s)
    taken = min(taken, 0.9 * supply)
    s[at.S_BURNS] = taken
    share = taken / (supply + 1e-12)
    if s[at.S_FUEL] <= 0.0:
        taken = 0.0
    gone = taken * (p[at.P_NU0] + p[at.P_NU1] * share * share)
    heat_w = taken * p[at.P_DH] * (p[at.P_ETA0] - p[at.P_ETA1] * share * share) - gone * p[at.P_WM] * 2.6e6
    s[at.S_FUEL] = max(0.0, s[at.S_FUEL] - gone * dt_s)
    s[at.S_ASH] += 0.04 * gone * dt_s
    return heat_w, mt, taken


def growth(s, p, fire_k, area, mood):
    """How fast the lit area grows, 1/s: by the fire's temperature, towards what the fuel can carry."""
    most = p[at.P_AM] * max(s[at.S_FUEL], 0.0) ** 0.6667 + 1e-6
    x = (fire_k - p[at.P_TN]) / 100.0
    if x > 0:
        g = p[at.P_RG] * min(x, 2.0) * (1.0 - area / most) * mood
        return -0.003 if area > most else g
    g = p[at.P_RD] * max(x, -2.5)
    return min(g, -0.003) if area > most else g


def radiated(s, p):
    """W from the bed to fire box, stone, wall, baffle."""
    hot = SB * p[at.P_FRAD] * s[at.S_AREA]
    f4 = s[at.S_FIRE] ** 4
    box = hot * p[at.P_F_FB] * (f4 - s[at.S_BOX] ** 4)
    stone = hot * p[at.P_F_ST] * (f4 - s[at.S_STONE0] ** 4)
    wall = hot * p[at.P_F_W] * (f4 - s[at.S_WALL] ** 4)
    return box, stone, wall, hot * p[at.P_F_DF] * (f4 - s[at.S_BAFFLE] ** 4)


def bed(s, p, heat_w, lost_w, mood, dt_s):
    """Warm and grow the bed; heat in J and heat capacity in J/K that the fire box is left with."""
    ca, area, box_k = p[at.P_CA], s[at.S_AREA], s[at.S_BOX]
    fire_k = s[at.S_FIRE] + dt_s * (heat_w - lost_w) / (ca * area)
    wider = max(area * math.exp(growth(s, p, s[at.S_FIRE], area, mood) * dt_s), 2e-5)
    da = wider - area
    cfb = p[at.P_CFB] - ca * area
    if da >= 0:
        left_j = cfb * box_k - ca * da * box_k
        fire_k = (ca * area * fire_k + ca * da * box_k) / (ca * wider)
    else:
        left_j = cfb * box_k - ca * da * fire_k
    s[at.S_FIRE] = fire_k
    s[at.S_AREA] = wider
    return left_j, p[at.P_CFB] - ca * wider
