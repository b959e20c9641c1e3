"""Help: the documentation as `make docs` built it, served under /help, or one line that says where it is."""

from __future__ import annotations

from pathlib import Path

from starlette.responses import PlainTextResponse, RedirectResponse
from starlette.staticfiles import StaticFiles
from starlette.types import Receive, Scope, Send

REPOSITORY = Path(__file__).parents[3]
SITE = REPOSITORY / "build" / "help"


def where(docs: Path) -> str:
    """What a person reads instead of a site that nobody built."""
    if docs.is_dir():
        return (
            f"The help is not built here. Its pages are files in {docs}: begin with README.md. `make docs` builds it."
        )
    return "The help is not part of this installation. Its pages are files in the folder docs of the repository."


class Help:
    """ASGI: looked for at each request, so that a site that is built while the host runs is there."""

    def __init__(self, site: Path = SITE, docs: Path = REPOSITORY / "docs") -> None:
        self._site, self._docs = site, docs

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if not (self._site / "index.html").is_file():
            await PlainTextResponse(where(self._docs) + "\n")(scope, receive, send)
        elif scope["path"] == scope.get("root_path"):
            await RedirectResponse(scope["path"] + "/")(scope, receive, send)
        else:
            await StaticFiles(directory=self._site, html=True)(scope, receive, send)
