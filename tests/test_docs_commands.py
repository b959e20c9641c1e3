"""Every command that a page shows is run: here in a folder of its own, or by the test that stands beside its pattern.

Run here: whatever needs no more than a record (one rehearsal and a cook of four pieces), in the order of its page. What
asks for a board, a broker, a network or a running host is run by a test of its own; HOW says by which one. A command
that fits neither fails. What a page shows as output is compared by the tests of that page.
"""

from __future__ import annotations

import json
import re
import shlex
import shutil
import signal
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from PIL import Image

from emberdraft.cli import main
from emberdraft.commands.lan import addresses
from emberdraft.store import Store
from tests.one_at_a_time import BROKER_PORT, alone

ROOT = Path(__file__).parents[1]
PAGES = [
    *(ROOT / name for name in ("README.md", "DEVELOPERS.md", "SECURITY.md")),
    *sorted((ROOT / "docs").rglob("*.md")),
    *sorted((ROOT / "hardware").glob("*.md")),
]
PROGRAMS = {
    *("emberdraft", "make", "git", "cd", "cp", "systemctl", "sqlite3", "mpremote", "mosquitto", "pip", "datasette"),
    *("npm", "python", ".", "/opt/emberdraft/.venv/bin/emberdraft"),
}
VERB, ON_BOARD, BROKER = "deploy/test_board_verb.py", "deploy/test_on_board.py", "daemon/test_mosquitto.py"
TUNE, HERE = "tuning/test_tune_verb.py", "test_docs_commands.py"

# Pattern of a command, the file and the test that run it. The first that fits counts.
HOW = (
    ("emberdraft board check", VERB, "test_check_says_what_the_board_is"),
    ("emberdraft board deploy", VERB, "test_the_converter_stays_what_it_was_unless_another_is_said"),
    ("emberdraft board restore", VERB, "test_new_firmware_that_ends_in_a_traceback_is_taken_back"),
    ("emberdraft board settings --from-host", VERB, "test_settings_from_the_host_are_one_step"),
    ("emberdraft board settings", VERB, "test_settings_go_onto_the_board_and_no_secret_onto_the_screen"),
    ("emberdraft board console", VERB, "test_the_console_listens_and_says_nothing"),
    ("emberdraft board selftest --ask", ON_BOARD, "test_a_person_presses_and_pulls_when_the_light_comes_on"),
    ("emberdraft board selftest", ON_BOARD, "test_the_self_test_passes_on_the_virtual_board_and_sees_a_probe"),
    ("emberdraft board calibrate", ON_BOARD, "test_an_offset_goes_onto_the_board_with_its_date_in_one_step"),
    ("emberdraft board sweep --seen", ON_BOARD, "test_without_a_speed_wire_a_person_looks"),
    ("emberdraft board sweep", ON_BOARD, "test_the_lowest_drive_goes_onto_the_board"),
    ("emberdraft board ends", ON_BOARD, "test_end_stops_are_found_by_the_pot"),
    ("emberdraft broker", BROKER, "test_the_verb_says_what_to_do_and_no_password"),
    ("mosquitto -c", BROKER, "test_each_role_reads_and_writes_its_topics_and_no_other"),
    ("emberdraft serve", HERE, "test_every_way_to_serve_that_a_page_shows_comes_up"),
    ("emberdraft demo", "demo/test_demo.py", "test_it_ends_by_itself_and_says_first_that_no_fire_was_burned"),
    ("emberdraft trial demo", "trials/test_verb.py", "test_the_demonstration_is_whole_and_marked_invented"),
    ("emberdraft tune last --send", TUNE, "test_the_verb_says_figures_and_words_and_the_order_goes_the_known_way"),
    ("emberdraft tune last --back", TUNE, "test_one_command_goes_back_to_what_was_in_force_before"),
    ("emberdraft change", "web/test_change.py", "test_the_verb_says_it_first_and_does_it_with_yes"),
    ("emberdraft mark", "demo/test_demo.py", "test_a_mark_from_another_command_is_kept"),
    ("emberdraft vents", "ready/test_commands.py", "test_vents_answers_in_words_and_refuses_in_one_line"),
    ("emberdraft doctor --test-notice", "daemon/test_notify.py", "test_a_test_notice_from_the_command_line"),
    ("emberdraft doctor", "test_host.py", "test_garbage_is_counted_and_told_by_doctor_and_harms_nothing"),
    ("emberdraft bench(?! --list)", "bench_suite/test_run.py", "test_any_executor_can_be_handed_in_and_the_json_has"),
    (r"sqlite3 .*\.backup", HERE, "test_a_copy_made_as_the_page_says_is_a_record"),
    ("mpremote cp", "virtual/test_deploy.py", "test_settings_go_onto_the_board_with_cp"),
    ("datasette ", "store/test_datasette.py", "test_"),
    (r"(cd \S+ && )?make ", HERE, "test_what_make_is_asked_for_is_in_the_makefile"),
    ("systemctl", "deploy/test_service.py", "test_systemd_has_nothing_against_it"),
    (
        "/opt/.*emberdraft service",
        "test_install.py",
        "test_the_unit_is_written_where_systemd_looks_or_refused",
    ),
    (r"cp .*\.toml my\.toml", HERE, "prepared"),
    (r"python -m tests\.", HERE, "test_programs_that_pages_start_are_there"),
    # Not run: the network, somebody's shell and the registries are not for tests.
    (r"(git clone|pip install|npm install|\. \.venv)", "", ""),
)


def blocks(page: Path) -> Iterator[str]:
    """What stands between fences that name no language; the page of commands is made from the help and has none."""
    inside, kept = False, ""
    for line in page.read_text(encoding="utf-8").splitlines() if page.name != "commands.md" else ():
        if line.strip().startswith("```"):
            if inside and kept:
                yield kept
            inside, kept, plain = not inside, "", line.strip() == "```"
        elif inside and plain:
            kept += line + "\n"


def commands(page: Path) -> list[str]:
    """Lines of a page's blocks that begin with a program; continued ones joined, what stands behind # taken off."""
    found = []
    for block in blocks(page):
        joined = re.sub(r"\\\n\s*", "", block)
        joined = re.sub(r'"([^"]*)"', lambda quoted: '"' + quoted[1].replace("\n", " ") + '"', joined)
        lines = [re.sub(r"\s+# .*$", "", line.strip()) for line in joined.splitlines()]
        found += [line for line in lines if line.split(" ")[0] in PROGRAMS]
    return found


def how(command: str) -> tuple[str, str] | None:
    """File and test that run a command elsewhere, empty for what no test runs; None: it is run here."""
    return next(((path, test) for pattern, path, test in HOW if re.match(pattern, command)), None)


def run_here(page: Path) -> list[str]:
    return [command for command in commands(page) if how(command) is None]


# Their words are no code: a sentence changed on a page makes no proof of its commands old.
PROVE = pytest.mark.prove("Documents: commands", proves=["host/emberdraft/commands", "host/emberdraft/plans"])
SLOW = ("change_gains", "first_simulated_cook")  # models and rehearsals one after the other
WITH_COMMANDS = [
    pytest.param(page, id=str(page.relative_to(ROOT)), marks=[PROVE] if page.stem in SLOW else [])
    for page in PAGES
    if run_here(page)
]
QUICK = ("emberdraft serve --homie --discovery homeassistant", "emberdraft serve --lan --plan hold")
SERVED = [
    pytest.param(line, marks=[] if line in QUICK else [PROVE])
    for line in sorted({line for page in PAGES for line in commands(page) if line.startswith("emberdraft serve")})
]


def test_commands_are_found_and_most_pages_have_some() -> None:
    every = [command for page in PAGES for command in commands(page)]
    assert len(every) > 80 and len(WITH_COMMANDS) >= 7
    assert sum(how(command) is None for command in every) > 30
    unused = [pattern for pattern, *_ in HOW if not any(re.match(pattern, command) for command in every)]
    assert unused == []


@pytest.mark.parametrize(("path", "test"), sorted({(path, test) for _, path, test in HOW if path}))
def test_the_test_that_is_named_is_there(path: str, test: str) -> None:
    assert f"def {test}" in (ROOT / "tests" / path).read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def cooked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A record with two rehearsals of the plan that comes along: what `last`, 1 and 2 mean on the pages."""
    path = tmp_path_factory.mktemp("cooked") / "cooks.sqlite"
    for plant in ("heavy_ceramic", "two_zone"):
        assert main(["rehearse", "two_chops", "--plant", plant, "--db", str(path)]) == 0
    with closing(sqlite3.connect(path)) as db:
        db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    return path


@pytest.fixture
def home(cooked: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder to work in, with the record in its usual place and nothing else of anybody's."""
    shutil.copy(cooked, tmp_path / "cooks.sqlite")
    (tmp_path / "emberdraft.toml").write_text('cooker = "yard"\n')
    Image.new("RGB", (8, 8)).save(tmp_path / "1a.jpg")
    monkeypatch.setenv("STATE_DIRECTORY", str(tmp_path))
    monkeypatch.setenv("EMBERDRAFT_CONFIG", str(tmp_path / "emberdraft.toml"))
    monkeypatch.chdir(tmp_path)
    return tmp_path


def prepared(page: Path, home: Path) -> None:
    """What the reader of a page has beside the record: cooks 2 and 3, four pieces, a plan, a copy."""
    with Store(home / "cooks.sqlite") as store:
        if page.stem == "trial":
            cook_id = store.begin_cook("yard", "four chops", None, 1_790_000_000.0, invented=True)
            for letter in "ABCD":
                store.add_piece(cook_id, letter, "chop", pull_c=57.0)
            store.end_cook(cook_id, 1_790_009_000.0, "done")
    if page.stem == "first_simulated_cook":
        shutil.copy(ROOT / "host" / "emberdraft" / "plans" / "two_chops.toml", home / "my.toml")


@pytest.mark.parametrize("page", WITH_COMMANDS)
def test_every_command_of_a_page_runs_in_its_order(page: Path, home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Longer than most where a page asks for a rehearsal or a model; the longest in `make prove` only."""
    prepared(page, home)
    for command in run_here(page):
        words = shlex.split(command.replace("/backup/cooks.sqlite", str(home / "cooks.sqlite")))
        target = words[words.index(">") + 1] if ">" in words else None
        words = words[: words.index(">")] if target else words
        if words[0] == "sqlite3":
            with closing(sqlite3.connect(words[1])) as db:  # the same library as the shell's
                assert db.execute(words[2]).fetchall()
            continue
        assert words[0] == "emberdraft"
        assert main(words[1:]) == 0, f"{command}: {capsys.readouterr().err}"
        said = capsys.readouterr().out
        assert "Traceback" not in said
        if target:
            (home / target).write_text(said, encoding="utf-8")


def test_what_is_written_into_a_file_on_the_pages_is_what_it_is_called(home: Path, capsys) -> None:
    assert main(["show", "last", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["cook"]["id"] == 2


def serve_words(command: str) -> list[str]:
    """As the page has it, with an interface that this computer has in the place of the page's."""
    words = shlex.split(command)[2:]
    if "--lan" in words:
        at = words.index("--lan") + 1
        named = at < len(words) and not words[at].startswith("--")
        words[at : at + named] = [next(iter(addresses().values()), "127.0.0.1")]
    return words


@pytest.mark.parametrize("command", SERVED)
def test_every_way_to_serve_that_a_page_shows_comes_up(command: str, home: Path) -> None:
    """A process each, so longer than most: it must come up and end by itself. All of them in `make prove`."""
    words = [sys.executable, "-m", "emberdraft", *["serve", *serve_words(command), "--port", "0"]]
    piped = {"stdout": subprocess.PIPE, "stderr": subprocess.STDOUT, "encoding": "utf-8"}
    with alone(BROKER_PORT), subprocess.Popen(words, **piped) as serve:
        assert serve.stdout is not None
        told = _until(serve.stdout, "Stop with Ctrl-C")
        serve.send_signal(signal.SIGINT)
        rest = serve.stdout.read()
    assert "Stop with Ctrl-C" in told and "Traceback" not in told + rest, told + rest
    assert serve.returncode == 0


def _until(lines: Iterator[str], mark: str) -> str:
    told = ""
    for line in lines:
        told += line
        if mark in line:
            break
    return told


def test_a_copy_made_as_the_page_says_is_a_record(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    page = (ROOT / "docs" / "howto" / "back_up.md").read_text(encoding="utf-8")
    (line,) = re.findall(r"^sqlite3 .*$", page, re.MULTILINE)
    line = line.replace("/var/lib/emberdraft/cooks.sqlite", str(home / "cooks.sqlite"))
    words = shlex.split(line.replace("/backup/cooks.sqlite", str(home / "copy.sqlite")))
    if shutil.which(words[0]):
        subprocess.run(words, check=True)
    else:  # no shell for it on this computer: the same backup by the same library
        with closing(sqlite3.connect(words[1])) as db, closing(sqlite3.connect(home / "copy.sqlite")) as copy:
            db.backup(copy)
    with closing(sqlite3.connect(home / "copy.sqlite")) as copy:
        assert copy.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
    assert main(["cooks", "--db", str(home / "copy.sqlite")]) == 0
    assert "Two chops" in capsys.readouterr().out


def test_what_make_is_asked_for_is_in_the_makefile() -> None:
    targets = set(re.findall(r"^([a-z-]+):", (ROOT / "Makefile").read_text(encoding="utf-8"), re.MULTILINE))
    asked = {name for page in PAGES for line in commands(page) for name in re.findall(r"\bmake ([a-z-]+)", line)}
    assert {"demo", "test", "venv"} <= asked <= targets


def test_programs_that_pages_start_are_there() -> None:
    named = {name for page in PAGES for line in commands(page) for name in re.findall(r"^python -m ([\w.]+)", line)}
    for name in named:
        assert (ROOT / f"{name.replace('.', '/')}.py").exists() or (ROOT / name.replace(".", "/")).is_dir(), name
