"""Pictures of a running page, for the documents: python -m tests.web.pictures ADDRESS FOLDER"""

from __future__ import annotations

import sys
from pathlib import Path

from tests.web.conftest import BROWSER

SIZES = {"desk": ((1440, 900), 1), "phone": ((390, 844), 2)}
PAGES = {"now": "", "cooks": "cooks"}


def main(address: str, folder: Path) -> None:
    """One picture a page, screen and theme; the newest cook is looked back on as well."""
    from playwright.sync_api import sync_playwright

    folder.mkdir(parents=True, exist_ok=True)
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=BROWSER, args=["--no-sandbox"])
        for screen, ((width, height), scale) in SIZES.items():
            for theme in ("light", "dark"):
                view = {"width": width, "height": height}
                page = browser.new_page(viewport=view, device_scale_factor=scale, color_scheme=theme)
                for name, path in PAGES.items():
                    page.goto(address.rstrip("/") + "/" + path)
                    page.wait_for_timeout(1500)
                    page.screenshot(path=folder / f"{name}-{screen}-{theme}.png")
                page.click(".cooks a")
                page.wait_for_selector(".sums")
                page.screenshot(path=folder / f"cook-{screen}-{theme}.png")
                page.close()
        browser.close()


if __name__ == "__main__":
    main(sys.argv[1], Path(sys.argv[2]))
