"""The running cook: its conductor, and its record in the store. Not thread-safe: the service takes turns."""

from __future__ import annotations

import json
import logging
from typing import Any

from emberdraft.daemon.conductor import Action, Conductor
from emberdraft.daemon.plan import Plan, parse_plan
from emberdraft.errors import UserError
from emberdraft.mark_words import label

log = logging.getLogger(__name__)
Row = dict[str, Any]

MARK_KEYS = ("id", "at_s", "kind", "value", "text")
CHANGES = ("plan", "pull_at")  # marks of a change of the plan
# A mark made by hand that is also the deed of a prompt of this kind: it answers it.
DEED_OF_MARK = {
    "set_up": "set_up",
    "piece_on": "put_on",
    "flipped": "flip",
    "on_stone": "sear_on",
    "off_stone": "take_off",
}


class CookKeeper:
    """`conductor` is None while no cook is running."""

    def __init__(self, store: Any, cooker: str, simulated: bool = False) -> None:
        """`simulated`: the cooker is, so that a plan that does not say so makes no real cook."""
        self.store = store
        self.cooker = cooker
        self.simulated = simulated
        self.conductor: Conductor | None = None
        self.cook_id: int | None = None
        self.cook: Row | None = None
        self.ended = 0
        self.marks: list[Row] = []
        self.last_mark_id = 0
        self._piece_ids: dict[str, int] = {}

    @property
    def running(self) -> bool:
        """Whether a cook is running."""
        return self.conductor is not None

    def begin(self, plan: Plan, name: str, now_s: float) -> int:
        """A new cook in the store, and its conductor."""
        if self.conductor is not None:
            raise UserError(f"cook {self.cook_id} is still running on {self.cooker}; end it before another is begun")
        plan_id = self.store.add_plan(plan.text, plan.name)
        invented = plan.invented or self.simulated
        self.cook_id = int(self.store.begin_cook(self.cooker, name, plan_id, now_s, invented))
        for piece in plan.pieces:
            self._piece_ids[piece.letter] = self._add_piece(self.cook_id, piece)
        self.cook = {"id": self.cook_id, "name": name, "started_s": now_s, "invented": invented}
        self.conductor, self.marks = Conductor(plan), []
        self.save()
        return self.cook_id

    def _replan(self, text: str) -> None:
        """The record's plan is the one that is carried out; a piece that was dropped keeps its row."""
        assert self.cook_id is not None
        plan = parse_plan(text)
        self.store.update_cook(self.cook_id, plan_id=self.store.add_plan(text, plan.name))
        for piece in plan.pieces:
            if piece.letter not in self._piece_ids:
                self._piece_ids[piece.letter] = self._add_piece(self.cook_id, piece)

    def _add_piece(self, cook_id: int, piece: Any) -> int:
        more = {
            "rest_c": float(piece.final_c),
            "mass_kg": None if piece.mass_kg is None else float(piece.mass_kg),
            "thickness_m": None if piece.thickness_m is None else float(piece.thickness_m),
            "initial_c": float(piece.start_c),
        }
        return int(self.store.add_piece(cook_id, piece.letter, piece.name, piece.probe, float(piece.pull_c), **more))

    def resume(self) -> None:
        """Go on with the cook that was running when the host stopped."""
        row = self.store.open_cook(self.cooker)
        if row is None or row.get("plan_id") is None:
            return
        try:
            conductor = Conductor(parse_plan(self.store.plan(row["plan_id"])["text"]))
            saved = self.store.load_state(row["id"])
            if saved:
                conductor.restore(json.loads(saved))
        except (UserError, ValueError) as error:
            log.warning("cook %s cannot be resumed: %s", row["id"], error)
            return
        self.conductor, self.cook_id = conductor, int(row["id"])
        started_s, invented = row["start_s"], bool(row["invented"])
        self.cook = {"id": self.cook_id, "name": row["name"], "started_s": started_s, "invented": invented}
        self._piece_ids = {piece["letter"]: piece["id"] for piece in self.store.pieces(self.cook_id)}
        self.marks = [{key: mark[key] for key in MARK_KEYS} for mark in self.store.marks(self.cook_id)]
        self.last_mark_id = max((mark["id"] for mark in self.marks), default=0)

    def end(self, now_s: float, how: str) -> None:
        """End the cook in the store."""
        if self.cook_id is not None:
            self.save()
            self.store.end_cook(self.cook_id, now_s, how)
            self.ended += 1
        self.conductor, self.cook_id, self.cook, self._piece_ids = None, None, None, {}

    def save(self) -> None:
        """Keep the conductor's state, so that a restart of the host loses nothing."""
        if self.conductor is not None and self.cook_id is not None:
            self.store.save_state(self.cook_id, json.dumps(self.conductor.state()))

    # ---- recording

    def record(self, action: Action, now_s: float) -> None:
        """Write what the conductor did."""
        if self.cook_id is None:
            return
        if action.kind == "mark":
            self.add_mark(action.name, action.args["value"], action.args["text"], now_s)
        elif action.kind == "phase":
            self.store.add_phase(self.cook_id, now_s, action.name, action.args["target_c"])
        elif action.kind == "piece" and action.name in self._piece_ids:
            self.store.update_piece(self._piece_ids[action.name], **action.args)
        elif action.kind == "plan":
            self._replan(action.args["text"])
        elif action.kind == "end":
            self.end(now_s, action.name)

    def add_mark(self, kind: str, value: float | None, text: str, at_s: float, author: str = "person") -> int:
        """Keep a mark."""
        if self.cook_id is None:
            raise UserError("no cook is running; a mark belongs to a cook, start one with a plan first")
        value = None if value is None else float(value)
        mark_id = int(self.store.add_mark(self.cook_id, at_s, kind, value, text, author))
        row = {"id": mark_id, "at_s": at_s, "kind": kind, "value": value, "text": text}
        self.marks.append(row)
        self.last_mark_id = max(self.last_mark_id, mark_id)
        return mark_id

    def undo_mark(self, mark_id: int) -> None:
        """Take a mark of this cook back."""
        found = next((mark for mark in self.marks if mark["id"] == mark_id), None)
        if found is None:
            raise UserError(f"mark {mark_id!r}: not one of this cook's; nothing was taken back")
        self.store.undo_mark(found["id"])
        self.marks.remove(found)

    def swapped_by(self, mark_id: int) -> str:
        """The letters that a mark of this cook swapped, '' when it is no such mark."""
        found = next((mark for mark in self.marks if mark["id"] == mark_id and mark["kind"] == "swap"), None)
        return str(found["text"]) if found is not None else ""

    def newest_change(self, after_id: int = 0) -> int:
        """The mark of the newest change of the plan, 0 where there is none after another mark."""
        return max((m["id"] for m in self.marks if m["kind"] in CHANGES and m["id"] > after_id), default=0)

    def changes_plan(self, mark_id: int) -> bool:
        """Whether the mark is a change of the plan. Refused where it is not the newest: only that is taken back."""
        changes = [mark["id"] for mark in self.marks if mark["kind"] in CHANGES]
        if mark_id in changes and mark_id != changes[-1]:
            raise UserError(f"mark {mark_id}: the plan has been changed since; take back the newest change first")
        return mark_id in changes

    def has_new(self, kind: str, after_id: int) -> bool:
        """Whether a mark of this kind was added after another."""
        return any(mark["kind"] == kind and mark["id"] > after_id for mark in self.marks)

    def newest(self, kind: str) -> int:
        """The id of the newest mark of a kind."""
        return int(max(mark["id"] for mark in self.marks if mark["kind"] == kind))

    def mark_rows(self) -> list[Row]:
        """Marks as the page takes them."""
        return [{**mark, "label": label(mark)} for mark in sorted(self.marks, key=lambda m: (m["at_s"], m["id"]))]

    def vents(self) -> dict[str, Row]:
        """The last mark of each vent."""
        rows = sorted(self.marks, key=lambda m: (m["at_s"], m["id"]))
        return {m["kind"]: m for m in rows if m["kind"] in ("vent_top", "vent_bottom") and m["value"] is not None}

    # ---- marks that are deeds

    def act_of_mark(self, kind: str, value: float | None, text: str, now_s: float) -> list[Action]:
        """What a mark made by hand means to the conductor: a vent, the lid, a piece out, a prompt's deed."""
        conductor = self.conductor
        if conductor is None:
            return []
        if kind in ("vent_top", "vent_bottom"):
            return conductor.command("vent", now_s, vent=kind.removeprefix("vent_"), opening=value)
        if kind in ("lid_open", "lid_shut"):
            return conductor.command("lid", now_s, open=kind == "lid_open")
        if kind == "pulled":
            return self._pulled(conductor, text.strip(), now_s)
        if kind == "pull_at":
            return conductor.command("pull_at", now_s, letter=text.strip(), pull_c=value)
        wanted = DEED_OF_MARK.get(kind)
        prompt = next((p for p in conductor.prompts if p.kind == wanted), None)
        return conductor.answer(prompt.id, now_s) if prompt is not None else []

    def _pulled(self, conductor: Conductor, text: str, now_s: float) -> list[Action]:
        """'A', the piece's name, or nothing at all when only one piece can be meant."""
        inside = conductor.stage.letters("in")
        named = [p.letter for p in conductor.plan.pieces if text and text.lower() in (p.letter.lower(), p.name.lower())]
        letter = named[0] if named else (inside[0] if len(inside) == 1 and not text else "")
        return conductor.command("pulled", now_s, letter=letter) if letter in inside else []
