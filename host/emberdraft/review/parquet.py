"""A cook as a parquet file: the readings as typed columns, everything else as JSON in the file's metadata."""

from __future__ import annotations

import importlib.util
import io
import json
from typing import Any

from emberdraft.errors import UserError
from emberdraft.review.bringing import FLAGS, NUMBERS, WHOLES
from emberdraft.review.export import json_parts
from emberdraft.store.read import Reader
from emberdraft.store.records import READING_COLUMNS

KEY = b"emberdraft"


def parquet_bytes(reader: Reader, cook_id: int) -> bytes:
    """The whole file. UserError when pyarrow is not installed: it is an extra, since it is large."""
    try:
        import pyarrow
        import pyarrow.parquet
    except ImportError:
        raise UserError(
            "parquet needs pyarrow, which is not installed; pip install 'emberdraft[parquet]', or --format csv"
        ) from None
    columns = reader.readings(cook_id)
    fields = [pyarrow.field(name, _kind(pyarrow, name)) for name in READING_COLUMNS]
    about = json.dumps(json_parts(reader, cook_id), allow_nan=False, ensure_ascii=False).encode()
    schema = pyarrow.schema(fields, metadata={KEY: about})
    out = io.BytesIO()
    pyarrow.parquet.write_table(pyarrow.table(columns, schema=schema), out, compression="zstd")
    return out.getvalue()


def has_parquet() -> bool:
    """Whether the extra is installed; it is not loaded for the question."""
    try:
        return importlib.util.find_spec("pyarrow") is not None
    except ValueError:  # a module that is masked
        return False


def _kind(pyarrow: Any, name: str) -> Any:
    if name in FLAGS:
        return pyarrow.int8()
    if name in WHOLES:
        return pyarrow.int64()
    return pyarrow.float64() if name in NUMBERS else pyarrow.string()
