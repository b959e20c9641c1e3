"""Six charcoal cookers of equations of their own, given to this project for training: law and constants may be tuned on them.

Air as a flow network with a stalling blower, a slow damper, leaks and wind; a lit area that grows and dies by its
temperature; a bed that radiates to bowl, baffle, stone and wall; a shell by finite differences; a fire whose mood is an
Ornstein-Uhlenbeck process. All constants are plausible, none is fitted to a measured cook. `HEARTHS_JIT=1` compiles them
with numba (the extra `bench`): the same source, many times as fast.
"""  # noqa: E501

from emberdraft.bench.cookers import Cooker

KINDS = {
    "medium": "Medium",
    "large": "Large",
    "thin": "Thin",
    "small": "Small",
    "damp": "Damp",
    "weak_blower": "WeakBlower",
}
HEARTHS = tuple(
    Cooker(f"hearth_{name}", f"tests.bench_suite.hearths.kinds:{kind}", 0, "hearths") for name, kind in KINDS.items()
)
