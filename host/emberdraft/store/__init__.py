"""The record of every cook: one SQLite file, readable with ordinary SQLite tools."""

from emberdraft.store.errors import StoreBusy, StoreDamaged, StoreError, StoreFull, StoreNewer, StoreTaken
from emberdraft.store.place import default_path
from emberdraft.store.read import Reader
from emberdraft.store.store import Store

__all__ = [
    "Reader",
    "Store",
    "StoreBusy",
    "StoreDamaged",
    "StoreError",
    "StoreFull",
    "StoreNewer",
    "StoreTaken",
    "default_path",
]
