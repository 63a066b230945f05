"""About: the version of the project's one place, and the licence of everything that is shipped."""

import subprocess
import sys
import tomllib
from importlib.metadata import version
from pathlib import Path

import pytest
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication

from app import about
from app.about import components, plain_package, program_version
from app.dialogs.about import AboutDialog
from tests.app.hands import Hands

ROOT = Path(__file__).parents[2]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
NEEDED = [plain_package(each) for each in PROJECT["dependencies"]]
"""What pyproject.toml says that a running program needs."""
IN_TURN = ("shiboken6", "pillow", "charset-normalizer")
"""What PySide6-Essentials and reportlab bring along, as their own pages in the index say."""
FONTS = sorted(each.stem for each in (ROOT / "resources" / "fonts").glob("*.ttf"))


def listed() -> dict[str, about.Component]:
    """Name as an index compares it -> the work, whatever library it says that it holds."""
    return {plain_package(work.name.partition(" (")[0]): work for work in components()}


@pytest.mark.parametrize("name", ["cornerwright", "python", *NEEDED, *IN_TURN])
def test_everything_that_runs_is_listed_with_the_text_of_its_licence(name: str) -> None:
    work = listed()[name]
    assert work.licence
    assert work.version
    texts = dict(work.texts())
    assert sum(map(len, texts.values())) > 900, "a licence, not a line about one"
    if name not in ("cornerwright", "python"):
        assert work.version == version(name)


def test_every_font_is_listed() -> None:
    fonts = components()[-1]
    named = [each.replace("Sans Bold", "Sans-Bold") for each in fonts.name.split(", ")]
    assert [each.replace(" ", "") for each in named] == FONTS
    assert "Bitstream Vera Fonts Copyright" in dict(fonts.texts())["LICENSE.txt"]


def test_what_is_under_the_lgpl_tells_where_its_sources_are() -> None:
    """LGPL 3, section 4: a copy of the LGPL and of the GPL goes with it; section 1 of both."""
    found = listed()
    for name in ("pyside6-essentials", "shiboken6"):
        texts = dict(found[name].texts())
        assert "GNU LESSER GENERAL PUBLIC LICENSE" in texts["LGPL-3.0.txt"]
        assert "GNU GENERAL PUBLIC LICENSE" in texts["GPL-3.0.txt"]
        assert any("download.qt.io" in each for each in found[name].sources)
    assert any("GNU LESSER" in text for _, text in found["shapely"].texts()), "of GEOS"
    assert "geos" in found["shapely"].sources[0]


def test_the_version_is_told_quickly_and_without_qt() -> None:
    """One line; whatever the command line or the window would load is not loaded."""
    program = (
        "import sys\nfrom app.cli import main\ncode = main(['--version'])\n"
        "print(code, *sorted({'PySide6', 'numpy', 'core.bag.bag', 'argparse'} & set(sys.modules)))"
    )
    run = subprocess.run(
        [sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert run.stdout == f"cornerwright {PROJECT['version']}\n0\n"


def test_a_program_that_is_not_installed_has_the_version_of_its_folder(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(about, "OWN", "no-such-package")
    assert program_version() == PROJECT["version"]
    assert set(NEEDED) <= set(listed())


def test_the_dialog_shows_each_licence(hands: Hands) -> None:
    seen: list[str] = []

    def look() -> None:
        dialog = QApplication.activeModalWidget()
        assert isinstance(dialog, AboutDialog)
        for place in range(dialog.names.count()):
            dialog.names.setCurrentRow(place)
            text = dialog.text.toPlainText()
            assert dialog.names.item(place).text() in text
            seen.append(text)
        dialog.reject()

    QTimer.singleShot(0, look)
    hands.window.commands["about"].trigger()
    assert len(seen) == len(components())
    assert "Permission is hereby granted, free of charge" in seen[0]
    assert len(set(seen)) == len(seen)
