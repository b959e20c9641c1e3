"""What is healthy and what is not, for the page and `doctor`: checks with a sentence each, counts, versions."""

from __future__ import annotations

from importlib import metadata
from typing import Any

from emberdraft.daemon.watched import sentence
from emberdraft.store import StoreError

Row = dict[str, Any]


def report(service: Any, now_s: float) -> Row:
    """{checks: [{name, ok, text}], counts: {...}, versions: {...}}; `service.more_health` adds the link's own."""
    more: Row = service.more_health() if service.more_health is not None else {}
    counts, store_check = _store(service)
    return {
        "checks": [
            _board(service, now_s),
            {"name": "watched", "ok": True, "text": sentence(service.live.info)},
            _probes(service),
            store_check,
            *_raw(service),
            _alarms(service),
            _notices(service),
            *more.get("checks", []),
        ],
        "counts": {**counts, **more.get("counts", {})},
        "versions": {**_versions(service), **more.get("versions", {})},
    }


def _board(service: Any, now_s: float) -> Row:
    link = service.live.link_row(now_s)
    heard = "never" if link["heard_s"] is None else f"{link['heard_s']:.1f} s ago"
    return {"name": "board", "ok": link["state"] == "online", "text": f"{link['text']}; last reading {heard}"}


def _probes(service: Any) -> Row:
    """What the board adds to its probes' readings, and since when."""
    offsets = (service.live.info or {}).get("sensors", {}).get("offsets")
    rows = offsets.items() if isinstance(offsets, dict) else ()
    told = [_offset(name, row) for name, row in rows if isinstance(row, dict)]
    return {"name": "calibration", "ok": True, "text": ", ".join(sorted(told)) or "no probe has an offset"}


def _offset(name: str, row: Row) -> str:
    by_k, date = row.get("k"), row.get("date")
    told = f"{by_k:+.2f} K" if isinstance(by_k, int | float) else "an offset that is no number"
    return f"{name} {told}" + (f" since {date}" if date else "")


def _store(service: Any) -> tuple[Row, Row]:
    try:
        counts = service.store.counts()
    except StoreError as error:
        return {}, {"name": "store", "ok": False, "text": service.store.trouble or str(error)}
    if service.store.trouble:
        return counts, {"name": "store", "ok": False, "text": service.store.trouble}
    return counts, {"name": "store", "ok": True, "text": f"{counts.get('reading', 0)} readings kept"}


def _raw(service: Any) -> list[Row]:
    """Rows of this cooker that came and could not be read: none is lost, none can be shown."""
    try:
        kept = service.store.raw_kept(service.cooker)
    except StoreError:
        return []  # said above
    if not kept["rows"]:
        return []
    text = (
        f"{kept['rows']} rows could not be read and are kept as they came ({kept['bytes'] / 1e6:.1f} MB); "
        f"a later release reads them again; the last: {kept['reason']}"
    )
    return [{"name": "messages, kept raw", "ok": False, "text": text}]


def _alarms(service: Any) -> Row:
    shown = service.alarms.desk.shown()
    text = ", ".join(alarm.id for alarm in shown) or "none"
    return {"name": "alarms", "ok": not shown, "text": text}


def _notices(service: Any) -> Row:
    ok, text = service.notices.check()
    return {"name": "notices", "ok": ok, "text": text}


def _versions(service: Any) -> Row:
    info = service.live.info or {}
    try:
        host = metadata.version("emberdraft")
    except metadata.PackageNotFoundError:
        host = "not installed"
    return {"host": host, "firmware": info.get("firmware"), "database": service.store.about().get("step")}
