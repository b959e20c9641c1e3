"""The adapter plate between the cooker's intake and the tube to the blower, drawn from its measures in mm.

`python -m hardware.plate` writes plate.svg (1:1 in mm) and plate.dxf (R12, mm). Measure your own intake first and put
its measures into Measures. 2 mm stainless or black steel; no zinc, whose fumes are poisonous when hot.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, hypot, pi, radians, sin
from pathlib import Path

HERE = Path(__file__).parent


@dataclass(frozen=True)
class Hole:
    """A round hole; `name` says what goes through it."""

    name: str
    x: float
    y: float
    diameter: float


@dataclass(frozen=True)
class Slot:
    """A slot with round ends, lying along x, `length` from end to end."""

    name: str
    x: float
    y: float
    length: float
    width: float


@dataclass(frozen=True)
class Measures:
    """mm. The middle of the plate is at 0, 0."""

    width: float = 170.0
    height: float = 90.0
    intake_width: float = 110.0  # the opening that the plate must cover
    intake_height: float = 60.0
    tube: float = 42.0  # clear bore of the stand-off tube
    flange: float = 60.0  # circle of the tube's screws
    screw: float = 4.5  # M4
    pivot_x: float = 40.0  # shaft of the damper disc, from the tube's middle
    pivot: float = 5.2
    stop: float = 3.4  # M3
    stop_deg: float = 70.0  # how far the disc swings from shut to open
    slot_length: float = 20.0  # for fitting to a curved shell
    slot_width: float = 6.5

    def holes(self) -> list[Hole]:
        """Tube, its four screws, the damper's pivot and its two end stops."""
        made = [Hole("tube", 0.0, 0.0, self.tube)]
        for k in range(4):
            angle = radians(45.0 + 90.0 * k)
            made.append(Hole("tube screw", 0.5 * self.flange * cos(angle), 0.5 * self.flange * sin(angle), self.screw))
        made.append(Hole("damper pivot", self.pivot_x, 0.0, self.pivot))
        reach = self.pivot_x - 0.5 * self.tube - 4.0
        for side in (1.0, -1.0):
            angle = radians(90.0 - 0.5 * (90.0 - self.stop_deg))
            made.append(Hole("end stop", self.pivot_x + reach * cos(angle), side * reach * sin(angle), self.stop))
        return made

    def slots(self) -> list[Slot]:
        """One at each end, outside the opening."""
        x = 0.25 * (self.width + self.intake_width)
        return [Slot("fixing", side * x, 0.0, self.slot_length, self.slot_width) for side in (1.0, -1.0)]


def troubles(made: Measures, web: float = 4.0) -> list[str]:
    """What cannot be made: less than `web` mm of metal between two holes or to the edge, or an intake left open."""
    found = []
    holes = made.holes()
    for k, one in enumerate(holes):
        edge = min(0.5 * made.width - abs(one.x), 0.5 * made.height - abs(one.y)) - 0.5 * one.diameter
        if edge < web:
            found.append(f"{one.name}: {edge:.1f} mm to the edge")
        for two in holes[k + 1 :]:
            gap = hypot(one.x - two.x, one.y - two.y) - 0.5 * (one.diameter + two.diameter)
            if gap < web:
                found.append(f"{one.name} and {two.name}: {gap:.1f} mm apart")
    for slot in made.slots():
        if 0.5 * made.width - abs(slot.x) - 0.5 * slot.length < web:
            found.append(f"{slot.name}: too near the edge")
        if abs(slot.x) - 0.5 * slot.length < 0.5 * made.intake_width:
            found.append(f"{slot.name}: over the opening")
    if made.height < made.intake_height + 2.0 * web:
        found.append("the plate does not cover the opening")
    return found


def svg(made: Measures) -> str:
    """One to one in mm, y upwards."""
    w, h = made.width, made.height
    parts = [f'<rect x="{-w / 2:g}" y="{-h / 2:g}" width="{w:g}" height="{h:g}"/>']
    parts += [f'<circle cx="{o.x:.2f}" cy="{-o.y:.2f}" r="{o.diameter / 2:.2f}"/>' for o in made.holes()]
    for s in made.slots():
        x, y = s.x - s.length / 2, -s.y - s.width / 2
        parts.append(
            f'<rect x="{x:.2f}" y="{y:.2f}" width="{s.length:.2f}" height="{s.width:.2f}" rx="{s.width / 2:.2f}"/>'
        )
    body = "\n  ".join(parts)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{w + 10:g}mm" height="{h + 10:g}mm" '
        f'viewBox="{-w / 2 - 5:g} {-h / 2 - 5:g} {w + 10:g} {h + 10:g}">\n'
        f' <g fill="none" stroke="#000" stroke-width="0.3">\n  {body}\n </g>\n</svg>\n'
    )


def dxf(made: Measures) -> str:
    """R12 with lines, circles and arcs only, which every cutter reads."""
    w, h = made.width / 2, made.height / 2
    corners = [(-w, -h), (w, -h), (w, h), (-w, h)]
    parts = [_line(*corners[k], *corners[(k + 1) % 4]) for k in range(4)]
    parts += [_circle(hole) for hole in made.holes()]
    for slot in made.slots():
        parts += _slot(slot)
    return "".join(("0\nSECTION\n2\nENTITIES\n", *parts, "0\nENDSEC\n0\nEOF\n"))


def _line(x1: float, y1: float, x2: float, y2: float) -> str:
    return f"0\nLINE\n8\nCUT\n10\n{x1:.4f}\n20\n{y1:.4f}\n30\n0.0\n11\n{x2:.4f}\n21\n{y2:.4f}\n31\n0.0\n"


def _circle(hole: Hole) -> str:
    return f"0\nCIRCLE\n8\nCUT\n10\n{hole.x:.4f}\n20\n{hole.y:.4f}\n30\n0.0\n40\n{hole.diameter / 2:.4f}\n"


def _slot(slot: Slot) -> list[str]:
    radius, reach = slot.width / 2, (slot.length - slot.width) / 2
    left, right = slot.x - reach, slot.x + reach
    parts = [_line(left, slot.y + side, right, slot.y + side) for side in (radius, -radius)]
    for x, begin in ((left, 90.0), (right, 270.0)):
        end = (begin + 180.0) % 360.0
        middle = f"10\n{x:.4f}\n20\n{slot.y:.4f}\n30\n0.0\n40\n{radius:.4f}\n"
        parts.append(f"0\nARC\n8\nCUT\n{middle}50\n{begin:.1f}\n51\n{end:.1f}\n")
    return parts


def cut_mm2(made: Measures) -> float:
    """Area that is cut out of the plate, mm2."""
    round_mm2 = sum(pi * (hole.diameter / 2) ** 2 for hole in made.holes())
    slots = made.slots()
    return round_mm2 + sum(pi * (s.width / 2) ** 2 + (s.length - s.width) * s.width for s in slots)


def write(made: Measures) -> None:
    """Both files beside this one; a plate that cannot be made is not drawn."""
    found = troubles(made)
    if found:
        raise SystemExit("not drawn: " + "; ".join(found))
    (HERE / "plate.svg").write_text(svg(made), encoding="utf-8")
    (HERE / "plate.dxf").write_text(dxf(made), encoding="utf-8")


if __name__ == "__main__":
    write(Measures())
