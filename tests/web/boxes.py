"""What a page's boxes do, in the browser: text cut off, laid over other text or out of sight, and its contrast.

Each script gives a list of sentences, empty where all is well. Contrast is WCAG 2.2's (1.4.3 and 1.4.6).
"""

from __future__ import annotations

from pathlib import Path

_ALL = Path(__file__).with_name("boxes.js").read_text(encoding="utf-8")


def _script(name: str) -> str:
    return f"() => {{ {_ALL}\nreturn {name}(); }}"


CUT, LAID_OVER, UNDER_BAR, FAINT = (_script(name) for name in ("cut", "laidOver", "underBar", "faint"))

# From the page's first moment on: every shift that no tap caused, with what moved. WATCHED gives them and forgets them.
WATCH = """(() => { window.moved = []; new PerformanceObserver(list => {
  const at = r => `${Math.round(r.x)},${Math.round(r.y)}`;
  const name = n => (n?.nodeType === 3 ? n.parentElement : n)?.id || n?.className || n?.nodeName || 'what is gone';
  for (const e of list.getEntries()) if (!e.hadRecentInput) window.moved.push(...e.sources.map(s =>
    `${e.value.toFixed(4)} ${name(s.node)} ${at(s.previousRect)} to ${at(s.currentRect)}`));
}).observe({type: 'layout-shift', buffered: true}); })()"""
WATCHED = "() => window.moved.splice(0)"
