"""`emberdraft board` as a person types it, against the stand-in; what it shows, and what it never shows."""

from __future__ import annotations

import json
import os
import pty
import threading
import tty

import pytest

from emberboard import settings as table
from emberdraft.cli import main
from emberdraft.deploy import board_settings, listen
from emberdraft.deploy.look import Facts, judge
from emberdraft.deploy.remote import ENTER, STILL_IN, LinkLostError, get_in
from emberdraft.deploy.selftest import verdicts_of
from emberdraft.errors import UserError
from tests.deploy.stand_in import StandIn, firmware
from tests.virtual.conftest import interpreter_or_skip
from tests.waiting import CAP_S

SECRET = "canary-4711-key"


@pytest.fixture
def board(tmp_path):
    interpreter_or_skip()
    flash = tmp_path / "flash"
    flash.mkdir()
    made = StandIn(flash)
    yield made
    made.pull()


def on(board, deed, *words):
    return main(["board", deed, "--port", board.bridge.port, *words])


def test_check_says_what_the_board_is(board, capsys):
    assert on(board, "check", "--json", "--settle", "0") == 0
    found = {row["what"]: row for row in json.loads(capsys.readouterr().out)["findings"]}
    assert found["MicroPython"]["saw"].startswith("1.")
    assert found["compiler"]["state"] == "good"
    assert found["settings"]["state"] == "look"


def test_a_board_that_is_not_there_is_one_line(tmp_path, capsys, monkeypatch):
    monkeypatch.setattr("emberdraft.commands.board.get_in", lambda *_, **__: None)
    assert main(["board", "check", "--port", str(tmp_path / "none")]) == 1
    said = capsys.readouterr().err
    assert said.startswith("emberdraft: no board at ")
    assert said.count("\n") == 1


def test_settings_go_onto_the_board_and_no_secret_onto_the_screen(board, capsys, monkeypatch):
    monkeypatch.setattr("getpass.getpass", lambda _: SECRET)
    changes = ["cooker=yard-2", "food_probes=2", "stone_probe=false"]
    assert on(board, "settings", "--settle", "0", "--ask", "wifi_key", *changes) == 0
    printed = capsys.readouterr()
    assert SECRET not in printed.out + printed.err
    assert "wifi_key: (set)" in printed.out
    values, troubles = table.parse((board.flash / "settings.json").read_text())
    assert troubles == []
    assert (values["cooker"], values["food_probes"], values["stone_probe"]) == ("yard-2", 2, False)
    assert values["wifi_key"] == SECRET


@pytest.mark.parametrize(
    ("word", "right"),
    [
        ("food_probes=9", "a whole number from 0 to 3 would be right"),
        ("foodprobes=1", "known are"),
        ("cooker", "NAME=VALUE would be right"),
        (f"wifi_key={SECRET}", "--ask wifi_key asks for it"),
    ],
)
def test_a_wrong_setting_is_one_line_and_no_secret(board, capsys, word, right):
    assert on(board, "settings", "--settle", "0", word) == 1
    printed = capsys.readouterr()
    assert right in printed.err
    assert SECRET not in printed.out + printed.err
    assert not (board.flash / "settings.json").exists()


def test_settings_from_the_host_are_one_step(board, capsys, monkeypatch, tmp_path):
    (tmp_path / "password").write_text(SECRET)
    broker = f'host = "192.168.1.20"\nuser = "pit"\npassword_file = "{tmp_path / "password"}"\n'
    (tmp_path / "host.toml").write_text(f'cooker = "yard"\n[broker]\n{broker}')
    monkeypatch.setenv("EMBERDRAFT_CONFIG", str(tmp_path / "host.toml"))
    assert on(board, "settings", "--settle", "0", "--from-host") == 0
    assert SECRET not in capsys.readouterr().out
    values, _ = table.parse((board.flash / "settings.json").read_text())
    assert (values["cooker"], values["broker_host"], values["broker_user"]) == ("yard", "192.168.1.20", "pit")
    assert values["broker_password"] == SECRET


def test_a_self_test_that_says_nothing_is_no_pass():
    with pytest.raises(LinkLostError, match="said nothing of a part"):
        verdicts_of("ImportError: no module named 'emberboard'\n")


def speak(text):
    """A serial port on which a board says `text`, then is silent."""
    ours, theirs = pty.openpty()
    tty.setraw(theirs)
    threading.Timer(0.2, lambda: os.write(ours, text)).start()
    return os.ttyname(theirs), ours, theirs


@pytest.mark.parametrize(
    ("text", "for_s", "trouble"),
    [
        (b"settings sealed\r\n", 0.8, ""),
        (
            b'Traceback (most recent call last):\r\n  File "main.py", line 3, in <module>\r\nOSError: 5\r\n',
            CAP_S,  # it ends as soon as it is heard
            "OSError: 5",
        ),
    ],
)
def test_a_traceback_in_the_first_minute_is_heard(text, for_s, trouble):
    port, *ends = speak(text)
    assert listen.trouble_within(port, for_s) == trouble
    for end in ends:
        os.close(end)


def test_the_way_in_waits_until_the_watchdog_would_have_bitten():
    class Biting:
        """Restarts twice under the hand, as a board does whose watchdog runs."""

        def __init__(self):
            self.said, self.bites = [], 2

        def call(self, *words):
            self.said.append(words[-1])
            if words[-1] == STILL_IN and self.bites:
                self.bites -= 1
                raise LinkLostError("NameError: name 'ember_in' isn't defined")
            return ""

    board, slept = Biting(), []
    get_in(board, settle_s=4.0, sleep=slept.append)
    assert board.said == [ENTER, STILL_IN] * 3
    # firmware/main.py: the watchdog bites after 3 s.
    assert min(second for second in slept if second != 1.0) > 3.0


def test_a_board_without_room_or_with_an_old_interpreter_is_refused():
    facts = Facts("rp2", "", (1, 20, 0), (6, 1), 50_000, 150_000, 0, "", False, False)
    bad = {finding.what for finding in judge(facts, 102) if finding.state == "bad"}
    assert bad == {"MicroPython", "flash"}


def test_a_port_that_never_opens_is_one_line(monkeypatch, tmp_path):
    monkeypatch.setattr(listen, "OPEN_S", 0.0)
    with pytest.raises(UserError, match="name the one the board is at"):
        listen.Line(str(tmp_path / "none"))


def test_the_console_listens_and_says_nothing(capsys):
    """A word would interrupt the control; what the board said stands there line by line."""
    board, port = pty.openpty()
    tty.setraw(board)
    threading.Timer(0.3, os.write, (board, b"pit 121.4\r\nhalf a")).start()
    assert main(["board", "console", "--port", os.ttyname(port), "--seconds", "3"]) == 0
    assert "pit 121.4\n" in capsys.readouterr().out
    os.set_blocking(board, False)
    with pytest.raises(BlockingIOError):
        os.read(board, 1)
    os.close(board)
    os.close(port)


class Coming:
    """A serial port that goes away twice, as with a board that restarts again and again."""

    in_waiting = 0

    def __init__(self):
        self.reads = 0

    def __call__(self, *_args, **_options):
        return self

    def read(self, _count):
        self.reads += 1
        if self.reads in (2, 4):
            raise OSError("device reports readiness to read but returned no data")
        return b""

    def close(self):
        pass


def test_a_board_that_restarts_again_and_again_is_no_good_one(monkeypatch):
    monkeypatch.setattr("serial.Serial", Coming())
    assert listen.trouble_within("port", 0.05) == "nothing, but restarted 2 times"


def test_a_board_that_does_not_answer_is_not_one_without_settings():
    class Silent:
        def call(self, *_words):
            raise LinkLostError("no answer")

    with pytest.raises(LinkLostError):
        board_settings.read(Silent())


def test_the_converter_stays_what_it_was_unless_another_is_said(board, capsys, monkeypatch, tmp_path):
    source = firmware(tmp_path / "source", "one")
    monkeypatch.setattr("emberdraft.deploy.build.firmware_folder", lambda: source)
    assert on(board, "deploy", "--settle", "0", "--watch", "0", "--converter", "mcp9600") == 0
    board.pull()
    board.plug()
    assert on(board, "deploy", "--settle", "0", "--watch", "0") == 0
    assert "with mcp9600\nsent 0 that differ" in capsys.readouterr().out


def test_new_firmware_that_ends_in_a_traceback_is_taken_back(board, capsys, monkeypatch, tmp_path):
    sources = {version: firmware(tmp_path / version, version) for version in ("one", "two")}
    heard = []
    monkeypatch.setattr("emberdraft.commands.board.listen.trouble_within", lambda *_: heard.pop())
    for version, trouble, code in (("one", "", 0), ("two", "OSError: 5", 1)):
        heard.append(trouble)
        monkeypatch.setattr("emberdraft.deploy.build.firmware_folder", lambda folder=sources[version]: folder)
        assert on(board, "deploy", "--settle", "0") == code
    assert "the new firmware said 'OSError: 5'; the one before it is back" in capsys.readouterr().err
    assert (board.flash / "main.py").read_text() == "# one\n"
    assert on(board, "restore", "--settle", "0") == 0
    assert (board.flash / "main.py").read_text() == "# two\n"


def test_a_chip_for_one_type_is_refused_for_another(board, capsys):
    (board.flash / "settings.json").write_text('{"thermocouple": "N"}')
    assert on(board, "deploy", "--settle", "0", "--converter", "max31855") == 1
    assert "a max31855 takes K only" in capsys.readouterr().err
    assert not (board.flash / "emberboard").exists()
