"""The application: once a second sensors, controller, interlocks, outputs; beside it the link.

Control never waits for the network: the two are tasks of their own, and the link's poll takes a
few milliseconds whatever the other side does.
"""

import asyncio
import gc
import sys

from . import permit
from .core.controller import Controller, Inputs
from .keep import MOST_FAILED

RUNNING = ("hold", "drive", "bank")
PERIOD_MS = 1000
NEAR_MS = 20
LINK_MS = 100
LINK_REST_MS = 30000  # after an exception in the link
TRIAL_MS = 60000  # a new tree that lived this long stays
PROVEN_MS = 300000  # a start that lived this long has not failed


class App:
    """`parts` is a Board, `session` the link's (None without a broker).

    `troubles` are of the settings, `damage` names files that are not as they were put here; either
    keeps the blower off for as long as this start lasts. `notes` are only told.
    The lid button takes the air away in its interrupt; the next step tells the controller.
    """

    def __init__(self, parts, uptime, spool, keep, troubles=(), notes=(), damage=()):
        self.parts = parts
        self.uptime = uptime
        self.spool = spool
        self.keep = keep
        self.troubles = troubles
        self.damage = damage
        self.notes = notes
        self.session = None
        parts.button.on_press = parts.blower.off
        self.inputs = Inputs(len(parts.probes))
        self.controller = Controller(len(parts.probes), parts.limits)
        self.proof = permit.Proof()
        self.permit = permit.Permit(parts.blower, parts.ticks_ms, parts.ticks_diff)
        self.link_failures = 0
        self.link_rests_ms = 0
        self.late = 0  # periods that began late by a whole period or more

    def begin(self, feed, cause):
        """What the last boot left, what is wrong now, and that we are here.

        `feed` feeds the watchdog; `cause` says in a word why the board has started.
        """
        self.proof.feed = feed
        now_ms = self.uptime.ms()
        if self.keep.mode in RUNNING:
            self.spool.add_event(now_ms, "boot", None, None, "was " + self.keep.mode)
        self.spool.add_event(now_ms, "boot", self.keep.failed, None, cause)
        trips = [name for name in self.keep.trips if name != "settings_bad"]
        if self.keep.failed >= MOST_FAILED or self.keep.damaged:
            trips.append("boot_failed")
        for line in tuple(self.troubles) + tuple(self.notes):
            self.spool.add_event(now_ms, "boot", None, None, line)
        self.controller.restore_latched(trips, now_ms)
        for name in self.damage:
            self.spool.add_event(now_ms, "boot", None, None, "damaged " + name)
        for wrong, trip in ((self.damage, "firmware_bad"), (self.troubles, "settings_bad")):
            if wrong:  # never over while this start lasts
                self.controller.book.put(trip, "trip", None, None, now_ms)
        if self.keep.mode == "bank":  # takes no person: it gives no air, and the cooker stays shut
            self.controller.order("mode", {"mode": "bank", "phase": "bank"}, now_ms)
        self.parts.sensing.configure()

    async def run(self):
        """Both tasks, for ever: an exception in either ends the application."""
        link = asyncio.create_task(self.talk())
        try:
            await self.control(link)
        finally:
            self.parts.blower.off()
            self.spool.keep(1)

    # ---- control -----------------------------------------------------------------------------

    async def control(self, link):
        """One step a second; a step that is late is skipped, never made up for."""
        due_ms = self.uptime.ms()
        while True:
            await self.step(due_ms)
            gc.collect()
            if link.done():
                await link  # raises what ended it
                raise RuntimeError("the link's task has ended")
            due_ms += PERIOD_MS
            wait_ms = due_ms - self.uptime.ms()
            if wait_ms < 0:
                self.late += 1
                due_ms -= wait_ms
            await asyncio.sleep_ms(max(0, wait_ms))

    async def step(self, due_ms):
        """Sensors, control and interlocks, outputs; only then food for the watchdog."""
        self.proof.begin()
        tach = self.parts.tach
        if tach is not None:
            tach.begin()
        await self.parts.sensing.fill(self.inputs)
        if tach is not None:
            self.inputs.tach_rpm = tach.read()
        self.inputs.lid_button = self.parts.button.take()
        self.inputs.lid_held = self.parts.button.take_held()
        self.proof.did(permit.SENSOR)
        now_ms = self._stamp(due_ms)
        outputs = self._decide(now_ms)
        self._put_out(now_ms, outputs)
        self._record(now_ms, outputs)
        if self.proof.settle():
            self.permit.renew()
        self.spool.keep()

    def _stamp(self, due_ms):
        """The time of this sample: as planned when the board is no more than a little off.

        A millisecond that the link's task took is no delay of the fire: so control is the same to
        the bit with a network and without.
        """
        now_ms = self.uptime.ms()
        planned_ms = due_ms + self.parts.sensing.takes_ms
        return planned_ms if abs(now_ms - planned_ms) <= NEAR_MS else now_ms

    def _decide(self, now_ms):
        """The controller's step; its guard's word must be of this very step."""
        outputs = self.controller.tick(now_ms, self.inputs)
        self.proof.did(permit.CONTROL)
        if self.controller.guard.verdict.at_ms == now_ms:
            self.proof.did(permit.INTERLOCK)
        return outputs

    def _put_out(self, now_ms, outputs):
        """The guard's word is asked here once more: without a fresh one there is no air."""
        parts, verdict = self.parts, self.controller.guard.verdict
        air = 0.0 if self.troubles else verdict.of(now_ms, outputs.duty)
        parts.blower.set(outputs.drive if air > 0.0 else 0.0)
        if parts.damper is not None:
            parts.damper.set(outputs.opening)
        parts.signal.sound = outputs.alarm_sound
        parts.signal.light = outputs.light
        self.proof.did(permit.OUTPUT)

    def _record(self, now_ms, outputs):
        self.spool.add_reading(now_ms, outputs, self.inputs)
        mode = self.keep.mode  # until another is ordered: power may fail twice before that
        for kind, value, limit, text in self.controller.events:
            self.spool.add_event(now_ms, kind, value, limit, text)
            mode = text if kind == "mode" else mode
        self.controller.events.clear()
        failed = 0 if now_ms >= PROVEN_MS else self.keep.failed
        self.keep.note(self.controller.latched(), failed, 0, mode)
        if now_ms >= TRIAL_MS:
            self.keep.passed()

    # ---- link and signals --------------------------------------------------------------------

    async def talk(self):
        """The link, the buzzer, the light and how long the button is down, ten times a second."""
        while True:
            now_ms = self.uptime.ms()
            self.parts.signal.step(now_ms)
            self.parts.button.watch()
            session = self.session
            if session is not None and now_ms >= self.link_rests_ms:
                self.poll(session, now_ms)
            await asyncio.sleep_ms(LINK_MS)

    def poll(self, session, now_ms):
        """The link's turn. Whatever goes wrong in it ends its connection and not the control."""
        try:
            if self.parts.radio.ready(now_ms):
                session.poll(now_ms)
        except Exception as error:
            self.link_failures += 1
            self.link_rests_ms = now_ms + LINK_REST_MS
            sys.print_exception(error)
            self._hang_up(session)

    def _hang_up(self, session):
        """Begin the next connection from nothing."""
        try:
            session.goodbye()
        except Exception as error:
            sys.print_exception(error)
