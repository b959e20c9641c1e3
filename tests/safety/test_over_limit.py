"""Over its limit: no air on the second sample, and neither an order nor a restart gives it back."""

from __future__ import annotations

from random import Random

import pytest

from emberboard.core.controller import Controller, Inputs
from tests.core.cooker import Cooker, Run
from tests.proof.fixture import Proof


def begun(chance: Random) -> tuple[Run, str, float]:
    """A cook under way at random; which probe will be over its limit, and that limit."""
    run = Run(Cooker(100.0, 0.1))
    run.controller.agreed.put("pit_limit_c", 400.0)  # the most that a board's settings may allow
    run.seconds(2)
    if chance.random() < 0.5:
        target_c = chance.uniform(90.0, 200.0)
        run.hold(target_c)
        pit_limit_c = target_c + 40.0  # the limit in hold: target plus 40 degC, this project's own
    else:
        pit_limit_c = chance.uniform(250.0, 400.0)
        run.order("vent", vent="top", opening=1.0)
        code, _ = run.order("mode", mode="drive", phase="climb", stone_c=300.0, pit_limit_c=pit_limit_c, at_cooker=True)
        assert code == ""
    run.seconds(chance.randrange(200, 400))
    return (run, "pit_c", pit_limit_c) if chance.random() < 0.6 else (run, "stone_c", 400.0)


def raise_it(run: Run, probe: str, limit_c: float, chance: Random) -> None:
    """The probe climbs to its limit no faster than charcoal can, then stays there for two samples."""
    value_c = getattr(run.inputs, probe)
    while value_c < limit_c - 0.5:
        value_c += 0.5
        run.seconds(1, **{probe: value_c})
    assert not [name for name in run.controller.alerts if name.endswith("over_limit")]
    over_c = limit_c + chance.choice([0.0, 0.25, 3.0])
    run.seconds(2, **{probe: over_c})


def holds(seed: int) -> bool:
    """Blower 0 within 2 s, latched across an order and a restart; gone only when acknowledged and healthy."""
    chance = Random(f"over {seed}")
    run, probe, limit_c = begun(chance)
    raise_it(run, probe, limit_c, chance)
    name = probe[:-2] + "_over_limit"
    stopped = run.out.drive == 0.0 and run.out.opening == 0.0 and run.alert(name) == "trip"
    run.seconds(chance.randrange(1, 60))
    again = {"mode": "hold", "target_c": 121.0, "at_cooker": True}
    refused = run.order("mode", **again)[0] == "not_now"
    restarted = Controller(2)
    restarted.restore_latched(run.controller.latched())
    refused = refused and restarted.order("mode", again, 0)[0] == "not_now"
    cool = Inputs(2)
    cool.pit_c, cool.stone_c = 80.0, 80.0
    drives = [restarted.tick(1000 * (k + 1), cool).drive for k in range(120)]
    latched = refused and max(drives) == 0.0
    freed = restarted.order("acknowledge", {"id": name}, 121000)[0] == ""
    return stopped and latched and freed and restarted.order("mode", again, 122000) == ("", "")


def test_over_limit_is_latched_across_an_order_and_a_restart():
    assert all(holds(seed) for seed in range(12))


@pytest.mark.prove("safety: limits")
def test_a_hundred_times(proof: Proof):
    good = sum(holds(seed) for seed in range(100))
    name = "over limit: blower 0 within 2 s, latched across an order and a restart, of 100"
    proof.promise(name, good, equals=100)


def test_an_acknowledgement_while_it_is_still_hot_frees_nothing():
    run = Run(Cooker(340.0, 0.1)).hold(300.0).seconds(60)
    run.seconds(2, pit_c=352.0)
    for _ in range(5):
        run.order("acknowledge", id="all")
        run.seconds(1, pit_c=352.0)
        assert run.alert("pit_over_limit") == "trip"
        assert run.order("mode", mode="hold", target_c=200.0, at_cooker=True)[0] == "not_now"


def test_one_sample_at_the_limit_is_forgiven():
    run = Run(Cooker(145.0, 0.1)).hold(110.0)
    run.seconds(1, pit_c=150.0).seconds(1, pit_c=149.75).seconds(1, pit_c=150.0)
    assert run.alert("pit_over_limit") == ""
