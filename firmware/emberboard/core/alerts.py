"""Pauses, trips and notices by their ids: raised once, kept until dealt with.

States follow ISA-18.2 in plain form: active and unacknowledged, active and acknowledged, over
but unacknowledged, gone. A pause or notice goes when it is over and acknowledged; a trip is
latched and needs the acknowledgement too, whatever becomes of its cause.
"""

from .words import ALERTS


class Alert:
    """Kind 'pause', 'trip' or 'notice'; `active` is whether its cause is still there."""

    def __init__(self, kind, value, limit, since_ms):
        self.kind = kind
        self.value = value
        self.limit = limit
        self.since_ms = since_ms
        self.acknowledged = False
        self.active = True

    def stops(self):
        """Whether it takes the air away now: a trip always, a pause while its cause lasts."""
        return self.kind == "trip" or (self.kind == "pause" and self.active)


class AlertBook:
    """At most one alert for each id of words.ALERTS; `tell` is called on every change."""

    def __init__(self, tell):
        self.alerts = {}
        self._tell = tell

    def put(self, name, kind, value, limit, now_ms):
        """The cause of `name` is there now. A cause that comes back asks for attention again."""
        alert = self.alerts.get(name)
        if alert is None:
            if name in ALERTS:
                self.alerts[name] = Alert(kind, value, limit, now_ms)
                self._tell("alert", value, limit, name)
        elif not alert.active:
            alert.active = True
            if alert.acknowledged:
                alert.acknowledged = False
                alert.value = value
                alert.since_ms = now_ms
                self._tell("alert", value, limit, name)

    def over(self, name, keep=True):
        """The cause of `name` is gone; `keep` leaves it until it is acknowledged."""
        alert = self.alerts.get(name)
        if alert is None:
            return
        alert.active = False
        if alert.acknowledged or not keep:
            self._drop(name)

    def acknowledge(self, name):
        """A person has seen it (`all` for every one); return whether there was anything."""
        names = list(self.alerts) if name == "all" else [name]
        found = False
        for one in names:
            alert = self.alerts.get(one)
            if alert is not None:
                found = True
                alert.acknowledged = True
                self._tell("acknowledged", alert.value, alert.limit, one)
                if not alert.active:
                    self._drop(one)
        return found

    def any_of(self, kind):
        """Whether a pause, or a trip, is in force: a pause only while its cause lasts."""
        if not self.alerts:
            return False
        for alert in self.alerts.values():
            if alert.kind == kind and (alert.active or kind == "trip"):
                return True
        return False

    def stops(self):
        """Whether any of them takes the air away."""
        return self.any_of("trip") or self.any_of("pause")

    def latched(self):
        """Ids of trips, to be stored and handed back after a restart."""
        return [name for name, alert in self.alerts.items() if alert.kind == "trip"]

    def unheard(self):
        """Whether anything is still unacknowledged."""
        if not self.alerts:
            return False
        for alert in self.alerts.values():
            if not alert.acknowledged:
                return True
        return False

    def _drop(self, name):
        alert = self.alerts.pop(name)
        self._tell("alert_clear", alert.value, alert.limit, name)
