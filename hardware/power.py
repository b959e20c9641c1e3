"""The power budget: every figure from a formula with its source. `python -m hardware.power` writes power.md anew.

Part figures are those of a class of part, and the worst that its data sheets give unless said otherwise; put your own
in their place and run it again. Nothing here has been measured on a real board.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil
from pathlib import Path

TARGET = Path(__file__).with_name("power.md")

# IEC 60228, class 5 (flexible), plain copper at 20 degC: mm2, ohm per metre.
COPPER_OHM_PER_M = {0.22: 0.096, 0.5: 0.039, 0.75: 0.026, 1.0: 0.0195}
COPPER_PER_K = 0.00393  # temperature coefficient of copper at 20 degC

# IEC 60127 preferred ratings of small fuses, A (series R10).
FUSES_A = (0.5, 0.63, 0.8, 1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0, 5.0)


@dataclass(frozen=True)
class Blower:
    """A 12 V centrifugal blower of the class in the bill of materials."""

    volt: float = 12.0
    run_a: float = 0.5
    start_factor: float = 3.0  # common practice, no source: start or stalled rotor over running

    @property
    def start_a(self) -> float:
        """A while it starts, or when something holds the wheel."""
        return self.run_a * self.start_factor


@dataclass(frozen=True)
class Servo:
    """A damper servo of the 9 to 25 g class on 5 V."""

    hold_a: float = 0.15
    stall_a: float = 1.2


@dataclass(frozen=True)
class Small:
    """Everything else on 5 V. Wi-Fi peaks: from memory of the boards' data sheets."""

    board_a: float = 0.15
    board_peak_a: float = 0.5
    buzzer_a: float = 0.03
    light_a: float = 0.02
    sensors_a: float = 0.01

    @property
    def run_a(self) -> float:
        """A as a rule."""
        return self.board_a + self.sensors_a + self.light_a

    @property
    def peak_a(self) -> float:
        """A with everything on at once."""
        return self.board_peak_a + self.sensors_a + self.light_a + self.buzzer_a


@dataclass(frozen=True)
class Mosfet:
    """A logic-level N-channel MOSFET, 30 V or more, whose on-resistance is given at a gate of 2.5 V or 3.3 V."""

    on_ohm: float = 0.030
    hot_factor: float = 1.6  # on-resistance at 125 degC over 25 degC: usual figure of data sheets
    plateau_v: float = 2.0
    gate_drain_c: float = 5e-9
    to_air_k_per_w: float = 62.0  # TO-220 standing free
    highest_c: float = 150.0


GATE_V = 3.3
GATE_OHM = 220.0
PULL_DOWN_OHM = 10_000.0
INPUT_F = 1.5e-9  # gate capacitance of such a part
PWM_HZ = 25_000.0  # firmware/emberboard/drivers/blower.py, PERIOD_HZ
BUCK_SHARE = 0.85  # efficiency of a small 12 V to 5 V converter
ADAPTER_MARGIN = 1.25
FUSE_SHARE = 0.75  # of its rating a fuse carries for ever at 25 degC (read in a supplier's: circuitprotection.ca/fuseology)
FUSE_PER_K = 0.005  # of its rating less for each K above 25 degC (read in a guide: interfacebus.com, Fuse Derating)
BOX_C = 60.0  # inside the box in summer, in the shade: hardware/heat_and_weather.md

# Retriggered pulse: 74HC4538-type monostable, data sheet: t = 0.7 R C.
MONO_K = 0.7
MONO_OHM = 910e3
MONO_F = 3.3e-6
MONO_SPREAD = {"k": 0.10, "r": 0.05, "c": 0.20}
STEP_S = 1.0  # one control step, one pulse
PERMISSION_S = 3.0  # firmware/emberboard/permit.py


def conduction_w(amp: float, on_ohm: float) -> float:
    """I squared R."""
    return amp * amp * on_ohm


def switching_w(volt: float, amp: float, edges_s: float, hertz: float) -> float:
    """Half V I times rise and fall time times frequency: both edges taken as triangles."""
    return 0.5 * volt * amp * edges_s * hertz


def edge_s(part: Mosfet) -> float:
    """Seconds of one edge: the gate-drain charge through what the gate resistor lets flow at the plateau."""
    return part.gate_drain_c * GATE_OHM / min(GATE_V - part.plateau_v, part.plateau_v)


def mosfet_w(part: Mosfet, blower: Blower) -> float:
    """W in the MOSFET with the blower at nearly full drive, hot."""
    hot = conduction_w(blower.run_a, part.on_ohm * part.hot_factor)
    return hot + switching_w(blower.volt, blower.run_a, 2.0 * edge_s(part), PWM_HZ)


def junction_c(watt: float, part: Mosfet) -> float:
    """degC inside the part without a heat sink, in a warm box."""
    return BOX_C + watt * part.to_air_k_per_w


def diode_w(blower: Blower, forward_v: float = 0.5) -> float:
    """W in the free-wheeling diode: all of the current, always; it can be no more."""
    return blower.run_a * forward_v


def gate_volt() -> float:
    """V at the gate: the pin through its resistor against the pull-down."""
    return GATE_V * PULL_DOWN_OHM / (PULL_DOWN_OHM + GATE_OHM)


def off_s() -> float:
    """Seconds until a gate whose pin floats is below a tenth: 2.3 times R C."""
    return 2.3 * PULL_DOWN_OHM * INPUT_F


def drop_v(amp: float, length_m: float, area_mm2: float, copper_c: float = 60.0) -> float:
    """V lost on a cable there and back, with the copper warm."""
    return 2.0 * length_m * COPPER_OHM_PER_M[area_mm2] * (1.0 + COPPER_PER_K * (copper_c - 20.0)) * amp


def at_12_v(amp_5_v: float) -> float:
    """A taken from 12 V for so much at 5 V."""
    return amp_5_v * 5.0 / (12.0 * BUCK_SHARE)


def run_a() -> float:
    """A at 12 V as a rule: blower flat out, servo holding."""
    return Blower().run_a + at_12_v(Small().run_a + Servo().hold_a)


def worst_a() -> float:
    """A at 12 V when the blower starts, the servo is stuck and the radio sends."""
    return Blower().start_a + at_12_v(Small().peak_a + Servo().stall_a)


def adapter_a() -> float:
    """A that the adapter must give, in steps of 0.5 A."""
    return ceil(worst_a() * ADAPTER_MARGIN * 2.0) / 2.0


def fuse_a() -> float:
    """The smallest rating that carries the rule for ever, time-lag for the start."""
    return next(rating for rating in FUSES_A if rating * FUSE_SHARE >= run_a())


def hot_fuse_a() -> float:
    """What that fuse carries for ever inside a hot box."""
    return fuse_a() * FUSE_SHARE * (1.0 - FUSE_PER_K * (BOX_C - 25.0))


def buck_a() -> float:
    """A at 5 V that the converter must give."""
    return ceil((Small().peak_a + Servo().stall_a) * ADAPTER_MARGIN * 2.0) / 2.0


def pulse_s() -> tuple[float, float, float]:
    """Shortest, nominal and longest time that the second switch stays closed after the last pulse, s."""
    middle = MONO_K * MONO_OHM * MONO_F
    low, high = middle, middle
    for spread in MONO_SPREAD.values():
        low, high = low * (1.0 - spread), high * (1.0 + spread)
    return low, middle, high


Row = tuple[str, str, str, str]


def rows() -> list[Row]:
    """What, figure, formula or source, and what it decides."""
    return [*_currents(), *_mosfet(), *_rest()]


def _currents() -> list[Row]:
    blower, servo, small = Blower(), Servo(), Small()
    five_a = small.peak_a + servo.stall_a
    return [
        ("blower, running", f"{blower.run_a:.2f} A at 12 V", "part class", "blower's wires, diode"),
        ("blower, starting or held fast", f"{blower.start_a:.2f} A", "3 x running (common practice, no source)", ""),
        ("servo, stuck", f"{servo.stall_a:.2f} A at 5 V", "part class", "12 V to 5 V converter"),
        ("board, Wi-Fi sending", f"{small.board_peak_a:.2f} A at 5 V", "data sheets, from memory", ""),
        ("all of 5 V at its worst", f"{five_a:.2f} A", "sum", f"a converter of {buck_a():.1f} A or more"),
        (
            "12 V as a rule",
            f"{run_a():.2f} A",
            "blower + (5 V side) x 5 / (12 x 0.85)",
            f"fuse {fuse_a():g} A time-lag",
        ),
        (
            f"that fuse in a box of {BOX_C:.0f} degC",
            f"{hot_fuse_a():.2f} A for ever",
            "75 % of its rating, 0.5 % less a K above 25 degC",
            "fuse at the adapter's end, where it is cool",
        ),
        ("12 V at its worst", f"{worst_a():.2f} A", "start + stuck servo + radio", f"adapter {adapter_a():.1f} A"),
    ]


def _mosfet() -> list[Row]:
    blower, part = Blower(), Mosfet()
    hot_mw = 1000.0 * conduction_w(blower.run_a, part.on_ohm * part.hot_factor)
    switching_mw = 1000.0 * mosfet_w(part, blower) - hot_mw
    held_c = junction_c(mosfet_w(part, Blower(run_a=blower.start_a)), part)
    inside_c = junction_c(mosfet_w(part, blower), part)
    limit = f"no heat sink (limit {part.highest_c:.0f} degC)"
    return [
        ("MOSFET, conducting", f"{hot_mw:.0f} mW", "I^2 R, R hot = 1.6 x 30 mohm", ""),
        ("MOSFET, switching", f"{switching_mw:.0f} mW", "V I (tr + tf) f / 2, t = Qgd Rg / V", "gate resistor"),
        ("MOSFET, inside", f"{inside_c:.0f} degC", f"{BOX_C:.0f} degC + P x 62 K/W", limit),
        ("MOSFET, blower held fast", f"{held_c:.0f} degC", "as above with the start current for ever", limit),
        ("diode", f"{diode_w(blower):.2f} W at most", "I x 0.5 V", "1 A Schottky, 40 V or more"),
        ("gate, driven", f"{gate_volt():.2f} V", "3.3 V x 10k / (10k + 220)", "MOSFET rated at 2.5 V gate"),
        ("gate, pin floating", f"off in {1e6 * off_s():.0f} us", "2.3 R C", "pull-down 10 kohm"),
    ]


def _rest() -> list[Row]:
    blower, servo = Blower(), Servo()
    low_s, middle_s, high_s = pulse_s()
    run_v, start_v = drop_v(blower.run_a, 2.0, 0.75), drop_v(blower.start_a, 2.0, 0.75)
    stuck_v = drop_v(servo.stall_a, 2.0, 0.5)
    return [
        (
            "second switch, after the last pulse",
            f"{low_s:.1f} / {middle_s:.1f} / {high_s:.1f} s",
            "0.7 R C, parts at their worst / as marked",
            f"above {STEP_S:.0f} s, below {PERMISSION_S:.0f} s",
        ),
        (
            "drop, 2 m of 0.75 mm2 to the blower",
            f"{run_v:.2f} V, {start_v:.2f} V at the start",
            "2 l R' I, copper at 60 degC (IEC 60228)",
            "cable",
        ),
        ("drop, 2 m of 0.5 mm2 to the servo", f"{stuck_v:.2f} V when stuck", "as above", "above 4.5 V at the servo"),
        (
            "heat in the box",
            f"{box_w():.1f} W",
            "converter's loss + board + MOSFET + diode",
            f"{box_w() / (10.0 * 0.04):.0f} K above the air (10 W/m2K, 0.04 m2)",
        ),
    ]


def box_w() -> float:
    """W that stay in the box as a rule."""
    five_w = 5.0 * (Small().run_a + Servo().hold_a)
    return five_w * (1.0 / BUCK_SHARE - 1.0) + 5.0 * Small().run_a + mosfet_w(Mosfet(), Blower()) + diode_w(Blower())


def text() -> str:
    """power.md as it must be."""
    return HEAD + "".join(f"| {' | '.join(row)} |\n" for row in rows()) + FOOT


HEAD = """# Power budget

Made by `python -m hardware.power`; change the parts there, not here. Figures are worked out, not measured: no real
board has been run with this code yet, and no real fire has been burned.

| what | figure | from | decides |
| --- | --- | --- | --- |
"""

FOOT = """
The formulas for the MOSFET are the usual ones of makers' notes: I^2 R while on, half V I t f at the edges.
The tests compare them with two worked examples, one of them a maker's (A5973D data sheet, page 26): 0.4 ohm, 2 A at
30 %, 12 V, edges of 70 ns, 250 kHz and 2.5 mA of its own give 0.93 W, and at 42 K/W and 70 degC a junction of 110 degC.

A fuse protects the cable, not the parts. The adapter's own limit is what protects the MOSFET when the blower's wires
touch, so take one that shuts off and tries again, and not one that is much larger than said here. In a box of 60 degC
the fuse carries a little less than the rule with the blower at full: there it may age and open after months. At the
adapter's end of the cable it does not. Do not take a larger one instead: it protects the cable less.
"""


if __name__ == "__main__":
    TARGET.write_text(text(), encoding="utf-8")
