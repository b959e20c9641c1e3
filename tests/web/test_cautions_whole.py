"""The cautions of the fire are whole on every screen: measured in a browser, over the real service."""

from __future__ import annotations

from typing import Any

import pytest

from emberdraft.daemon.plan import load_plan
from tests.web.real_host import Host
from tests.web.test_page import Visit

PHONES = [(320, 640), (360, 740), (390, 844), (768, 1024)]
DESKS = [(1000, 720), (1024, 768), (1280, 720), (1440, 900), (1920, 1080)]

# The document may be scrolled, as a person would; the column beside the strip may not. Where a point of the caution's
# box is cut off or covered, something else answers there.
HIDDEN = """(words) => {
  const shown = [...document.querySelectorAll('.caution p')].filter(p => p.checkVisibility());
  const line = shown.find(p => p.textContent.includes(words));
  if (!line) return 'not there';
  scrollTo(0, scrollY + line.getBoundingClientRect().top - 80);
  const box = line.getBoundingClientRect(), hidden = [];
  for (let y = box.top + 1; y < box.bottom; y += 4)
    for (const x of [box.left + 1, (box.left + box.right) / 2, box.right - 1])
      if (!line.contains(document.elementFromPoint(x, y))) hidden.push([Math.round(x), Math.round(y)]);
  return hidden.length ? `${hidden.length} points of ${Math.round(box.height)} px, the first at ${hidden[0]}` : '';
}"""

IN_THE_LIGHT = ("carbon monoxide", "emergency number", "Never liquid fuel", "extinguisher")


@pytest.mark.parametrize("size", PHONES + DESKS, ids=lambda size: f"{size[0]}x{size[1]}")
def test_in_the_light_phase_every_caution_is_whole(host: Host, chromium: Any, size: tuple[int, int]) -> None:
    host.service.start_cook(load_plan("two_chops"))
    host.reading()
    visit = Visit(chromium, host.server.url, size, "light")
    page = visit.go()
    asked = {words: page.evaluate(HIDDEN, words) for words in IN_THE_LIGHT}
    host.service.answer(host.service.now()["next"]["id"], True)
    host.reading(mode="hold", phase="light", target_c=115.0, duty=1.0, why="full_air", pit_c=31.5)
    page.wait_for_selector("#value >> text=31.5")
    page.wait_for_selector("#caution .caution")
    lit = {words: page.evaluate(HIDDEN, words) for words in IN_THE_LIGHT}
    visit.close()
    assert asked == lit == dict.fromkeys(IN_THE_LIGHT, "")
