"""Many boards on one host, over a real broker, the host held to one core: how late readings are, and what it costs."""

from __future__ import annotations

from typing import Any

import pytest

from tests.bench.load import run
from tests.proof.fixture import Proof

SECONDS = 60.0


def test_three_boards_are_kept_in_time_and_nothing_is_lost() -> None:
    found = run(3, 2.0)
    assert found["lost"] == 0
    assert found["readings"] >= 3


@pytest.mark.prove("load", proves=["host/emberdraft/web/static"])
@pytest.mark.parametrize("boards", [20, 100])
def test_readings_of_many_boards_come_in_time(chromium: Any, proof: Proof, boards: int) -> None:
    found = run(boards, SECONDS, chromium)
    late = f"of {found['readings']}; worst {found['late_worst_s']:.2f} s, 99 of 100 within {found['late_99_s']:.2f} s"
    name = f"{boards} boards at 1 Hz, one core, page open: readings more than 1 s late"
    if boards == 20:
        proof.promise(name, found["over_1_s"], equals=0, note=late)
    else:
        proof.record(name, found["over_1_s"], note=late)
    proof.promise(f"{boards} boards: readings lost", found["lost"], equals=0)
    cpu = (
        f"{found['host_cpu_share']:.0%} of one core, broker {found['broker_cpu_share']:.1%}, {found['host_mb']:.0f} MB"
    )
    proof.record(f"{boards} boards: the host's CPU", cpu)
