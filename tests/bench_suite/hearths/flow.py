"""Air through a hearth: a blower that stalls, a slow damper, leaks, wind; one pressure makes the flows agree.

Orifices pass sqrt(2 rho dp) of their area; the blower's pressure goes as the square of its speed (fan laws).
"""

import math

from . import places as at

G_MPS2 = 9.81
SOFT_PA = 0.02  # rounds the root where the pressure is nothing


def move_actuators(s, p, blower, intake, dt_s):
    """Blower and damper follow what they are told; below `dmin` the blower stands."""
    least = p[at.P_DMIN]
    if s[at.S_RUNS] > 0.5:
        if blower < 0.8 * least:
            s[at.S_RUNS] = 0.0
    elif blower >= least:
        s[at.S_RUNS] = 1.0
    wanted = blower if s[at.S_RUNS] > 0.5 else 0.0
    s[at.S_FAN] += (wanted - s[at.S_FAN]) * min(1.0, dt_s / p[at.P_TFAN])
    way = intake - s[at.S_DAMPER]
    most = p[at.P_DMPRATE] * dt_s
    s[at.S_DAMPER] += min(max(way, -most), most)


def resistances(s, p, rho):
    """Of intake and bed, of the lower leak: Pa per (kg/s)^2."""
    fan = s[at.S_FAN]
    blocked = 1.0 + p[at.P_ASH_F] * s[at.S_ASH]
    wide = p[at.P_A_IN] * (0.005 + s[at.S_DAMPER])
    stall = p[at.P_KB] * (1.0 + p[at.P_KST] * (1.0 - fan) * (1.0 - fan))
    inlet = stall + 0.5 / rho * (1.0 / (wide * wide) + blocked / (p[at.P_A_BED] ** 2))
    leak = p[at.P_A_LL]
    return inlet, 0.5 / (rho * leak * leak)


def flows_at(pd, p, drive, rho, rho_gas, exhaust, inlet, leak):
    """kg/s of intake, lower leak, exhaust, lid seal at the pressure `pd`, and the sum's derivative."""
    pfan, low, high, wind_pa = drive
    x1 = pfan + low - pd
    q1 = math.sqrt(inlet * (abs(x1) + SOFT_PA))
    x2 = low - pd
    q2 = math.sqrt(leak * (abs(x2) + SOFT_PA))
    x3 = pd + high
    q3 = math.sqrt(2 * (rho_gas if x3 > 0 else rho) / (abs(x3) + SOFT_PA)) * (p[at.P_A_EX] * (0.02 + exhaust))
    x4 = pd - p[at.P_CWSEAL] * wind_pa
    q4 = math.sqrt(2 * (rho_gas if x4 > 0 else rho) / (abs(x4) + SOFT_PA)) * p[at.P_A_LID]
    slope = -(
        (0.5 * abs(x1) + SOFT_PA) / ((abs(x1) + SOFT_PA) * q1)
        + (0.5 * abs(x2) + SOFT_PA) / ((abs(x2) + SOFT_PA) * q2)
        + q3 * (0.5 * abs(x3) + SOFT_PA) / (abs(x3) + SOFT_PA)
        + q4 * (0.5 * abs(x4) + SOFT_PA) / (abs(x4) + SOFT_PA)
    )
    return x1 / q1, x2 / q2, x3 * q3, x4 * q4, slope


def balance(s, p, drive, rho, rho_gas, exhaust):
    """Newton's method, kept inside a bracket, for the pressure at which what comes in goes out."""
    inlet, leak = resistances(s, p, rho)
    pd, below, above = s[at.S_PRESSURE], -60.0, 150.0
    m_in, m_ll, m_e, m_l = 0.0, 0.0, 0.0, 0.0
    for _ in range(25):
        m_in, m_ll, m_e, m_l, slope = flows_at(pd, p, drive, rho, rho_gas, exhaust, inlet, leak)
        lacks = m_in + m_ll - m_e - m_l
        if lacks > 0:
            below = pd
        else:
            above = pd
        if abs(lacks) < 2e-8:
            break
        pn = pd - lacks / slope
        if pn <= below or pn >= above:
            pn = 0.5 * (below + above)
        pd = pn
    s[at.S_PRESSURE] = pd
    return m_in, m_ll, m_e, m_l


def open_flows(s, p, drive, rho):
    """The lid is off: no back pressure."""
    inlet, leak = resistances(s, p, rho)
    x1 = drive[0] + drive[1]
    m_in = x1 / math.sqrt(inlet * (abs(x1) + SOFT_PA))
    m_ll = drive[1] / math.sqrt(leak * (abs(drive[1]) + SOFT_PA))
    return m_in, m_ll, m_in + m_ll, 0.0


def air(s, p, exhaust, lid, ambient_k, wind_mps):
    """kg/s through the fire from below, over its open top, through the cooker, in by the lid; W/K of the open lid."""
    rho, rho_gas = 353.0 / ambient_k, 353.0 / s[at.S_GAS]
    wind_pa = 0.5 * rho * wind_mps * wind_mps
    column_k = 0.5 * (s[at.S_GAS] + s[at.S_BOX])
    low = (rho - 353.0 / column_k) * G_MPS2 * p[at.P_H1] + p[at.P_CWLO] * wind_pa
    drive = (p[at.P_P0] * s[at.S_FAN] * s[at.S_FAN], low, (rho - rho_gas) * G_MPS2 * p[at.P_H2], wind_pa)
    top, lid_wk = 0.0, 0.0
    if lid < 0.5:
        m_in, m_ll, m_e, m_l = balance(s, p, drive, rho, rho_gas, exhaust)
    else:
        m_in, m_ll, m_e, m_l = open_flows(s, p, drive, rho)
        top, lid_wk = p[at.P_LIDTOP] * s[at.S_AREA], p[at.P_LIDG]
    through = max(m_in, 0.0) + max(m_ll, 0.0)
    by_lid = max(-m_l, 0.0)
    return through, top, through + (max(-m_e, 0.0) + by_lid), by_lid, lid_wk
