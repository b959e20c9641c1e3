"""A file that is taken away, written over or damaged: noticed, said in one line, and what still reads is taken over.

From outside: SQLite's own shell (https://sqlite.org/recovery.html), and its integrity_check.
"""

from __future__ import annotations

import os
import random
import re
import shutil
import sqlite3
import subprocess
from contextlib import closing
from pathlib import Path

import pytest

from emberdraft import cli
from emberdraft.errors import UserError
from emberdraft.store import Store, StoreDamaged, StoreError, wal, watch
from emberdraft.store.mend import mend
from tests.proof.fixture import Proof
from tests.store.making import START_S, event, reading

SAMPLE, WHOLE = 5, 150
ROWS = 200  # fewer than the commits after which the log is merged


def filled(path: Path, rows: int = ROWS, merged: int = 0) -> Store:
    """A store that has acknowledged so many rows, `merged` of them in the file itself and the rest in its log."""
    store = Store(path)
    store.begin_cook("yard", "supper", None, START_S)
    for seq in range(rows):
        store.add_records("yard", "b1", [event(seq) if seq % 50 == 9 else reading(seq)])
        if seq + 1 == merged:
            store._watch.last_look()
    return store


def left_behind(path: Path, rows: int = ROWS, merged: int = 0) -> Path:
    """The files as a killed host leaves them."""
    folder = path.parent / "host"
    folder.mkdir()
    with filled(folder / path.name, rows, merged):
        for end in ("", "-wal"):
            shutil.copy(folder / (path.name + end), path.parent / (path.name + end))
    return path


def rows_of(path: Path) -> dict[int, float]:
    """Number and pit of each reading, -1 for an event, read with plain SQLite."""
    with closing(sqlite3.connect(path)) as db:
        assert db.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        found = db.execute("SELECT seq, pit_c FROM reading UNION ALL SELECT seq, -1 FROM event").fetchall()
    return dict(found)


def lost_of(path: Path) -> set[int]:
    with closing(sqlite3.connect(path)) as db:
        ranges = db.execute("SELECT first_seq, last_seq FROM lost").fetchall()
    return {seq for first, last in ranges for seq in range(first, last + 1)}


def flip(path: Path, bits: int, chance: random.Random, start: int = 0) -> None:
    raw = bytearray(path.read_bytes())
    for _ in range(bits):
        raw[chance.randrange(start, len(raw))] ^= 1 << chance.randrange(8)
    path.write_bytes(raw)


# ---- while it runs --------------------------------------------------------------------------


def test_a_look_comes_each_twenty_seconds_so_damage_is_known_within_a_minute() -> None:
    assert watch.LOOK_S == 20.0


@pytest.mark.parametrize("end", ["", "-wal", ".lock"])
@pytest.mark.parametrize("what", ["removed", "replaced"])
def test_a_file_taken_away_is_noticed_with_the_next_write_and_all_that_was_in_it_is_saved(
    path: Path, end: str, what: str
) -> None:
    with filled(path) as store:
        taken = path.with_name(path.name + end)
        other = path.parent / "other"
        other.write_bytes(taken.read_bytes())
        if what == "replaced":
            other.rename(taken)
        else:
            taken.unlink()
        with pytest.raises(StoreError, match=f"has been {what}.*cooks.sqlite.rescued-"):
            store.add_records("yard", "b1", [reading(ROWS)])
        assert what in store.trouble
        with pytest.raises(StoreError, match=what):
            store.add_records("yard", "b1", [reading(ROWS)])
    (rescued,) = path.parent.glob("*.rescued-*")
    assert sorted(rows_of(rescued)) == list(range(ROWS))
    with Store(rescued) as again:
        assert again.mark_of("yard", "b1") == ROWS


def test_what_is_taken_away_while_nothing_is_written_is_noticed_by_a_look(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(watch, "LOOK_S", 0.0)
    monkeypatch.setattr(watch, "QUIET", 0.0)
    with filled(path, 20) as store:
        assert store.look_after() == ""
        path.unlink()
        assert "has been removed" in store.look_after()


@pytest.fixture
def at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(watch, "LOOK_S", 0.0)
    monkeypatch.setattr(watch, "QUIET", 0.0)


@pytest.mark.usefixtures("at_once")
def test_forty_flipped_bits_of_the_log_are_noticed_and_nothing_more_is_taken(path: Path) -> None:
    with filled(path) as store:
        assert store.look_after() == ""
        flip(wal.log_of(path), 40, random.Random(1))
        assert "-wal has been damaged while it was in use" in store.look_after()
        with pytest.raises(StoreError, match="emberdraft mend"):
            store.add_records("yard", "b1", [reading(ROWS)])
    with pytest.raises(StoreDamaged, match="emberdraft mend"):
        Store(path)
    assert mend(path) is not None
    assert set(rows_of(path)) | lost_of(path) == set(range(ROWS))


@pytest.mark.usefixtures("at_once")
def test_a_log_that_is_cut_is_noticed(path: Path) -> None:
    with filled(path) as store:
        store.look_after()
        for seq in range(ROWS, ROWS + 30):
            store.add_records("yard", "b1", [reading(seq)])
        os.truncate(wal.log_of(path), wal.HEAD + 4120)
        assert store.look_after() != ""


@pytest.mark.usefixtures("at_once")
def test_an_older_copy_written_over_the_file_is_noticed(path: Path) -> None:
    with filled(path, 20) as store:
        store.look_after()
        older = path.read_bytes()
        store.add_records("yard", "b1", [reading(n) for n in range(20, 200)])
        assert store.look_after() == ""
        path.write_bytes(older)
        os.truncate(wal.log_of(path), 0)
        assert store.look_after() != ""


@pytest.mark.usefixtures("at_once")
def test_damage_in_the_file_itself_is_noticed(path: Path) -> None:
    with filled(path, merged=ROWS) as store:
        raw = bytearray(path.read_bytes())
        for place in range(4096 * 3, len(raw), 4096):
            raw[place] ^= 0xFF  # the kind of a page, in its first byte
        path.write_bytes(raw)
        assert "damaged" in store.look_after()


@pytest.mark.usefixtures("at_once")
def test_another_program_that_reads_copies_or_merges_is_no_damage(path: Path) -> None:
    with filled(path) as store:
        for sql in ("PRAGMA wal_checkpoint(TRUNCATE)", "SELECT count(*) FROM reading", "PRAGMA wal_checkpoint(FULL)"):
            with closing(sqlite3.connect(path)) as other:
                other.execute(sql).fetchall()
                with closing(sqlite3.connect(path.parent / "copy")) as copy:
                    other.backup(copy)
            store.add_records("yard", "b1", [reading(ROWS)])
            assert store.look_after() == ""


# ---- the sums of the log --------------------------------------------------------------------


def test_a_log_that_sqlite_wrote_is_sound_to_its_end(path: Path) -> None:
    with filled(path):
        log = wal.read(path)
        assert log is not None and log.head_good and log.broken() == -1
        assert len(log.frames) > ROWS


@pytest.mark.parametrize("place", ["head", "middle", "end"])
def test_every_bit_of_a_frame_counts(path: Path, place: str) -> None:
    with filled(path, 8):
        raw = wal.log_of(path).read_bytes()
    count = len(wal.parse(raw).frames)  # behind them lies what an earlier round left
    frame = {"head": 0, "middle": count // 2, "end": count - 1}[place]
    for bit in range(0, 8 * 4120, 97):
        spoilt = bytearray(raw)
        spoilt[wal.HEAD + frame * 4120 + bit // 8] ^= 1 << bit % 8
        log = wal.parse(bytes(spoilt))
        in_salt = 64 <= bit < 128
        assert log.broken() >= 0 or (in_salt and frame == count - 1), (frame, bit)


# ---- at a start -----------------------------------------------------------------------------


def test_sqlite_itself_would_lose_them_and_say_ok(path: Path) -> None:
    left_behind(path)
    flip(wal.log_of(path), 40, random.Random(2), wal.HEAD)
    copy = path.parent / "copy"
    shutil.copy(path, copy)
    shutil.copy(wal.log_of(path), wal.log_of(copy))
    assert len(rows_of(copy)) < ROWS  # this is why the log is looked at before the file is opened
    with pytest.raises(StoreDamaged, match="commits stand behind the damage"):
        Store(path)
    done = mend(path)
    assert done is not None and done.aside.exists()
    assert len(rows_of(path)) > ROWS - 30
    assert set(rows_of(path)) | lost_of(path) == set(range(ROWS))


def test_the_end_of_a_log_torn_by_a_power_cut_is_no_damage(path: Path) -> None:
    left_behind(path)
    os.truncate(wal.log_of(path), wal.log_of(path).stat().st_size - 100)
    with Store(path) as store:
        assert store.mark_of("yard", "b1") == ROWS - 1


def test_a_text_that_is_none_is_one_sentence(path: Path) -> None:
    filled(path, 5).close()
    with closing(sqlite3.connect(path)) as db:
        db.execute("UPDATE _sqlite_migrations SET name = CAST(x'fffe' AS TEXT) WHERE id = 1")
        db.commit()
    with pytest.raises(UserError, match="is damaged"):
        Store(path)


@pytest.mark.parametrize("size", [50, 4096, 100_000])
def test_the_verb_mends_a_file_cut_short_and_says_what_it_took_over(
    path: Path, size: int, capsys: pytest.CaptureFixture[str]
) -> None:
    filled(path).close()
    os.truncate(path, size)
    assert cli.main(["mend", "--db", str(path)]) == 0
    told = capsys.readouterr().out
    assert "Taken over into a new cooks.sqlite" in told
    Store(path).close()


def test_a_sound_record_is_left_alone(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    filled(path).close()
    before = path.read_bytes()
    assert cli.main(["mend", "--db", str(path)]) == 0
    assert "nothing is wrong with it" in capsys.readouterr().out
    assert path.read_bytes() == before
    with Store(path):
        assert cli.main(["mend", "--db", str(path)]) == 1


def by_shell(path: Path) -> int:
    """How many readings SQLite's own shell brings back: by `.recover` where it was built with it (Debian's is not),
    else by `.dump`, which reads a damaged table from both ends."""
    program = shutil.which("sqlite3")
    if program is None:
        if os.environ.get("CI") == "true":
            pytest.fail("CI must have sqlite3 (apt install sqlite3)")
        pytest.skip("no sqlite3 shell on this computer")
    counts = []
    for command in (".recover", ".dump"):
        told = subprocess.run([program, str(path), command], capture_output=True, check=False).stdout
        counts.append(len(re.findall(rb"^INSERT (?:OR IGNORE )?INTO ['\"]?reading['\"]?[ (]", told, re.MULTILINE)))
    return max(counts)


def test_of_damaged_pages_as_much_comes_back_as_with_sqlites_own_shell(path: Path) -> None:
    filled(path, 2000).close()
    raw = bytearray(path.read_bytes())
    for page in random.Random(5).sample(range(60, len(raw) // 4096), 8):
        raw[page * 4096 : page * 4096 + 8] = bytes(8)
    path.write_bytes(raw)
    wanted = by_shell(path)
    done = mend(path)
    assert done is not None
    assert done.taken["reading"] >= wanted > 0
    assert set(rows_of(path)) | lost_of(path) == set(range(2000))


def spoil(path: Path, chance: random.Random) -> str:
    """Damage of one kind to a file, its log or both; which."""
    kind = chance.choice(["bits", "log bits", "head", "cut", "cut log", "zeros", "noise", "log head"])
    log = wal.log_of(path)
    if kind == "bits":
        flip(path, chance.choice([1, 4, 40, 400]), chance)
    elif kind == "log bits":
        flip(log, chance.choice([1, 4, 40]), chance)
    elif kind == "head":
        flip(path.parent / path.name, 0, chance)
        raw = bytearray(path.read_bytes())
        raw[chance.randrange(100)] ^= 1 << chance.randrange(8)
        path.write_bytes(raw)
    elif kind == "log head":
        raw = bytearray(log.read_bytes())
        raw[chance.randrange(32)] ^= 1 << chance.randrange(8)
        log.write_bytes(raw)
    elif kind in ("cut", "cut log"):
        file = path if kind == "cut" else log
        os.truncate(file, chance.randrange(file.stat().st_size))
    else:
        raw = bytearray(path.read_bytes())
        start, length = chance.randrange(len(raw)), chance.choice([64, 4096, 20_000])
        raw[start : start + length] = chance.randbytes(length) if kind == "noise" else bytes(length)
        path.write_bytes(raw)
    return kind


def search(folder: Path, count: int) -> dict[str, int]:
    """Damage by chance: other errors than one line, rows that are neither there nor told lost after mending."""
    pattern = left_behind(folder / "cooks.sqlite", 120, 60)
    found = {"tracebacks": 0, "unmended": 0, "untold": 0}
    for number in range(count):
        chance = random.Random(number)
        path = folder / f"n{number}" / "cooks.sqlite"
        path.parent.mkdir()
        shutil.copy(pattern, path)
        shutil.copy(wal.log_of(pattern), wal.log_of(path))
        kind = spoil(path, chance)
        try:
            Store(path).close()
        except UserError as error:
            assert "\n" not in str(error)
            found["unmended"] += not mended(path)
        except Exception:
            found["tracebacks"] += 1
        else:
            told = set(rows_of(path)) | lost_of(path)
            found["untold"] += kind == "log bits" and not set(range(119)) <= told
        shutil.rmtree(path.parent)
    return found


def mended(path: Path) -> bool:
    """Whether a new record is there, and what it holds was written."""
    mend(path)
    Store(path).close()
    return set(rows_of(path)) <= set(range(120))


def test_whatever_is_damaged_is_one_sentence_and_mended(tmp_path: Path) -> None:
    assert search(tmp_path, SAMPLE) == {"tracebacks": 0, "unmended": 0, "untold": 0}


@pytest.mark.prove("damaged files")
def test_a_hundred_and_fifty_damages(tmp_path: Path, proof: Proof) -> None:
    found = search(tmp_path, WHOLE)
    for name, number in found.items():
        proof.promise(f"{WHOLE} damages by chance at a start: {name}", number, equals=0)
