"""A headless Chromium, and the pages that the commands write."""

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner

from chemcheck.cli.main import main
from tests.browser.written import RUNS, evidence_run, hostile_file
from tests.reports.test_fleet_page import written as fleet_file


@pytest.fixture(scope="session")
def chromium() -> Iterator[object]:
    """Start Debian's Chromium without a screen; skip where there is none."""
    program = shutil.which("chromium")
    if program is None:
        # Whoever fetched the checker wants the pages looked at: no silent pass.
        give_up = pytest.fail if "CHEMCHECK_AXE" in os.environ else pytest.skip
        give_up("no Chromium on this machine")
    driver = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
    with driver.sync_playwright() as play:
        browser = play.chromium.launch(
            executable_path=program,
            # What Chromium would look up by itself is not the page's doing.
            args=[
                "--no-sandbox",
                "--disable-gpu",
                "--disable-quic",
                "--no-first-run",
                "--disable-background-networking",
                "--disable-component-update",
                "--disable-sync",
            ],
        )
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def axe() -> str:
    """Return the accessibility checker's script; empty where it was not fetched."""
    place = os.environ.get("CHEMCHECK_AXE")
    return Path(place).read_text(encoding="utf-8") if place else ""


@pytest.fixture(scope="session")
def pages(tmp_path_factory: pytest.TempPathFactory) -> dict[str, list[Path]]:
    """Write every kind of page there is."""
    folder = tmp_path_factory.mktemp("pages")
    (folder / "invented").mkdir()
    runs = RUNS | {
        "hostile": ("check", str(hostile_file(folder))),
        "fleet": ("forecast", str(fleet_file(folder / "invented"))),
        "evidence": evidence_run(folder),
    }
    found = {}
    for name, arguments in runs.items():
        result = CliRunner().invoke(main, [*arguments, "--out", str(folder / name)])
        assert result.exit_code in (0, 1), result.stderr
        units = sorted((folder / name / "units").glob("*.html"))
        # The pages of units are alike; of hostile ids each is another danger.
        few = units if name == "hostile" else units[:1] + units[-1:]
        found[name] = [*sorted((folder / name).glob("*.html")), *few]
        assert found[name], name
    return found
