"""The page: a Starlette application in front of one service and one store, and the server that runs it."""

from emberdraft.web.app import create_app
from emberdraft.web.server import PageServer

__all__ = ["PageServer", "create_app"]
