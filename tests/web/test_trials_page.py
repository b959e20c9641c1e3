"""Trials in a real browser: begun, assigned, weighed, tasted blind on a phone, closed, read; and the dry brine."""

from __future__ import annotations

import base64
import io
import json
import random
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest
from PIL import Image

from emberdraft.cli import main
from emberdraft.store import Store
from emberdraft.trials.deeds import do
from emberdraft.web.app import create_app
from emberdraft.web.server import PageServer
from tests.web.conftest import Kitchen
from tests.web.test_page import DESK, NARROW, PHONE, SHIFT, SMALL, WIDER, Visit

NEW = {
    **{"name": "Chops", "question": "Does a day of salt show?", "treatments": ["plain", "salted"]},
    "pieces": ["1a:1", "1b:1"],
}
NOW_S = 1_790_000_000.0
PNG = base64.b64decode("iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAAAAAA6fptVAAAACklEQVR4nGNoAAAAggCBd81ytgAAAABJRU5ErkJggg==")


def _tasting(store: Store, method: str = "triangle", answers: int = 2) -> int:
    trial = do(store, "new", NEW, NOW_S)["trial"]
    do(store, "assign", {"trial": trial}, NOW_S)
    made: int = do(store, "taste", {"trial": trial, "method": method, "answers": answers}, NOW_S)["tasting"]
    return made


@pytest.fixture(params=[(DESK, "dark"), (PHONE, "light")], ids=["desk", "phone"])
def visit(request: pytest.FixtureRequest, chromium: Any, kitchen: Kitchen) -> Iterator[Visit]:
    made = Visit(chromium, kitchen.url, *request.param)
    yield made
    made.wrong[:] = [words for words in made.wrong if "409" not in words]  # refusals are meant here, and said
    made.close()


def _go(visit: Visit, path: str) -> Any:
    page = visit.go(path)
    page.wait_for_selector("body.ready")
    return page


def _whole(page: Any) -> None:
    """No accessibility violation, nothing too small for a finger, nothing wider than the screen."""
    from axe_playwright_python.sync_playwright import Axe

    assert page.evaluate(WIDER) <= 0
    assert page.evaluate(SMALL) == []
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()


def test_a_trial_is_begun_assigned_weighed_and_tasted(visit: Visit, kitchen: Kitchen) -> None:
    page = _go(visit, "trials")
    assert "No trial yet" in page.inner_text("#none")
    _whole(page)
    page.click("text=New trial")
    page.fill("[name=name]", "Chops")
    page.fill("[name=question]", "Does a day of salt show?")
    page.fill("[name=treatments]", "plain")
    _whole(page)
    page.click("dialog button.main")
    page.wait_for_selector("dialog .result.wrong >> text=two to six")
    page.fill("[name=treatments]", "plain, salted")
    page.fill("[name=blocks]", "2")
    page.click("dialog button.main")
    page.wait_for_selector("#verdict >> text=The lots are not drawn")
    page.click("text=Let chance say who gets what")
    page.click("dialog button.main")
    page.wait_for_selector("#verdict >> text=Nothing to compare yet")
    trial = kitchen.store.trials.whole(1)
    assert trial is not None and all(piece["treatment_id"] for piece in trial["pieces"])
    page.click("#acts >> text=Weigh")
    page.fill("[name=mass]", "412")
    page.click("dialog button.main")
    page.wait_for_selector("dialog .result.wrong >> text=no unit")
    page.fill("[name=mass]", "412 g")
    page.click("dialog button.main")
    page.wait_for_selector("#pieces >> text=raw 412")
    page.click("#acts >> text=Look")
    page.fill("[name=words]", "dry")
    page.set_input_files("[name=photo]", {"name": "chop.png", "mimeType": "image/png", "buffer": PNG})
    page.click("dialog button.main")
    page.wait_for_selector("#days img")
    page.click("#acts >> text=Fridge")
    page.fill("[name=air]", "45F")
    page.click("dialog button.main")
    page.wait_for_selector("#result >> text=4 °C or less")
    page.click("#acts >> text=Taste")
    page.fill("[name=answers]", "6")
    page.click("dialog button.main")
    page.wait_for_selector("#tastings >> text=0 of 6")
    _whole(page)


def test_a_photo_too_large_for_the_record_is_made_smaller_by_the_page(visit: Visit, kitchen: Kitchen) -> None:
    """As a phone gives it: several megabytes, and held on its side."""
    do(kitchen.store, "new", NEW, NOW_S)
    page = _go(visit, "trials/1")
    page.click("#acts >> text=Look")
    page.set_input_files("[name=photo]", {"name": "chop.jpg", "mimeType": "image/jpeg", "buffer": _from_a_phone()})
    page.click("dialog button.main")
    page.wait_for_selector("#days img")
    kind, photo = kitchen.store.trials.photo(1) or ("", b"")
    kept = Image.open(io.BytesIO(photo))
    assert (kind, max(kept.size), kept.height > kept.width) == ("image/jpeg", 1600, True)
    assert 10_000 < len(photo) < 1_500_000 and not kept.getexif()
    _whole(page)


def _from_a_phone() -> bytes:
    noise = Image.frombytes("RGB", (500, 375), random.Random(3).randbytes(500 * 375 * 3)).resize((2000, 1500))
    exif, file = Image.Exif(), io.BytesIO()
    exif[0x0112] = 6  # turn by a quarter to see it upright
    noise.save(file, "JPEG", quality=97, exif=exif)
    assert len(file.getvalue()) > 1_500_000
    return file.getvalue()


def test_tasters_one_after_another_learn_nothing_before_the_close(visit: Visit, kitchen: Kitchen) -> None:
    number = _tasting(kitchen.store)
    page = _go(visit, f"tastings/{number}")
    assert "Which is the odd one?" in page.inner_text("#asked")
    _whole(page)
    for place, serving in enumerate(kitchen.store.trials.tasting(number)["servings"], 1):
        page.wait_for_selector(f"#turn >> text=Taster {place} of 2")
        page.click("text=That is my answer")
        page.wait_for_selector("#result.wrong >> text=Choose one")
        assert "ABB" not in page.content() and '"samples"' not in page.content()
        page.check(f"input[value='{serving['codes'].split()[1]}']")
        page.fill("[name=taster]", f"t{place}")
        page.click("text=That is my answer")
        page.wait_for_selector("#result >> text=Thank you")
        assert page.locator("input[name=code]").count() == 0, "the answer is gone before the phone changes hands"
        if place == 1:
            page.click("text=I am the next taster")
    page.wait_for_selector("#result >> text=Nothing is told before")
    page = _go(visit, "trials/1")
    assert "2 of 2 answered; still open" in page.inner_text("#tastings")
    page.click("#tastings >> text=Close it")
    page.click("dialog button.main")
    page.wait_for_selector("#found >> text=2 answers cannot show a difference")
    page = _go(visit, f"tastings/{number}")
    assert "The tasting is closed." in page.inner_text("#result")
    _whole(page)


def test_five_at_a_table_taste_on_five_phones_at_once(chromium: Any, kitchen: Kitchen) -> None:
    """Each has a place and codes of its own; who comes sixth is told, and gets the place that is given back."""
    number = _tasting(kitchen.store, answers=5)
    visits = [Visit(chromium, kitchen.url, PHONE, "light") for _ in range(6)]
    pages = [_go(visit, f"tastings/{number}") for visit in visits]
    assert [re.findall(r"Taster (\d) of 5", page.inner_text("#turn")) for page in pages[:5]] == [[n] for n in "12345"]
    assert "Every place is taken" in pages[5].inner_text("#result")
    pages[4].reload()
    pages[4].wait_for_selector("#turn >> text=Taster 5 of 5")  # its own plate again
    pages[4].click("text=give my place back")
    pages[5].click("text=I am the next taster")
    pages[5].wait_for_selector("#turn >> text=Taster 5 of 5")
    _whole(pages[5])
    for page in [*pages[:4], pages[5]]:
        page.check("input[name=code] >> nth=0")
    for page in [*pages[:4], pages[5]]:
        page.click("text=That is my answer")
    for page in [*pages[:4], pages[5]]:
        page.wait_for_selector("#result >> text=Thank you")
    served = kitchen.store.trials.tasting(number)["servings"]
    assert all(serving["at_s"] is not None for serving in served)
    for visit in visits:
        visit.close()


def test_the_reference_of_a_duo_trio_cannot_be_chosen(visit: Visit, kitchen: Kitchen) -> None:
    number = _tasting(kitchen.store, "duo-trio")
    page = _go(visit, f"tastings/{number}")
    reference = kitchen.store.trials.tasting(number)["servings"][0]["codes"].split()[0]
    assert reference in page.inner_text(".code.reference")
    assert page.locator("input[name=code]").count() == 2
    _whole(page)


def test_two_phones_cannot_give_one_taster_two_answers(visit: Visit, kitchen: Kitchen) -> None:
    number = _tasting(kitchen.store)
    page = _go(visit, f"tastings/{number}")
    code = kitchen.store.trials.tasting(number)["servings"][0]["codes"].split()[0]
    do(kitchen.store, "answer", {"tasting": number, "code": code}, NOW_S)
    page.check(f"input[value='{code}']")
    page.click("text=That is my answer")
    page.wait_for_selector("#result.wrong >> text=given before")
    assert "Taster 2 of 2" in page.inner_text("#turn")


def test_the_dry_brine_is_worked_out_and_has_an_address(visit: Visit) -> None:
    page = _go(visit, "brine?mass=454g&thickness=35mm&dose=1%25&hours=48")
    assert "4.54 g of salt" in page.inner_text("#plan")
    assert page.locator(".salt path").count() == 3
    _whole(page)
    page.fill("[name=fridge]", "8C")
    page.click("text=Work it out")
    page.wait_for_selector(".caution >> text=too warm")
    page = _go(visit, "brine?mass=454")
    assert "no unit" in page.inner_text("#result.wrong")


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    db = tmp_path_factory.mktemp("demo") / "demo.sqlite"
    assert main(["trial", "demo", "--cooks", "1", "--db", str(db)]) == 0
    return db


def test_the_demonstrations_trial_on_every_screen(demo: Path, chromium: Any, kitchen: Kitchen) -> None:
    with Store(demo) as store:
        server = PageServer(create_app(kitchen.service, store)).start()
        for size, theme in ((DESK, "light"), (PHONE, "dark"), (NARROW, "light")):
            visit = Visit(chromium, server.url, size, theme)
            page = _go(visit, "trials/1")
            assert page.evaluate(SHIFT) < 0.02
            assert page.locator("#found .forest").count() == 5
            assert "This could not show it: 2 pairs" in page.inner_text("#verdict")
            _whole(page)
            visit.close()
        answer = httpx.get(f"{server.url}api/trials/1/report.html")
        assert "attachment" in answer.headers["content-disposition"] and "<h2>Limits</h2>" in answer.text
        server.stop()


def test_a_photo_is_served_as_what_it_is(kitchen: Kitchen) -> None:
    do(kitchen.store, "new", NEW, NOW_S)
    photo = base64.b64encode(PNG).decode()
    made = kitchen.post("/api/trials/do", {"deed": "look", "args": {"trial": 1, "words": "dry", "photo": photo}}).json()
    answer = kitchen.http.get(f"/api/looks/{made['look']}/photo")
    assert (answer.headers["content-type"], answer.content) == ("image/png", PNG)
    assert kitchen.http.get("/api/looks/99/photo").status_code == 404


@pytest.mark.parametrize(
    ("path", "status"),
    [
        *(("/trials/9", 404), ("/tastings/9", 404), ("/api/trials/9", 404), ("/api/tastings/9", 404)),
        *(("/api/tastings/9/sheet", 409), ("/api/brine?mass=454", 400), ("/api/brine?hours=long", 400)),
    ],
)
def test_what_is_not_there_or_cannot_be_says_so(shared: Kitchen, path: str, status: int) -> None:
    answer = shared.http.get(path)
    assert answer.status_code == status and answer.json()["error"]["what"]


def test_a_deed_that_cannot_be_is_a_refusal_in_one_line(kitchen: Kitchen) -> None:
    answer = kitchen.post("/api/trials/do", {"deed": "weigh", "args": {"trial": 1}})
    assert answer.status_code == 409 and "\n" not in answer.json()["error"]["what"]
    assert kitchen.post("/api/trials/do", {"deed": "win", "args": {}}).status_code == 409


def test_an_open_tasting_gives_nothing_away_by_any_address(kitchen: Kitchen) -> None:
    number = _tasting(kitchen.store)
    served = kitchen.store.trials.tasting(number)["servings"][0]
    kitchen.post("/api/trials/do", {"deed": "answer", "args": {"tasting": number, "code": served["codes"][:3]}})
    for path in ("/api/trials/1", f"/api/tastings/{number}", "/trials/1", f"/tastings/{number}", "/api/trials"):
        text = kitchen.http.get(path).text
        assert served["codes"] not in text and '"counts"' not in text and '"samples"' not in text, path
    seen = json.loads(kitchen.http.get(f"/api/tastings/{number}").text)
    assert seen["results"] == [] and seen["answered"] == 1
