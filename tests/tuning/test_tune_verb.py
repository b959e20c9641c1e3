"""`emberdraft tune`: from a record on disk to words, figures and an order; and what it will not send."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from emberdraft import cli
from emberdraft.bench.margins import Margins
from emberdraft.commands import tune
from emberdraft.errors import UserError
from emberdraft.store.read import Reader
from emberdraft.store.store import Store
from emberdraft.tuning.propose import Choice, Proposal, check_sending, propose
from emberdraft.tuning.record import gains_in_force, read_cook
from emberdraft.tuning.rules import Gains
from tests.store.making import START_S, event, reading
from tests.tuning.cooks import NAMES, Run

INSISTING = ("--insist", "send anyway")
DEFAULTS = {"kp": 0.02, "ti_s": 800.0, "td_s": 60.0, "b": 1.0}


@pytest.fixture(scope="session")
def record(heavy_run: Run, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The heavy cooker's cook, as the daemon would have kept it."""
    path = tmp_path_factory.mktemp("tune") / "cooks.sqlite"
    names = {"p_duty": "p"}
    with Store(path) as store:
        store.begin_cook("garden", "learn", None, START_S)
        rows = zip(*(heavy_run.columns[name][: 80 * 60] for name in NAMES), strict=True)
        made = [
            reading(k, **{names.get(n, n): v for n, v in zip(NAMES, row, strict=True) if n != "at_s"})
            for k, row in enumerate(rows)
        ]
        store.add_records("garden", "b1", made)
        cook = store.open_cook("garden")
        assert cook is not None
        store.end_cook(cook["id"], START_S + len(made), "done")
    return path


def test_the_verb_says_figures_and_words_and_the_order_goes_the_known_way(
    record: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The whole of it once: AMIGO, sent with the person's own words, whatever the replay thinks of it."""
    sent: list[tuple[str, dict[str, Any]]] = []
    made: list[Proposal] = []
    monkeypatch.setattr(tune, "call", lambda db, path, body, cooker: sent.append((path, body)))
    monkeypatch.setattr(tune, "propose", lambda *args: made.append(propose(*args)) or made[0])
    assert cli.main(["tune", "last", "--rule", "amigo", "--json", "--send", *INSISTING, "--db", str(record)]) == 0
    said = json.loads(capsys.readouterr().out)
    assert said["trust"]["same_controller"] > 0.99
    assert said["model"]["delay_s"] > 0.0
    assert said["present"]["margins"]["max_sensitivity"] > 1.0
    assert said["iae_ratio"]["low"] <= said["iae_ratio"]["best"] <= said["iae_ratio"]["high"]
    assert len({len(column) for column in said["traces"].values()}) == 1
    assert sent == [("/api/command", {"name": "gains", "args": said["proposed"]["gains"]})]
    assert set(sent[0][1]["args"]) == {"kp", "ti_s", "td_s", "b"}
    text = "\n".join(tune.lines(made[0]))
    for word in ("dead time", "degC RMS", "rust it", "in force", "proposed", "sensitivity peak Ms", "replayed"):
        assert word in text


def test_ms_over_two_is_sent_only_with_the_persons_own_words(heavy_run: Run) -> None:
    hunting = Choice(Gains(0.15, 200.0), Margins(2.0, 20.0, 2.6, 10.0), None)  # type: ignore[arg-type]
    for words in (None, "yes", "Send anyway!"):
        with pytest.raises(UserError, match=r"Ms 2\.60 is over 2"):
            check_sending(hunting, words)
    check_sending(hunting, "send anyway")


def test_the_boards_bounds_hold_even_then() -> None:
    wild = Choice(Gains(0.5, 200.0), Margins(2.0, 20.0, 1.2, 10.0), None)  # type: ignore[arg-type]
    with pytest.raises(UserError, match=r"kp 0\.5: the board takes 0 to 0.2"):
        check_sending(wild, "send anyway")


def test_sending_and_going_back_at_once_is_refused_before_anything_is_sent(
    record: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    sent: list[Any] = []
    monkeypatch.setattr(tune, "call", lambda *args, **more: sent.append(args))
    assert cli.main(["tune", "last", "--send", "--back", "--db", str(record)]) == 1
    assert "not both" in capsys.readouterr().err
    assert not sent


def test_one_command_goes_back_to_what_was_in_force_before(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two orders: the last one alone is taken back."""
    sent: list[Any] = []
    monkeypatch.setattr(tune, "call", lambda db, path, body, cooker: sent.append((path, body)))
    path = tmp_path / "back.sqlite"
    with Store(path) as store:
        store.begin_cook("garden", "back", None, START_S)
        store.add_records("garden", "b1", [reading(k) for k in range(20)])
        for n, args in ((1, {"kp": 0.05, "ti_s": 700.0, "td_s": 10.0, "b": 0.5}), (2, {"kp": 0.09})):
            store.add_order("garden", n, "b1", START_S + 3.0 * n, "gains", args, "person")
    assert cli.main(["tune", "last", "--back", "--db", str(path)]) == 0
    assert sent == [("/api/command", {"name": "gains", "args": {"kp": 0.05, "ti_s": 700.0, "td_s": 10.0, "b": 0.5}})]
    assert "before" in capsys.readouterr().out


def test_nothing_to_go_back_to_is_said(
    record: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tune, "call", lambda *args, **more: pytest.fail("sent"))
    assert cli.main(["tune", "last", "--back", "--db", str(record)]) == 1
    assert "no gains were ordered in this cook" in capsys.readouterr().err


def test_orders_count_from_when_the_board_took_them(tmp_path: Path) -> None:
    """Sent at second 3, taken at second 5; one that was refused does not count."""
    path = tmp_path / "orders.sqlite"
    with Store(path) as store:
        cook_id = store.begin_cook("garden", "orders", None, START_S)
        taken = event(100, "order_taken", at_s=START_S + 5.0, text="gains")
        store.add_records("garden", "b1", [*(reading(k) for k in range(20)), taken])
        for n, args, code in ((1, {"kp": 0.05}, ""), (2, {"kp": 0.09}, "out_of_range")):
            store.add_order("garden", n, "b1", START_S + 3.0, "gains", args, "person")
            store.set_reply("garden", n, code, "")
        store.end_cook(cook_id, START_S + 20.0, "done")
    with Reader(path) as reader:
        cook = read_cook(reader, cook_id)
    assert cook.orders == ((5, "gains", {"kp": 0.05}),)
    assert gains_in_force(cook, DEFAULTS) == {**DEFAULTS, "kp": 0.05}
