"""The service, through its outer door: rows of a board in, the page's JSON and orders out, on a real store."""

from __future__ import annotations

import json
import threading
import time
from types import SimpleNamespace

import msgspec
import pytest

from emberdraft.clock import Clock
from emberdraft.daemon.notify import Notifier
from emberdraft.daemon.order import Order
from emberdraft.daemon.plan import example_text, load_plan
from emberdraft.daemon.service import OrderLine, Service
from emberdraft.errors import UserError
from emberdraft.said import render
from emberdraft.store import Store

START_S = 1_790_000_000.0


class Hands(Clock):
    """A clock that a test moves."""

    def __init__(self):
        super().__init__(1.0)
        self.at_s = START_S

    def now_s(self):
        return self.at_s


class Line:
    """Where orders go; `down` refuses them as a board that is not heard does."""

    def __init__(self):
        self.sent = []
        self.down = False

    def send_order(self, order):
        if self.down:
            raise UserError("cooker yard: nothing was sent. The board has not been heard yet.")
        self.sent.append((order.name, dict(order.args)))
        return len(self.sent)

    def named(self, name):
        return [args for each, args in self.sent if each == name]


class Told(Notifier):
    """Keeps the notices instead of sending them."""

    def __init__(self, notices):
        super().__init__(page="http://cooker.local/")
        self.notices = notices

    def send(self, notice, ways=("first",)):
        self.notices.append({**notice, "ways": list(ways)})


class Rig:
    """A service with a board made of rows: it does what it is ordered."""

    def __init__(self, path):
        self.clock, self.line = Hands(), Line()
        self.store = Store(path)
        self.notices = []
        self.service = Service(self.store, self.clock, "yard", self.line, self.notifier())
        self.row = {
            "mode": "off",
            "phase": "",
            "pit_c": 20.0,
            "pit_fault": "",
            "stone_c": 20.0,
            "stone_fault": "",
            "core_c": [5.0, 5.0],
            "core_fault": ["", ""],
            "board_c": 25.0,
            "target_c": None,
            "ref_c": None,
            "duty": 0.0,
            "drive": 0.0,
            "opening": None,
            "lid_open": False,
            "p": 0.0,
            "i": 0.0,
            "d": 0.0,
            "ff": 0.0,
            "fire": 0.0,
            "why": "steady",
            "boot": "b1",
            "oldest": 0,
        }
        self.seq = 0
        self.seen = 0

    def notifier(self):
        return Told(self.notices)

    def again(self):
        """The host stops and starts on the same store."""
        self.service.close()
        self.service = Service(self.store, self.clock, "yard", self.line, self.notifier())

    def run(self, seconds=1, **row):
        self.row.update(row)
        for _ in range(seconds):
            self.clock.at_s += 1.0
            self.seq += 1
            self._obey()
            rows = [{**self.row, "seq": self.seq, "ms": self.seq * 1000, **self.stamp()}]
            self.service.on_records("yard", rows)

    def stamp(self):
        return {"at_s": self.clock.at_s, "arrived_s": self.clock.at_s}

    def quiet(self, seconds):
        for _ in range(seconds):
            self.clock.at_s += 1.0
            self.service.tick()

    def _obey(self):
        for name, args in self.line.sent[self.seen :]:
            if name == "mode":
                self.row.update(mode=args["mode"], phase=args["phase"])
                self.row["target_c"] = args.get("stone_c", args.get("target_c"))
            elif name == "lid":
                self.row["lid_open"] = args["open"]
        self.seen = len(self.line.sent)

    def answer(self, kind):
        prompt = next(p for p in self.service.prompts() if p.kind == kind)
        self.service.answer(prompt.id, at_cooker=True)
        self.run(2)

    def to_slow(self):
        self.service.start_cook(load_plan("two_chops"))
        self.run()
        self.answer("light")
        self.run(70, pit_c=115.0)
        self.run(1000)
        self.answer("set_up")
        self.run(200)
        self.answer("put_on")
        return self


@pytest.fixture
def rig(tmp_path):
    made = Rig(tmp_path / "cooks.sqlite")
    yield made
    made.store.close()


KEYS = {
    *("now_s", "speed", "cooker", "link", "cook", "phase", "phases", "mode", "why", "lid_open", "sentence", "detail"),
    *(
        "band_c",
        "number",
        "ledger",
        "next",
        "asked",
        "stopped",
        "upcoming",
        "forecasts",
        "evening",
        "alarms",
        "caution",
        "marks",
        "last",
        "deeper",
    ),
}


def test_the_state_has_every_key_before_during_and_after_a_cook(rig):
    states = [rig.service.now()]
    rig.to_slow()
    states.append(rig.service.now())
    rig.service.command("bank")
    rig.service.end_cook()
    states.append(rig.service.now())
    for state in states:
        assert set(state) == KEYS
        assert json.loads(msgspec.json.encode(state)) == json.loads(json.dumps(msgspec.to_builtins(state)))
        assert set(state["number"]) == {"label", "value_c", "wanted_c", "of"}
        assert set(state["link"]) == {"state", "heard_s", "boot", "text"}


def test_a_cook_is_recorded_with_its_plan_pieces_phases_marks_and_ends(rig):
    rig.to_slow()
    cook_id = rig.service.now()["cook"]["id"]
    assert rig.store.plan(rig.store.cook(cook_id)["plan_id"])["text"] == example_text("two_chops")
    assert [p["letter"] for p in rig.store.pieces(cook_id)] == ["A", "B"]
    assert [p["phase"] for p in rig.store.phases(cook_id)] == ["light", "soak", "slow"]
    kinds = [m["kind"] for m in rig.store.marks(cook_id)]
    assert kinds == ["lit", "vent_bottom", "vent_top", "set_up", "piece_on", "piece_on"]
    assert all(piece["on_s"] for piece in rig.store.pieces(cook_id))
    assert rig.store.cook(cook_id)["invented"] == 1
    rig.service.end_cook("done for today")
    assert rig.store.cook(cook_id)["how"] == "done for today"
    assert rig.service.now()["cook"] is None


def test_now_shows_the_phase_the_pieces_and_what_is_to_come(rig):
    rig.to_slow().run(60, why="less_air", pit_c=115.5)
    state = rig.service.now()
    assert state["phase"]["name"] == "slow"
    assert [(p["name"], p["state"]) for p in state["phases"]] == [
        ("light", "past"),
        ("soak", "past"),
        ("slow", "now"),
        ("climb", "to_come"),
        ("sear", "to_come"),
        ("bank", "to_come"),
    ]
    starts = [phase["start_s"] for phase in state["phases"]]
    assert starts == sorted(starts)
    lines = {line["key"]: line for line in state["ledger"]}
    assert list(lines) == ["pit", "stone", "core1", "core2", "blower", "vent_top", "vent_bottom"]
    assert render(lines["core1"]["heading"]).startswith("57\u00a0°C")
    assert (lines["core1"]["stroke"], lines["core2"]["stroke"]) == (0, 1)
    assert lines["vent_top"]["value"] == 0.25
    assert state["number"] == {"label": "pit", "value_c": 115.5, "wanted_c": 115.0, "of": "pit"}
    assert any("climb" in str(row["text"]) for row in state["upcoming"])
    assert render(state["sentence"]).startswith("Holding 115")


def test_a_prompt_is_answered_once_and_the_status_line_says_so(rig):
    rig.service.start_cook(load_plan("two_chops"))
    rig.run()
    asked = rig.service.now()["next"]
    assert asked["at_cooker"] is True
    assert len(asked["caution"]) == 3
    with pytest.raises(UserError, match="at the cooker"):
        rig.service.answer(asked["id"], at_cooker=False)
    rig.service.answer(asked["id"], at_cooker=True)
    assert rig.service.now()["last"]["text"] == "It is lit and the lid is shut: noted"
    with pytest.raises(UserError, match="answered already at"):
        rig.service.answer(asked["id"], at_cooker=True)


def test_the_pull_alarm_reaches_page_and_webhook_and_ends_with_pulled(rig):
    rig.to_slow().run(5, core_c=[57.2, 40.0])
    rig.service.on_link("yard", SimpleNamespace(state="online"))
    alert = {"id": "pull", "kind": "notice", "value": 57.2, "limit": 57.0, "acknowledged": False}
    rig.service.on_alert("yard", "pull", alert)
    rig.service.tick()
    state = rig.service.now()
    assert state["next"]["title"] == "Pull the tempered chop (A)"
    assert [a["id"] for a in state["alarms"]] == ["pull"]
    assert any("Pull the tempered chop" in notice["title"] for notice in rig.notices)
    rig.answer("pull")
    assert rig.line.named("pulled") == [{"index": 0}]
    rig.service.on_alert("yard", "pull", None)
    state = rig.service.now()
    assert state["alarms"] == []
    assert state["next"] is None
    assert [render(line["heading"])[:13] for line in state["ledger"] if line["key"] == "core1"] == ["resting since"]


def test_an_alarm_is_recorded_acknowledged_on_the_board_too_and_cleared(rig):
    rig.to_slow()
    rig.service.on_link("yard", SimpleNamespace(state="online"))
    rig.service.on_alert("yard", "pit_sensor", {"kind": "pause", "value": None, "limit": None})
    rig.run(why="paused", pit_c=None, pit_fault="open")
    assert render(rig.service.now()["sentence"]).startswith(
        "Stopped the blower: the pit probe gives no value to rely on, since "
    )
    rig.service.command("acknowledge", id="pit_sensor")
    assert rig.line.named("acknowledge") == [{"id": "pit_sensor"}]
    rig.service.on_alert("yard", "pit_sensor", None)
    (row,) = rig.store.alarms(rig.service.now()["cook"]["id"])
    assert (row["alert"], row["state"]) == ("pit_sensor", "normal")
    assert row["acknowledged_s"]
    assert row["action"]


def test_an_alarm_stands_again_under_its_own_row_after_a_restart_of_the_host(rig):
    rig.to_slow()
    rig.service.on_alert("yard", "supply_low", {"kind": "notice", "value": None, "limit": None})
    rig.service.command("snooze", id="supply_low", minutes=10)
    rig.again()
    rig.service.on_alert("yard", "supply_low", {"kind": "notice", "value": None, "limit": None})
    assert [a["state"] for a in rig.service.now()["alarms"]] == ["shelved"]
    assert len(rig.store.alarms(rig.service.now()["cook"]["id"])) == 1


def test_a_store_that_cannot_write_silences_no_alarm(rig):
    def full(*args, **more):
        raise UserError("the disk is full")

    rig.store.raise_alarm = rig.store.update_alarm = full
    rig.service.on_alert("yard", "pit_over_limit", {"kind": "trip", "value": 351.0, "limit": 350.0})
    rig.service.tick()
    assert [notice["kind"] for notice in rig.notices] == ["trip"]
    assert [a["id"] for a in rig.service.now()["alarms"]] == ["pit_over_limit"]


def test_an_alarm_acknowledged_at_the_board_is_so_here(rig):
    rig.service.on_alert("yard", "supply_low", {"kind": "notice", "value": None, "limit": None})
    rig.service.on_alert("yard", "supply_low", {"kind": "notice", "acknowledged": True})
    assert [a["state"] for a in rig.service.now()["alarms"]] == ["acknowledged"]


def test_with_the_link_down_a_standing_alarm_goes_on_standing(rig):
    rig.service.on_link("yard", SimpleNamespace(state="online"))
    rig.service.on_alert("yard", "pit_over_limit", {"kind": "trip", "value": 351.0, "limit": 350.0})
    rig.service.on_link("yard", SimpleNamespace(state="offline"))
    rig.service.on_alert("yard", "pit_over_limit", None)
    assert [a["id"] for a in rig.service.now()["alarms"]] == ["pit_over_limit"]


def test_a_silent_board_is_an_alarm_and_its_numbers_are_old(rig):
    rig.to_slow()
    rig.quiet(30)
    state = rig.service.now()
    assert state["link"]["state"] == "silent"
    assert state["link"]["heard_s"] == 30.0
    assert state["sentence"].startswith("No word from the board since ")
    assert [a["id"] for a in state["alarms"]] == ["no_link"]
    rig.run(5)
    rig.quiet(1)
    assert [a["state"] for a in rig.service.now()["alarms"]] == ["returned"]
    rig.service.command("acknowledge", id="no_link")
    assert rig.service.now()["alarms"] == []
    assert rig.line.named("acknowledge") == []


def test_late_rows_and_rows_of_another_cooker_are_not_the_present(rig):
    rig.to_slow().run(5)
    news = rig.service.subscribe()
    old = {**rig.row, "at_s": rig.clock.at_s + 5.0, "seq": 9, "ms": 9, "pit_c": 300.0}
    rig.service.on_records("yard", [{**old, "late": True}])
    rig.service.on_records("shed", [old])
    assert rig.service.now()["number"]["value_c"] == 115.0
    assert [n["type"] for n in list(news.queue)] == ["state"]


def test_a_repeated_row_is_told_once(rig):
    rig.run(3)
    news = rig.service.subscribe()
    rig.service.on_records("yard", [{**rig.row, **rig.stamp(), "seq": rig.seq, "ms": 0}])
    assert news.empty()


def test_the_host_goes_on_with_the_cook_after_a_restart(rig):
    rig.to_slow().run(100)
    before = rig.service.now()
    rig.again()
    rig.run(2)
    after = rig.service.now()
    assert after["cook"] == before["cook"]
    assert after["phase"] == before["phase"]
    assert after["marks"] == before["marks"]
    assert len(rig.line.named("mode")) == len([a for n, a in rig.line.sent if n == "mode"])
    rig.run(5, core_c=[57.5, 5.0])
    assert rig.service.now()["next"]["title"].startswith("Pull the tempered chop")
    rig.answer("pull")
    (first, _) = rig.store.pieces(after["cook"]["id"])
    assert first["pulled_s"]


def test_a_mark_is_kept_shown_and_taken_back(rig):
    rig.to_slow()
    cook_id = rig.service.now()["cook"]["id"]
    mark_id = rig.service.mark("stone_face", 262.0, minutes_ago=2.0)
    state = rig.service.now()
    assert str(state["last"]["text"]) == "Stone face 262\u00a0°C marked"
    assert state["last"]["undo"] == {"mark_id": mark_id}
    shown = next(m for m in state["marks"] if m["id"] == mark_id)
    assert (str(shown["label"]), shown["at_s"]) == ("Stone face 262\u00a0°C", rig.clock.at_s - 120.0)
    rig.service.undo(mark_id)
    assert not [m for m in rig.service.now()["marks"] if m["id"] == mark_id]
    assert mark_id not in [m["id"] for m in rig.store.marks(cook_id)]
    with pytest.raises(UserError, match="nothing was taken back"):
        rig.service.undo(mark_id)


def test_a_vent_marked_by_hand_is_told_to_the_board(rig):
    rig.to_slow()
    rig.service.mark("vent_top", 0.5)
    assert rig.line.named("vent")[-1] == {"vent": "top", "opening": 0.5}
    marks = [m for m in rig.service.now()["marks"] if m["kind"] == "vent_top"]
    assert [m["label"] for m in marks] == ["Top vent 1/4", "Top vent 1/2"]


def test_pulled_marked_by_hand_is_the_deed(rig):
    rig.to_slow()
    rig.service.mark("pulled", text="Cold chop")
    assert rig.line.named("pulled") == [{"index": 1}]
    assert [m["text"] for m in rig.service.now()["marks"] if m["kind"] == "pulled"] == ["B"]


@pytest.mark.parametrize(
    ("kind", "value", "text", "ago"),
    [
        ("flying", None, "", 0.0),
        ("gains", None, "", 0.0),
        ("vent_top", None, "", 0.0),
        ("vent_top", 2.0, "", 0.0),
        ("stone_face", "hot", "", 0.0),
        ("note", None, " ", 0.0),
        ("note", None, "x" * 501, 0.0),
        ("lit", None, "", -1.0),
        ("lit", None, "", float("nan")),
    ],
)
def test_a_mark_that_is_wrong_is_refused_and_nothing_is_kept(rig, kind, value, text, ago):
    rig.to_slow()
    before = len(rig.service.now()["marks"])
    with pytest.raises(UserError, match="would be right"):
        rig.service.mark(kind, value, text, ago)
    assert len(rig.service.now()["marks"]) == before


@pytest.mark.parametrize(
    "act",
    [
        lambda s: s.mark("lit"),
        lambda s: s.answer("light-1", True),
        lambda s: s.command("bank"),
        lambda s: s.end_cook(),
        lambda s: s.command("acknowledge", id="pull"),
        lambda s: s.command("snooze", id="pull"),
        lambda s: s.start_cook("version = 3"),
    ],
)
def test_without_a_cook_each_act_is_refused_in_a_line(rig, act):
    with pytest.raises(UserError) as refused:
        act(rig.service)
    assert "\n" not in str(refused.value)


def test_one_cook_at_a_time(rig):
    rig.to_slow()
    with pytest.raises(UserError, match="still running"):
        rig.service.start_cook(load_plan("hold"))


def test_putting_out_is_taken_back_only_at_the_cooker(rig):
    rig.to_slow()
    rig.run(400)
    rig.service.command("bank")
    assert rig.service.now()["last"]["undo"] == {"command": "go_back", "args": {}}
    rig.run(2)
    with pytest.raises(UserError, match="at the cooker"):
        rig.service.command("go_back")
    rig.service.command("go_back", at_cooker=True)
    rig.run(2)
    assert rig.service.now()["phase"]["name"] == "slow"


def test_an_order_that_found_no_board_is_sent_when_it_is_heard_again(rig):
    rig.to_slow()
    rig.line.down = True
    rig.service.command("vent", vent="top", opening=0.75)
    assert "nothing was sent" in rig.service.now()["last"]["text"]
    rig.line.down = False
    rig.run()
    assert rig.line.named("vent")[-1] == {"vent": "top", "opening": 0.75}


@pytest.mark.parametrize(("minutes", "sent"), [(4, 1), (6, 0)])
@pytest.mark.parametrize(
    ("name", "args"), [("target", {"target_c": 140.0, "at_cooker": True}), ("acknowledge", {"id": "pit_sensor"})]
)
def test_what_was_said_at_the_cooker_or_of_an_alarm_waits_five_minutes_at_most(rig, name, args, minutes, sent):
    # Seen before: after two hours without a link the board got "at the cooker" anew, and went up to 140 degC.
    rig.to_slow()
    rig.service.on_alert("yard", "pit_sensor", {"kind": "pause"})
    rig.line.down = True
    rig.service.command(name, **args)
    rig.quiet(60 * minutes)
    rig.line.down = False
    rig.run(5)
    assert len(rig.line.named(name)) == sent


def test_a_target_that_waited_too_long_is_asked_for_at_the_cooker(rig):
    rig.to_slow()
    rig.line.down = True
    rig.service.command("target", target_c=140.0, at_cooker=True)
    rig.quiet(600)
    rig.line.down = False
    rig.run(30)
    assert rig.line.named("target") == []
    rig.answer("go_on")
    assert rig.line.named("mode")[-1]["target_c"] == 140.0


def test_a_refusal_of_the_board_is_told(rig):
    rig.service.on_reply("yard", {"n": 3, "code": "not_now", "text": "stopped for safety: acknowledge first"})
    assert "acknowledge first" in rig.service.now()["last"]["text"]


def test_a_store_that_cannot_write_keeps_no_order_from_the_board(rig):
    rig.to_slow()

    def full(*args, **more):
        raise UserError("the disk is full")

    rig.store.add_phase = full
    rig.service.command("bank")
    assert rig.line.named("mode")[-1] == {"mode": "bank", "phase": "bank"}
    assert rig.service.store_trouble == "the disk is full"


def test_a_listener_that_never_reads_loses_news_and_stops_nobody(rig):
    news = rig.service.subscribe()
    rig.run(2100)
    assert news.full()
    rig.service.unsubscribe(news)
    rig.run(1)


def test_many_threads_at_once_are_taken_one_after_another(rig):
    rig.to_slow()
    troubles = []

    def press(k):
        try:
            for _ in range(10):
                rig.service.mark("note", text=f"note {k}")
                rig.service.now()
        except Exception as error:
            troubles.append(error)

    threads = [threading.Thread(target=press, args=(k,)) for k in range(4)]
    for thread in threads:
        thread.start()
    rig.run(20)
    for thread in threads:
        thread.join()
    assert troubles == []
    assert len([m for m in rig.service.now()["marks"] if m["kind"] == "note"]) == 40


def test_health_says_what_is_healthy(rig):
    rig.run(2)
    report = rig.service.health()
    assert {check["name"]: check["ok"] for check in report["checks"]} == {
        "board": True,
        "store": True,
        "alarms": True,
        "notices": False,
        "watched": True,
        "calibration": True,
    }
    assert report["versions"]["database"]


def test_health_says_what_a_board_adds_to_its_probes(rig):
    rig.run(2)
    rig.service.live.info = {"sensors": {"offsets": {"pit": {"k": -0.8, "date": "2026-05-01"}, "food1": {"k": "much"}}}}
    texts = {check["name"]: check["text"] for check in rig.service.health()["checks"]}
    assert texts["calibration"] == "food1 an offset that is no number, pit -0.80 K since 2026-05-01"
    rig.service.live.info = {"sensors": {"offsets": 3}}
    texts = {check["name"]: check["text"] for check in rig.service.health()["checks"]}
    assert texts["calibration"] == "no probe has an offset"


def test_the_order_line_gives_the_cooker_to_ingest():
    calls = []
    ingest = SimpleNamespace(send_order=lambda *args: calls.append(args) or 7)
    assert OrderLine(ingest, "yard").send_order(Order("lid", {"open": True}, "plan")) == 7
    assert calls == [("yard", Order("lid", {"open": True}, "plan"))]


def test_an_order_keeps_who_wanted_it(rig):
    calls = []
    ingest = SimpleNamespace(send_order=lambda *args: calls.append(args))
    rig.service.link_out = OrderLine(ingest, "yard")
    rig.service.start_cook(load_plan("two_chops"))
    rig.run()
    rig.service.answer(rig.service.prompts()[0].id, at_cooker=True)
    rig.run(70, pit_c=115.0, mode="hold", phase="light", target_c=115.0)
    assert [(order.name, order.author) for _, order in calls if order.name == "mode"] == [
        ("mode", "person"),
        ("mode", "plan"),
    ]


def test_an_order_that_waited_keeps_who_wanted_it(rig):
    calls, down = [], [True]

    def send_order(*order):
        if down[0]:
            raise UserError("cooker yard: nothing was sent. The board has not been heard yet.")
        calls.append(order)

    rig.to_slow()
    rig.service.link_out = OrderLine(SimpleNamespace(send_order=send_order), "yard")
    rig.service.command("vent", vent="top", opening=0.75)
    down[0] = False
    rig.run()
    assert ("yard", Order("vent", {"vent": "top", "opening": 0.75}, "person")) in calls


def test_sear_on_it_as_it_is_acknowledges_the_climb_that_ran_its_time(rig):
    rig.to_slow().run(5, core_c=[58.0, 58.0])
    rig.answer("pull")
    rig.answer("pull")
    rig.answer("open_vent")
    rig.answer("start_climb")
    rig.service.on_alert("yard", "drive_too_long", {"kind": "notice", "value": 240.0, "limit": 270.0})
    rig.run(2702, stone_c=240.0)
    rig.answer("climb_over")
    assert rig.line.named("acknowledge") == [{"id": "drive_too_long"}]


def test_a_relay_test_is_ordered_in_the_slow_phase_and_ended_at_any_time(rig):
    rig.service.start_cook(load_plan("two_chops"))
    rig.run()
    with pytest.raises(UserError, match="nothing is held calmly"):
        rig.service.command("relay")
    rig.service.end_cook()
    rig.to_slow()
    rig.service.command("relay")
    rig.service.command("relay", on=False)
    assert rig.line.named("relay") == [{"on": True}, {"on": False}]
    with pytest.raises(UserError, match="true or false"):
        rig.service.command("relay", on="yes")


def test_gains_can_be_sent_without_a_cook_inside_the_boards_bounds(rig):
    rig.run()
    rig.service.command("gains", kp=0.05, ti_s=700.0)
    assert rig.line.named("gains") == [{"kp": 0.05, "ti_s": 700.0}]
    assert "until it starts anew" in rig.service.last["text"]
    with pytest.raises(UserError, match="kp"):
        rig.service.command("gains", kp=9.0)
    rig.line.down = True
    rig.service.command("gains", kp=0.04)
    assert "nothing was sent" in rig.service.last["text"]


def test_a_target_is_taken_back_downwards_at_once_and_upwards_only_by_somebody_there(rig):
    rig.to_slow()
    rig.run()
    before_c = rig.service.now()["phase"]["target_c"]
    rig.service.command("target", target_c=before_c - 6.0)
    assert str(rig.service.last["text"]) == f"Target {before_c - 6:.0f}\u00a0°C"
    assert rig.service.last["undo"] == {"command": "target", "args": {"target_c": before_c}}
    rig.clock.at_s += 600.0
    rig.run()
    with pytest.raises(UserError, match="needs you at the cooker"):
        rig.service.command("target", target_c=before_c)
    rig.service.command("target", target_c=before_c, at_cooker=True)
    rig.service.command("target", target_c=before_c - 6.0)
    assert rig.service.now()["phase"]["target_c"] == before_c - 6.0


def test_a_value_that_was_read_while_the_board_was_silent_has_the_time_at_which_it_was_read(rig):
    """Seen before: a piece "reached 57 at 18:17" after two hours without a link, at 65 by then."""
    rig.to_slow().run(5)
    row = rig.service.live.row
    rig.clock.at_s += 3600.0
    alert = {"kind": "notice", "value": 57.0, "limit": 57.0, "boot": row["boot"], "since_ms": row["ms"] + 600_000}
    rig.service.on_alert("yard", "pull", alert)
    read = time.strftime("%H:%M", time.localtime(row["at_s"] + 600.0))
    said = str(rig.service.alarms.rows(rig.clock.at_s, None)[0]["cause"])
    assert said == f"A piece reached its pull temperature: 57\u00a0°C at {read}"
