"""How fast the need is learnt from the fast disturbance: less, where something else explains it.

Learnt at full speed, the need is a second integral in the loop, and on a cooker whose pit follows
its fire at once a stronger one than the PID: it swung by ten times what holding takes, and took
the air with it. So what speaks for another cause counts against the need:

    on the way up to a higher target the gain is what is seen: a tenth
    where the draught alone holds, the damper is worth four times the air: by DAMPER_GAIN
    while the fire's states are not where the air is, they may be wrong themselves:
        trust + (1 - trust) / (1 + (gap / GAP)^2)      gap: air less the farther of x1, x2
    before the first hold faster, as far as the observer is trusted
    too hot and no air left to take away: EARLY

All of it found on simulated cookers (docs/explain/control.md).
"""

from .limits import clamp

EARLY = 4.0
DOUBT = 0.8
HOT_C = 3.0
AFTER_LID = 0.1
APPROACH = 0.1
GAP = 0.05
DAMPER_GAIN = 0.25
DRAUGHTY = 0.04
DRAUGHT_S = 180.0
DRAUGHT_C = 1.0
DRAUGHT_CPS = -0.02


def draughty(need):
    """1 where the blower holds, DAMPER_GAIN where the draught alone does; `need` in duty."""
    return 1.0 - (1.0 - DAMPER_GAIN) * clamp(-need / DRAUGHTY, 0.0, 1.0)


def before_first(trust):
    """The weight before the first hold; `trust` 0..1."""
    return 1.0 + (EARLY - 1.0) * trust


def later(see, air, trust, too_hot, cut):
    """The weight after it; `air` (duty) went out, `cut`: it is at its floor."""
    if too_hot and (cut or trust < DOUBT):
        return EARLY
    gap = max(abs(see.x1 - air), abs(see.x2 - air)) / GAP
    return trust + (1.0 - trust) / (1.0 + gap * gap)


def draught(see, short_c, slope_cps, dt_s):
    """Too hot and not falling on less than what holding should take: it takes less.

    So a cooker whose draught alone holds it is found in minutes; the learning by surprise would
    take an hour, at most of which the pit is too hot. A slow cooker keeps its heat for a while
    on no fire at all: it is given longer.
    """
    less = 0.5 * (see.x1 + see.x2) - see.hold_air(see.y_c)
    if short_c < -DRAUGHT_C and slope_cps > DRAUGHT_CPS and less < 0.0:
        see.shift(less * dt_s / (DRAUGHT_S * see.scale**3), see.y_c)
