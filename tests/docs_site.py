"""What MkDocs is told beside mkdocs.yml: pages outside docs/, links that leave it, and scripts without inline code.

The pages are written for a reader of the repository, so that their links are paths in it. On the site, docs/ is the
root, hardware/ lies beside, and what is not on it (a source file) is named without a link. Inline scripts become files,
because the page that serves the site allows none (web/guard.py).
"""

from __future__ import annotations

import hashlib
import posixpath
import re
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[1]
LINK = re.compile(r"(!?)\[([^\]]*)\]\(([^)\s]+)\)")
FENCED = re.compile(r"(^ *```.*?^ *```$)", re.MULTILINE | re.DOTALL)
ICONS = re.compile(r'<link href="[^"]*css/(?:fontawesome|brands|solid|v4-font-face)\.min\.css" rel="stylesheet">\s*')
INLINE = re.compile(r"<script>(.*?)</script>", re.DOTALL)
BESIDE = ("hardware/*.md", "hardware/*.svg", "hardware/*.dxf", "hardware/wiring/*.svg")


def on_files(files: Any, config: Any) -> Any:
    """The pages and drawings of hardware/ onto the site."""
    from mkdocs.structure.files import File

    for pattern in BESIDE:
        for path in sorted(ROOT.glob(pattern)):
            files.append(File.generated(config, path.relative_to(ROOT).as_posix(), abs_src_path=str(path)))
    return files


def on_page_markdown(markdown: str, page: Any, config: Any, files: Any) -> str:
    """Links as the site has them."""
    on_site = {file.src_uri for file in files}
    parts = FENCED.split(markdown)
    parts[::2] = [LINK.sub(lambda found: relinked(found, page.file.src_uri, on_site), part) for part in parts[::2]]
    return "".join(parts)


def relinked(found: re.Match[str], src_uri: str, on_site: set[str]) -> str:
    """One link of a page: to its place on the site, or its words alone."""
    picture, words, target = found.groups()
    path, mark, anchor = target.partition("#")
    if "://" in target or not path:
        return found[0]
    here = src_uri if src_uri.startswith("hardware/") else f"docs/{src_uri}"
    uri = posixpath.normpath(posixpath.join(posixpath.dirname(here), path)).removeprefix("docs/")
    if uri not in on_site:
        return words
    return f"{picture}[{words}]({posixpath.relpath(uri, posixpath.dirname(src_uri) or '.')}{mark}{anchor})"


def on_post_page(output: str, page: Any, config: Any) -> str:
    """Each inline script as a file of its own, named by what is in it; no icon fonts, which the words do not need."""
    folder = Path(config.site_dir) / "js"
    folder.mkdir(parents=True, exist_ok=True)
    up = posixpath.relpath("js", posixpath.dirname(page.file.dest_uri) or ".")

    def outside(found: re.Match[str]) -> str:
        name = hashlib.sha256(found[1].encode()).hexdigest()[:12] + ".js"
        (folder / name).write_text(found[1], encoding="utf-8")
        return f'<script src="{up}/{name}"></script>'

    return INLINE.sub(outside, ICONS.sub("", output))


def on_post_template(output_content: str, template_name: str, config: Any) -> str:
    """No page for what is not there, which has inline scripts, and no map for robots: neither is for a local site."""
    return "" if template_name in ("404.html", "sitemap.xml") else output_content
