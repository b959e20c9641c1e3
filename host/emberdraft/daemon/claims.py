"""The claims of one host on its cookers: heard, renewed, and what a person is told when another host keeps one."""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path

from emberboard.link import messages
from emberdraft.daemon.keeper import DECODER, TOPIC, Keeper, host_id
from emberdraft.daemon.line import BrokerLine, Message
from emberdraft.errors import UserError


class Claims:
    """All claims go over one line to the broker, which keeps them. `record`: whose host this is."""

    def __init__(self, line: BrokerLine, record: Path) -> None:
        self._line = line
        self._host, self._name = host_id(record), str(record)
        self._keepers: dict[str, Keeper] = {}
        self._since_s: float | None = None
        self._told: dict[str, str] = {}

    def of(self, cooker: str) -> Keeper:
        """The claim on a cooker."""
        self._follow_line()
        if cooker not in self._keepers:
            made = Keeper(self._host, self._name)
            made.connected(self._since_s)
            self._keepers.setdefault(cooker, made)
        return self._keepers[cooker]

    def hear(self, cooker: str, message: Message) -> None:
        """A claim on a cooker came. Raises msgspec.MsgspecError for a malformed one."""
        claim = DECODER.decode(message.payload) if message.payload else None
        self.of(cooker).hear(claim, self._line.steady())

    def holds(self, cooker: str) -> bool:
        """May this host acknowledge to this board, and order it?"""
        return self.of(cooker).holds(self._line.steady())

    def take_over(self, cooker: str) -> None:
        """A person wants the cooker kept here from now on."""
        self.of(cooker).take_over()

    def check(self, cooker: str, name: str, args: dict[str, object]) -> None:
        """UserError if another host keeps the cooker; putting the fire out is everybody's."""
        if (name, args.get("mode")) == ("mode", "bank"):
            return
        while self.of(cooker).settling(self._line.steady()):
            time.sleep(0.05)
        if not self.holds(cooker):
            why = self.sentence(cooker) or self._line.trouble or "The broker has just been reached; try again"
            raise UserError(f"cooker {cooker}: nothing was sent. {why}")

    def sentence(self, cooker: str) -> str:
        """'' or who keeps the cooker instead."""
        other = self.of(cooker).other(self._line.steady())
        if other is None:
            return ""
        return (
            f"Another host keeps {cooker} ({other.name or other.host}): this one acknowledges and orders nothing, but "
            "can put the fire out. End that one, or take over here: emberdraft serve --take-over"
        )

    def tend(self, cookers: list[str]) -> Iterator[tuple[str, str]]:
        """Renew what is ours; (cooker, sentence) where another has come or gone."""
        for cooker in cookers:
            payload = self.of(cooker).due(self._line.steady())
            if payload is not None:
                self._line.publish(messages.topic(cooker, TOPIC), payload, 1, retain=True)
            now = self.sentence(cooker)
            if now != self._told.get(cooker, ""):
                self._told[cooker] = now
                yield cooker, now or f"{cooker} is kept here: this host acknowledges and orders"

    def _follow_line(self) -> None:
        """A new connection: what was ours may have passed to another meanwhile."""
        since_s = self._line.since_s
        if since_s != self._since_s:
            self._since_s = since_s
            for keeper in list(self._keepers.values()):
                keeper.connected(since_s)
