"""Trials whose truth is known, handed to the analysis as the record would: curves in cooks, assigned by chance."""

from __future__ import annotations

from typing import Any

import numpy as np

from emberdraft.trials.assign import assign

Row = dict[str, Any]
SECONDS = np.arange(0.0, 6000.0, 20.0)
PULL_C, START_C = 57.0, 4.0
USUAL_S = 3600.0


class KnownRecord:
    """A record with one trial: `blocks` blocks, one piece a treatment in each, a cook a block.

    The time to pull of a piece is 3600 s + what its block has in common + its own scatter + the effect of its
    treatment, all in s; treatments are dealt by `assign` from the seed, as the command does.
    """

    def __init__(
        self, blocks: int, seed: int, effects_s: tuple[float, ...] = (0.0, 0.0), scatter_s: float = 60.0,
        per_block: int = 1,
    ) -> None:  # fmt: skip
        rng = np.random.default_rng(seed)
        names = [f"t{k}" for k in range(len(effects_s))]
        pieces = [(f"{b}.{i}", f"block {b}") for b in range(blocks) for i in range(per_block * len(names))]
        given = assign(pieces, names, seed)
        common_s = rng.normal(0.0, 300.0, blocks)
        self.times_s: dict[int, list[float]] = {}
        rows = []
        for place, (name, block) in enumerate(pieces):
            cook_id = int(block.split()[1]) + 1
            k = names.index(given[name])
            own_s = USUAL_S + common_s[cook_id - 1] + rng.normal(0.0, scatter_s) + effects_s[k]
            own = self.times_s.setdefault(cook_id, [])
            letter = "ABCDEFGH"[len(own)]
            own.append(own_s)
            row = {"id": place, "name": name, "block": block, "treatment_id": k, "cook_id": cook_id, "letter": letter}
            rows.append(row)
        self.trial: Row = {
            **{"id": 1, "name": "known", "question": "?", "main": "time_to_pull", "seed": seed, "note": ""},
            **{"start_s": 0.0, "assigned_s": 1.0, "end_s": None, "least_value": None, "again_of": None, "invented": 1},
            **{"tolerance_c": 0.01, "off_centre_m": 0.0, "scale_kg": 0.001, "pieces": rows, "weighings": []},
            **{"treatments": [{"id": k, "name": n, "place": k} for k, n in enumerate(names)], "looks": []},
            **{"fridge": [], "tastings": []},
        }
        self.trials = self

    def whole(self, trial_id: int) -> Row | None:
        return self.trial if trial_id == 1 else None

    def all(self) -> list[Row]:
        return [self.trial]

    def cook(self, cook_id: int) -> Row:
        return {"id": cook_id, "name": "known", "start_s": 86400.0 * cook_id, "invented": 1}

    def pieces(self, cook_id: int) -> list[Row]:
        both = {"on_s": 0.0, "pulled_s": None, "pull_c": PULL_C, "thickness_m": 0.038}
        return [{**both, "letter": "ABCDEFGH"[i], "probe": i % 4} for i in range(len(self.times_s[cook_id]))]

    def readings(self, cook_id: int, start_s: Any = None, end_s: Any = None, names: Any = ()) -> dict[str, Any]:
        cores = [START_C + (PULL_C - START_C) * SECONDS / t for t in self.times_s[cook_id]]
        columns = {f"core{i + 1}_c": cores[i] if i < len(cores) else np.full(SECONDS.size, np.nan) for i in range(4)}
        return {"at_s": SECONDS, "pit_c": np.full(SECONDS.size, 115.0), **columns}
