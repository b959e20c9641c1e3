"""Plain functions on flat rows of numbers, compiled by numba: the same source, for searches that need many runs.

numba is in the extra `bench`; nothing that a board or the service runs imports it.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable
from types import FunctionType, ModuleType
from typing import Any

from emberdraft.errors import UserError


def compiled(*modules: ModuleType) -> dict[str, Callable[..., Any]]:
    """Compile every function of the modules in place, callees first; return them by name."""
    try:
        import numba
    except ImportError as error:
        raise UserError("compiling needs the package numba: pip install emberdraft[bench]") from error
    fast: dict[Any, Any] = {}
    for module in modules:
        for name, function in inspect.getmembers(module, lambda each: isinstance(each, FunctionType)):
            if function.__module__ == module.__name__:
                fast[function] = numba.njit(function)
                setattr(module, name, fast[function])
    for module in modules:
        for name, value in list(vars(module).items()):
            if isinstance(value, FunctionType) and value in fast:
                setattr(module, name, fast[value])
    return {function.__name__: quick for function, quick in fast.items()}
