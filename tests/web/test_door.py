"""The door for other machines: pairing, passwords, sessions, and nothing at all without them."""

from __future__ import annotations

import asyncio
import contextlib
import json
import os
import socket
import stat
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import httpx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from emberdraft.commands.host import Host
from emberdraft.commands.lan import addresses, lan_address
from emberdraft.commands.running import call
from emberdraft.errors import UserError
from emberdraft.store.store import Store
from emberdraft.web.app import ROUTES, create_app
from emberdraft.web.door import COOKIE, OPEN
from emberdraft.web.people import (
    CODE_S,
    CODE_TRIES,
    NAME_FREE,
    NAME_LONGEST_S,
    SCRYPT,
    SESSION_S,
    People,
    TooSoonError,
    own_key_file,
)
from emberdraft.web.server import PageServer
from emberdraft.web.slow import LONGEST_S, Slow, place
from tests.own_thread import in_own_thread
from tests.web.kitchen import service_over

FAR = "192.168.7.20"


WHOLE_COST = dict(SCRYPT)


@pytest.fixture(autouse=True)
def cheap_passwords(monkeypatch: pytest.MonkeyPatch) -> None:
    """Some two hundred passwords are tried in this file: what one try costs is looked at by itself."""
    monkeypatch.setitem(SCRYPT, "n", 2**8)


def test_a_try_costs_what_scrypts_author_asks_for_where_a_person_waits() -> None:
    """C. Percival, Stronger key derivation via sequential memory-hard functions (2009): N 2^14, r 8, p 1 (from memory);
    128 r N bytes are 16 MiB (RFC 7914, 6)."""
    assert WHOLE_COST == {"n": 16_384, "r": 8, "p": 1, "dklen": 32}
    assert 128 * WHOLE_COST["r"] * WHOLE_COST["n"] == 16 * 2**20


class Clock:
    now_s = 1_790_000_000.0

    def __call__(self) -> float:
        return self.now_s


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def people(tmp_path: Path, clock: Clock) -> People:
    return People(tmp_path / "people.json", clock)


def paired(people: People, name: str = "Ada") -> tuple[str, str]:
    return people.pair(people.invite(), name, FAR)


# ---- people, passwords, sessions ------------------------------------------------------------


def test_somebody_can_be_invited_before_anything_was_ever_kept(tmp_path: Path, clock: Clock) -> None:
    assert People(tmp_path / "not" / "there" / "people.json", clock).invite()


def test_a_code_makes_one_person_and_is_then_void(people: People) -> None:
    code = people.invite()
    password, token = people.pair(f"{code[:5].lower()}-{code[5:]}", "Ada", FAR)
    assert people.who(token) == "Ada"
    assert len(password) >= 22  # 128 bits, six a letter
    with pytest.raises(UserError, match="wrong or over"):
        people.pair(code, "Bea", FAR)
    assert people.names() == ["Ada"]


def test_a_code_is_over_after_ten_minutes(people: People, clock: Clock) -> None:
    code = people.invite()
    clock.now_s += CODE_S + 1.0
    with pytest.raises(UserError, match="over"):
        people.pair(code, "Ada", FAR)


def test_a_few_wrong_codes_of_somebody_else_void_no_code(people: People, clock: Clock) -> None:
    code = people.invite()
    for k in range(30):
        with pytest.raises(UserError, match="wrong"):
            people.pair("AAAAAAAAAA", "Ada", f"10.0.0.{k}")
    assert people.pair(code, "Ada", FAR)


def test_a_code_is_void_after_a_thousand_wrong_tries_wherever_they_come_from(people: People, clock: Clock) -> None:
    code = people.invite()
    for k in range(CODE_TRIES):
        with pytest.raises(UserError, match="wrong"):
            people.pair("AAAAAAAAAA", "Ada", f"10.0.{k // 250}.{k % 250}")
    with pytest.raises(UserError, match="wrong or over"):
        people.pair(code, "Ada", FAR)


def test_a_password_lets_in_again_and_another_does_not(people: People) -> None:
    password, _ = paired(people)
    assert people.who(people.enter("Ada", password, FAR)) == "Ada"
    for name, wrong in (("Ada", password[:-1]), ("ada", password), ("Bea", password), ("", "")):
        with pytest.raises(UserError, match="name or password"):
            people.enter(name, wrong, f"{FAR}{name}{len(wrong)}")


def test_two_installations_have_different_passwords(tmp_path: Path) -> None:
    made = {paired(People(tmp_path / f"{k}.json"))[0] for k in range(2)}
    assert len(made) == 2


def test_sessions_end_by_time_by_leaving_and_with_the_person(people: People, clock: Clock) -> None:
    password, first = paired(people)
    second, third = (people.enter("Ada", password, FAR) for _ in range(2))
    people.leave(first)
    assert [people.who(each) for each in (first, second, third)] == [None, "Ada", "Ada"]
    clock.now_s += SESSION_S + 1.0
    assert people.who(second) is None
    fourth = people.enter("Ada", password, FAR)
    people.remove("Ada")
    assert people.who(fourth) is None
    with pytest.raises(UserError, match="known are none"):
        people.remove("Ada")


def test_another_program_sees_and_makes_changes_at_once(people: People, clock: Clock) -> None:
    _, token = paired(people)
    other = People(people.path, clock)
    assert other.who(token) == "Ada"
    other.remove("Ada")
    assert people.who(token) is None


def test_the_file_is_this_users_alone_and_holds_no_secret(people: People) -> None:
    code = people.invite()
    password, token = people.pair(code, "Ada", FAR)
    assert stat.S_IMODE(people.path.stat().st_mode) == 0o600
    text = people.path.read_text()
    assert not any(secret in text for secret in (password, token, code))
    assert len(json.loads(text)["people"]["Ada"]["hash"]) == 64


@pytest.mark.parametrize("name", ["", "   ", "a" * 41, "a\nb\x00"])
def test_a_name_that_cannot_be_shown_is_refused(people: People, name: str) -> None:
    with pytest.raises(UserError, match="1 to 40"):
        people.pair(people.invite(), name, FAR)


def test_a_file_that_is_damaged_lets_nobody_in_and_says_so(people: People) -> None:
    people.path.write_text("{")
    with pytest.raises(UserError, match=r"cannot be read"):
        people.who("x")


# ---- guessing -------------------------------------------------------------------------------


def test_each_wrong_try_doubles_the_wait_up_to_a_minute() -> None:
    slow, now_s, waits = Slow(), 0.0, []
    for _ in range(9):
        slow.failed("a", now_s)
        waits.append(slow.wait_s("a", now_s))
        now_s += waits[-1]
    assert waits == [1.0, 2.0, 4.0, 8.0, 16.0, 32.0, 64.0, LONGEST_S, LONGEST_S]
    slow.passed("a")
    assert slow.wait_s("b", now_s + 1.0) == 0.0


def test_one_who_guesses_keeps_nobody_else_out(people: People, clock: Clock) -> None:
    words = {name: paired(people, name)[0] for name in ("Ada", "Bea")}
    for _ in range(200):  # as often as it is let, at both names and one that is not there
        for name in ("Ada", "Bea", "Cleo"):
            with contextlib.suppress(UserError):
                people.enter(name, "guess", "10.6.6.6")
        clock.now_s += 1.0
    for name in words:
        assert people.who(people.enter(name, words[name], "192.168.7.30")) == name


def test_guessing_at_one_name_from_many_places_makes_that_name_wait_where_it_never_came_in(
    people: People, clock: Clock
) -> None:
    words = {name: paired(people, name)[0] for name in ("Ada", "Bea")}
    people.enter("Ada", words["Ada"], "192.168.7.31")
    for k in range(NAME_FREE + 10):
        with contextlib.suppress(UserError):
            people.enter("Ada", "guess", f"10.0.1.{k}")
        clock.now_s += NAME_LONGEST_S
    with contextlib.suppress(UserError):
        people.enter("Ada", "guess", "10.0.2.1")
    with pytest.raises(TooSoonError):
        people.enter("Ada", words["Ada"], "192.168.7.32")
    assert people.enter("Ada", words["Ada"], "192.168.7.31")
    assert people.enter("Bea", words["Bea"], "192.168.7.32")
    clock.now_s += NAME_LONGEST_S
    assert people.enter("Ada", words["Ada"], "192.168.7.32")


@settings(max_examples=60, deadline=None)
@given(tries=st.lists(st.tuples(st.integers(0, 5), st.integers(0, 3), st.floats(0.0, 70.0)), max_size=60))
def test_whatever_others_do_a_key_waits_only_for_its_own_failures(tries: list[tuple[int, int, float]]) -> None:
    slow, now_s = Slow(), 0.0
    for key, _, passed_s in tries:
        now_s += passed_s
        slow.failed(f"10.0.0.{key}", now_s)
        assert slow.wait_s("10.9.9.9", now_s) == 0.0
        assert 0.0 < slow.wait_s(f"10.0.0.{key}", now_s) <= LONGEST_S


def test_an_ipv6_house_is_one_place() -> None:
    assert place("2001:db8:0:1::5") == place("2001:db8:0:1:ffff::9") != place("2001:db8:0:2::5")
    assert place("10.0.0.1") != place("10.0.0.2")


def test_a_hundred_wrong_passwords_take_more_than_an_hour(people: People, clock: Clock) -> None:
    password, _ = paired(people)
    begun_s, looked_at = clock.now_s, 0
    while looked_at < 100:
        try:
            people.enter("Ada", "wrong", FAR)
        except TooSoonError:
            clock.now_s += 1.0
        except UserError:
            looked_at += 1
    assert clock.now_s - begun_s > 3600.0
    clock.now_s += LONGEST_S
    assert people.who(people.enter("Ada", password, FAR)) == "Ada"


# ---- the gate -------------------------------------------------------------------------------


@pytest.fixture
def app(cooked: Path, people: People) -> Iterator[Any]:
    store = Store(cooked)
    service = service_over(store)
    yield create_app(service, store, hosts=(FAR,), people=people)
    store.close()


def ask(app: Any, method: str, path: str, *, client: str = FAR, server: str = FAR, **more: Any) -> httpx.Response:
    """One request that comes from `client` to `server`, over no network."""

    async def both_ends(scope: Any, receive: Any, send: Any) -> None:
        await app({**scope, "client": (client, 50000), "server": (server, 80)}, receive, send)

    async def go() -> httpx.Response:
        transport = httpx.ASGITransport(app=both_ends)
        async with httpx.AsyncClient(transport=transport, base_url=f"http://{server}") as http:
            return await http.request(method, path, **more)

    return in_own_thread(lambda: asyncio.run(go()))


PATHS = sorted(
    {(m, route.path) for route in ROUTES for m in (route.methods or ()) - {"HEAD"} if route.path not in OPEN}
)


def test_a_calls_link_leads_through_the_door_to_what_it_asks_for(app: Any) -> None:
    answer = ask(app, "GET", "/cookers/garden?asked=pull-7")
    assert answer.headers["location"] == "/enter?then=%2Fcookers%2Fgarden%3Fasked%3Dpull-7"


def test_the_link_of_a_test_notice_needs_no_session_and_opens_nothing_else(app: Any) -> None:
    assert ask(app, "GET", "/reached").status_code == 200
    assert ask(app, "GET", "/calls").status_code == 303


@pytest.mark.parametrize(("method", "path"), PATHS)
def test_every_route_is_shut_to_who_is_not_logged_in(app: Any, method: str, path: str) -> None:
    path = path.replace("{cook_id:row}", "1").replace("{name}", "hold")
    answer = ask(app, method, path, **({"json": {}} if method == "POST" else {}))
    if method == "GET" and not path.startswith("/api/"):
        assert (answer.status_code, answer.headers["location"]) == (303, f"/enter?{urlencode({'then': path})}")
    else:
        assert answer.status_code == 401
        assert "log in" in answer.json()["error"]["right"]


def test_a_plain_forwarder_on_this_machine_is_another_machine(cooked: Path, people: People) -> None:
    """It joins two sockets and says nothing of itself, as `socat` or a port that a router maps do."""
    with Store(cooked) as store:
        server = PageServer(create_app(service_over(store), store, people=people)).start()
        with forwarder(server.port) as port:
            for path, status in (("/api/cooks", 401), ("/", 303)):
                answer = httpx.get(f"http://127.0.0.1:{port}{path}", headers={"host": f"127.0.0.1:{server.port}"})
                assert answer.status_code == status
        server.stop()


@contextlib.contextmanager
def forwarder(to_port: int) -> Iterator[int]:
    """Whatever comes in at a port goes to another one, and back."""

    def pump(a: socket.socket, b: socket.socket) -> None:
        with contextlib.suppress(OSError):
            while chunk := a.recv(65536):
                b.sendall(chunk)
        b.close()

    def serve() -> None:
        with contextlib.suppress(OSError):
            while True:
                near, _ = listening.accept()
                far = socket.create_connection(("127.0.0.1", to_port))
                for ends in ((near, far), (far, near)):
                    threading.Thread(target=pump, args=ends, daemon=True).start()

    with socket.create_server(("127.0.0.1", 0)) as listening:
        threading.Thread(target=serve, daemon=True).start()
        yield listening.getsockname()[1]
        listening.shutdown(socket.SHUT_RDWR)


@pytest.fixture
def home_app(app: Any, people: People) -> Any:
    return create_app(app.state.service, app.state.store, hosts=(FAR,), people=people, home=True)


def test_this_machine_needs_a_log_in_unless_it_was_said_that_nothing_forwards(app: Any, home_app: Any) -> None:
    assert ask(app, "GET", "/cooks", client="127.0.0.1", server="127.0.0.1").status_code == 303
    assert ask(home_app, "GET", "/cooks", client="127.0.0.1", server="127.0.0.1").status_code == 200


@pytest.mark.parametrize(
    ("client", "server", "headers"),
    [
        (FAR, "127.0.0.1", {}),
        ("127.0.0.1", FAR, {}),
        # What proxies add: RFC 7239, RFC 9110 section 7.6.3, and the two that are older than these and everywhere.
        ("127.0.0.1", "127.0.0.1", {"forwarded": "for=10.1.1.1"}),
        ("127.0.0.1", "127.0.0.1", {"via": "1.1 gate"}),
        ("127.0.0.1", "127.0.0.1", {"x-forwarded-for": "10.1.1.1"}),
        ("127.0.0.1", "127.0.0.1", {"x-forwarded-host": "cook.example"}),
        ("127.0.0.1", "127.0.0.1", {"x-real-ip": "10.1.1.1"}),
    ],
)
def test_what_only_looks_like_this_machine_does(
    home_app: Any, client: str, server: str, headers: dict[str, str]
) -> None:
    answer = ask(home_app, "GET", "/api/cooks", client=client, server=server, headers=headers)
    assert answer.status_code == 401


def test_this_users_programs_come_in_with_the_key_beside_the_record(app: Any, people: People) -> None:
    shut = people.open_to_own_programs()
    path = own_key_file(people.path)
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    for key, status in ((path.read_text(), 200), (path.read_text()[:-1], 401), ("", 401)):
        answer = ask(app, "GET", "/api/cooks", client="127.0.0.1", headers={"authorization": f"Bearer {key}"})
        assert answer.status_code == status
    shut()
    assert not path.exists()


def test_a_verb_speaks_to_a_running_host_that_asks_for_a_log_in(tmp_path: Path, lan: str) -> None:
    db = tmp_path / "cooks.sqlite"
    with Host(db, "yard", lan=lan) as host:
        assert call(db, "/api/health")["health"]["checks"]
        assert httpx.get(host.page.url + "api/health").status_code == 401
    with Host(db, "yard", lan=lan, home=True) as host:
        assert httpx.get(host.page.url + "api/health").status_code == 200


def test_pairing_gives_a_password_and_a_cookie_no_script_can_read(app: Any, people: People) -> None:
    answer = ask(app, "POST", "/api/pair", json={"code": people.invite(), "name": "Ada"})
    assert answer.status_code == 200
    assert people.names() == ["Ada"]
    cookie = answer.headers["set-cookie"]
    assert cookie.startswith(f"{COOKIE}=") and "HttpOnly" in cookie and "SameSite=strict" in cookie
    token = cookie.split(";")[0].partition("=")[2]
    assert answer.json() == {"name": "Ada", "password": answer.json()["password"]}
    inside = ask(app, "GET", "/api/cooks", headers={"cookie": f"{COOKIE}={token}"})
    assert inside.status_code == 200
    left = ask(app, "POST", "/api/leave", json={}, headers={"cookie": f"{COOKIE}={token}"})
    assert "Max-Age=0" in left.headers["set-cookie"]
    assert ask(app, "GET", "/api/cooks", headers={"cookie": f"{COOKIE}={token}"}).status_code == 401


def test_a_wrong_log_in_is_refused_and_the_next_has_to_wait(app: Any, people: People) -> None:
    paired(people)
    body = {"name": "Ada", "password": "guess"}
    assert ask(app, "POST", "/api/enter", json=body).status_code == 403
    assert ask(app, "POST", "/api/enter", json=body).status_code == 429


@pytest.mark.parametrize("path", ["/api/pair", "/api/enter", "/api/leave"])
def test_the_door_takes_no_foreign_form_and_no_get(app: Any, path: str) -> None:
    assert ask(app, "GET", path).status_code in (401, 405)
    foreign = {"origin": "http://elsewhere.example", "content-type": "application/json"}
    assert ask(app, "POST", path, content="{}", headers=foreign).status_code == 403
    form = {"content-type": "application/x-www-form-urlencoded"}
    assert ask(app, "POST", path, content="a=1", headers=form).status_code == 415
    assert ask(app, "POST", path, json={}, headers={"host": "rebound.example"}).status_code == 421


def test_without_the_door_its_routes_are_not_there(cooked: Path) -> None:
    with Store(cooked) as store:
        app = create_app(service_over(store), store)
        assert ask(app, "GET", "/enter", client="127.0.0.1", server="127.0.0.1").status_code == 404


# ---- a real interface and a phone -----------------------------------------------------------


@pytest.fixture
def lan() -> str:
    found = list(addresses().values())
    if not found:
        if os.environ.get("CI") == "true":
            pytest.fail("CI must have a network interface beside the loopback")
        pytest.skip("this computer has no network interface beside the loopback")
    return found[0]


def test_an_interface_is_found_by_name_and_by_address(lan: str) -> None:
    name = next(name for name, address in addresses().items() if address == lan)
    assert lan_address(name) == lan_address(lan) == lan
    with pytest.raises(UserError, match=r"no such interface.*" + name):
        lan_address("nothing0")
    with pytest.raises(UserError, match="no such interface"):
        lan_address("0.0.0.0")


def test_a_phone_pairs_sees_the_cooker_and_stays_logged_in(
    cooked: Path, people: People, lan: str, chromium: Any, tmp_path: Path
) -> None:
    with Store(cooked) as store:
        service = service_over(store)
        server = PageServer(create_app(service, store, hosts=(lan,), people=people), also=lan).start()
        context = chromium.new_context(viewport={"width": 390, "height": 844}, is_mobile=True, has_touch=True)
        page = context.new_page()
        asked: list[str] = []
        page.on("request", lambda request: asked.append(request.url))
        code = people.invite()
        page.goto(f"http://{lan}:{server.port}/enter#{code}")
        page.fill("#new-name", "Ada")
        page.screenshot(path=str(tmp_path / "enter.png"))
        page.click("#pair-form button")
        page.wait_for_selector("#paired:not([hidden])")
        password = page.inner_text("#password")
        page.screenshot(path=str(tmp_path / "paired.png"))
        page.click("#paired a")
        page.wait_for_selector("body.ready.page-now")
        assert page.inner_text("#cooker")
        assert not any(secret in url for url in asked for secret in (code, password))
        page.goto(f"http://{lan}:{server.port}/")
        page.wait_for_selector("body.ready.page-now")
        stranger = chromium.new_context().new_page()
        stranger.goto(f"http://{lan}:{server.port}/cooks")
        assert "/enter" in stranger.url
        stranger.fill("#name", "Ada")
        stranger.fill("#pass", password)
        stranger.click("#enter-form button")
        stranger.wait_for_selector("body.ready.page-cooks")
        stranger.context.close()
        context.close()
        server.stop()


def test_the_log_in_page_has_no_barrier(cooked: Path, people: People, lan: str, chromium: Any) -> None:
    from axe_playwright_python.sync_playwright import Axe

    with Store(cooked) as store:
        service = service_over(store)
        server = PageServer(create_app(service, store, hosts=(lan,), people=people), also=lan).start()
        for scheme in ("light", "dark"):
            context = chromium.new_context(color_scheme=scheme, bypass_csp=True)
            page = context.new_page()
            page.goto(f"http://{lan}:{server.port}/enter")
            page.wait_for_selector("body.ready")
            assert Axe().run(page).response["violations"] == []
            context.close()
        server.stop()


# ---- who looks only -------------------------------------------------------------------------


def test_a_log_in_that_looks_only_sees_everything_and_changes_nothing(people: People, tmp_path: Path) -> None:
    _, token = people.pair(people.invite(look=True), "Eve", FAR)
    assert people.looks() == ["Eve"] and people.looks_only(token)
    with Store(tmp_path / "cooks.sqlite") as store:
        server = PageServer(create_app(service_over(store), store, people=people)).start()
        with httpx.Client(base_url=server.url, cookies={COOKIE: token}) as http:
            assert http.get("/api/now").status_code == 200
            assert 'class="page-now looks"' in http.get("/").text
            for route in ROUTES:
                if "POST" in (route.methods or ()) and route.path not in OPEN and "/tastings/" not in route.path:
                    answer = http.post(route.path.replace("{cook_id:row}", "1"), json={})
                    assert answer.status_code == 403, route.path
                    assert "look and not touch" in answer.json()["error"]["what"]
            assert http.get("/api/tastings/1/sheet").status_code == 403
            assert http.post("/api/tastings/1/seat", json={"phone": "p"}).status_code == 404  # to taste is theirs
        server.stop()


def test_a_link_for_one_evening_ends_by_itself_or_at_once(people: People, clock: Clock, tmp_path: Path) -> None:
    link = people.link(hours=8.0)
    with Store(tmp_path / "cooks.sqlite") as store:
        server = PageServer(create_app(service_over(store), store, people=people)).start()
        with httpx.Client(base_url=server.url) as http:
            assert http.post("/api/enter/link", json={"link": "guessed"}).status_code == 403
            assert http.post("/api/enter/link", json={"link": link}).json() == {"left_s": 8 * 3600}
            assert http.get("/api/now").status_code == 200
            assert http.post("/api/command", json={"name": "bank"}).status_code == 403
            clock.now_s += 8 * 3600 + 1
            assert http.get("/api/now").status_code == 401
            assert http.post("/api/enter/link", json={"link": link}).status_code == 403
        server.stop()
    other = people.link(hours=1.0)
    assert people.who(other) == "" and people.unlink() == 1
    assert people.who(other) is None


@pytest.mark.parametrize("hours", [0.0, -1.0, 49.0, float("nan")])
def test_a_link_lasts_an_evening_and_not_for_ever(people: People, hours: float) -> None:
    with pytest.raises(UserError, match="at most 48 would be right"):
        people.link(hours)


def test_a_session_of_a_person_is_no_link(people: People, tmp_path: Path) -> None:
    _, token = paired(people)
    with Store(tmp_path / "cooks.sqlite") as store:
        server = PageServer(create_app(service_over(store), store, people=people)).start()
        with httpx.Client(base_url=server.url) as http:
            assert http.post("/api/enter/link", json={"link": token}).status_code == 403
        server.stop()
