"""The bench's figures: what each is called, what passes, what is aimed at."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

# "Never" (a run that does not settle, an alarm that does not come) is None in a result, and worse than any number.


@dataclass(frozen=True)
class Figure:
    """One row of the table. Bounds are upper ones unless `at_least`; None: not bounded, only reported."""

    key: str
    title: str
    unit: str
    pass_mean: float | None = None
    pass_worst: float | None = None
    aim_mean: float | None = None
    aim_worst: float | None = None
    at_least: bool = False


FIGURES: tuple[Figure, ...] = (
    Figure("light_min", "light: to within 3 degC and staying", "min", 30.0, 45.0, 24.0, 31.0),
    Figure("light_flat_min", "light: what flat out needs to within 3 degC", "min"),
    Figure("overshoot_c", "light: overshoot", "degC", None, 3.5, None, 1.0),
    Figure("hold_rms_c", "hold: RMS from first reach", "degC", 1.0, 1.6, 0.43, 0.5),
    Figure("hold_share", "hold: share within 2.8 degC", "share", None, 0.96, None, 0.995, at_least=True),
    Figure("iae_ratio", "IAE against the limit", "x", 1.35, None, 1.15, None),
    Figure("loop_ms", "linearised loop: largest sensitivity Ms", "", None, 1.7, None, 1.7),
    Figure("loop_gain_margin", "linearised loop: gain margin", "x", at_least=True),
    Figure("loop_phase_margin_deg", "linearised loop: phase margin", "deg", at_least=True),
    Figure("up_over_c", "107 to 135: over", "degC", None, 4.0, None, 1.0),
    Figure("up_settle_min", "107 to 135: settle", "min", None, 25.0, None, 15.0),
    Figure("down_settle_min", "135 to 107: settle", "min", None, 65.0, None, 40.0),
    Figure("setup_recovery_min", "6 kg of cold parts: recovery", "min"),
    Figure("setup_rebound_c", "6 kg of cold parts: rebound", "degC"),
    Figure("lid_recovery_min", "lid 60 / 90 s: recovery", "min", None, 14.0, None, 5.0),
    Figure("lid_rebound_c", "lid 60 / 90 s: rebound", "degC", None, 4.0, None, 1.5),
    Figure("refuel_recovery_min", "refuelling: recovery", "min"),
    Figure("refuel_rebound_c", "refuelling: rebound", "degC"),
    Figure("pieces_recovery_min", "two cold pieces: recovery", "min", None, 10.0, None, 5.0),
    Figure("pieces_rms_c", "two cold pieces: RMS later", "degC", None, 1.8, None, 0.7),
    Figure("stone_ratio", "stone to 260: time against flat out", "x", None, 1.05, None, 1.02),
    Figure("stone_over_c", "stone to 260: overshoot", "degC", None, 15.0, None, 5.0),
    Figure("stone_rms_c", "stone to 260: RMS after", "degC", None, 8.0, None, 3.0),
    Figure("gust_rms_c", "gusts, 20 degC ambient drop: RMS", "degC", None, 3.2, None, 1.6),
    Figure("gust_peak_c", "gusts, 20 degC ambient drop: highest over", "degC"),
    Figure("fuel_alarm_min", "fuel out: alarm", "min", None, 10.0, None, 6.0),
    Figure("fuel_blower_min", "fuel out: blower still on", "min", None, 15.0, None, 15.0),
    Figure("open_alarm_s", "probe open or short: alarm", "s", None, 5.0, None, 3.0),
    Figure("open_peak_c", "probe open or short: highest over", "degC", None, 10.0, None, 3.0),
    Figure("offset_alarm_s", "probe offset: alarm", "s", None, 10.0, None, 5.0),
    Figure("offset_peak_c", "probe offset: highest over", "degC", None, 10.0, None, 10.0),
    Figure("frozen_alarm_s", "probe frozen: alarm", "s", None, 180.0, None, 120.0),
    Figure("frozen_peak_c", "probe frozen: highest over", "degC", None, 10.0, None, 10.0),
    Figure("probe_back_min", "probe faults: back to target after the fault", "min"),
    Figure("stuck_on_peak_c", "blower stuck on: highest over", "degC", None, 27.0, None, 18.0),
    Figure("stuck_on_alarm_min", "blower stuck on: alarm", "min", None, 9.0, None, 4.0),
    Figure("stuck_off_alarm_min", "blower stuck off: alarm", "min", None, 15.0, None, 8.0),
    Figure("strokes_per_h", "blower travel", "strokes/h", None, 80.0, None, 30.0),
    Figure("false_alarms", "false alarms in fault-free time", "", None, 0.0, None, 0.0),
    Figure("fire_lost", "fires lost", "", None, 0.0, None, 0.0),
    Figure("charcoal_kgph", "charcoal while holding 121 degC", "kg/h"),
)

BY_KEY: dict[str, Figure] = {figure.key: figure for figure in FIGURES}


@dataclass(frozen=True)
class Summary:
    """A figure over many runs: mean of those that have a number, the worst, and how many never got one."""

    mean: float | None
    worst: float | None
    runs: int
    never: int

    def verdict(self, figure: Figure) -> str:
        """'aim', 'pass', 'miss', or '' for a figure that is only reported."""
        if figure.pass_mean is None and figure.pass_worst is None:
            return ""
        if self.never or not self.runs:
            return "miss"
        for word, mean_bound, worst_bound in (
            ("aim", figure.aim_mean, figure.aim_worst),
            ("pass", figure.pass_mean, figure.pass_worst),
        ):
            if _keeps(self.mean, mean_bound, figure.at_least) and _keeps(self.worst, worst_bound, figure.at_least):
                return word
        return "miss"


def _keeps(value: float | None, bound: float | None, at_least: bool) -> bool:
    if bound is None:
        return True
    if value is None:
        return False
    return value >= bound if at_least else value <= bound


def summarise(figure: Figure, values: Sequence[float | None]) -> Summary:
    """Mean and worst of one figure."""
    numbers = [value for value in values if value is not None]
    if not numbers:
        return Summary(None, None, len(values), len(values))
    worst = min(numbers) if figure.at_least else max(numbers)
    return Summary(sum(numbers) / len(numbers), worst, len(values), len(values) - len(numbers))
