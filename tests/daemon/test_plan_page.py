"""docs/reference/plan.md says what the code does: every key, its default, the example, the order of steps."""

from __future__ import annotations

import re
from pathlib import Path

import msgspec
import pytest

from emberdraft import quantities as q
from emberdraft.daemon import plan_form as form
from emberdraft.daemon.plan import parse_plan
from emberdraft.daemon.prompt_kinds import PROMPT_KINDS
from emberdraft.daemon.steps import diagram

PAGE = (Path(__file__).parents[2] / "docs" / "reference" / "plan.md").read_text(encoding="utf-8")
TABLES = {
    "At the top": form.PlanForm,
    "`[light]`": form.Light,
    "`[soak]`": form.Soak,
    "`[set_up]`": form.SetUp,
    "`[slow]`": form.Slow,
    "`[climb]`": form.Climb,
    "`[sear]`": form.Sear,
    "`[bank]`": form.Bank,
    "`[[piece]]`": form.Piece,
    "`[[gains]]`": form.Gains,
    "`[stand_in]`": form.StandIn,
    "`[[stand_in.act]]`": form.Act,
}
READERS = {
    "temperature": q.temperature_c,
    "time": q.duration_s,
    "mass": q.mass_kg,
    "share": q.share,
    "speed": q.speed_mps,
}
FIELDS = [(head, field) for head, table in TABLES.items() for field in msgspec.structs.fields(table)]


def rows_under(head: str) -> dict[str, list[str]]:
    """key -> cells of the table under a heading."""
    section = PAGE.split(f"### {head}", 1)[1].split("\n### ")[0].split("\n## ")[0]
    cells = [
        [cell.strip() for cell in line.strip("|").split("|")] for line in section.splitlines() if line[:3] == "| `"
    ]
    return {row[0].strip("`"): row for row in cells}


@pytest.mark.parametrize("head", TABLES)
def test_the_page_has_every_key_and_no_other(head):
    assert list(rows_under(head)) == [field.encode_name for field in msgspec.structs.fields(TABLES[head])]


@pytest.mark.parametrize(("head", "field"), FIELDS, ids=lambda x: getattr(x, "encode_name", x))
def test_the_page_has_the_default_of_the_code(head, field):
    _, kind, said, _ = rows_under(head)[field.encode_name]
    assert (said == "needed") == field.required
    if isinstance(field.default, bool):
        assert said == str(field.default).lower()
    elif isinstance(field.default, int | float) and kind in READERS:
        assert READERS[kind](said) == pytest.approx(float(field.default))
    elif isinstance(field.default, int | str) and not field.required:
        assert said.strip('"') == str(field.default)


def test_the_example_of_the_page_is_a_plan():
    (example,) = re.findall(r"```toml\n(.*?)```", PAGE, re.DOTALL)
    plan = parse_plan(example)
    assert plan.invented
    assert plan.phases == ["light", "soak", "slow", "climb", "sear", "bank"]


def test_the_page_names_every_kind_of_prompt():
    assert rows_under("`[[stand_in.act]]`")["prompt"][3].split(", ") == list(PROMPT_KINDS)


def test_the_order_of_steps_on_the_page_is_the_table_of_the_code():
    assert f"```\n{diagram()}\n```" in PAGE
