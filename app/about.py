"""What the program is: its version, and everything that it is made of with its licence. No Qt.

Versions, licences and their texts are read from what is installed, so that they are those of the
very files that run. What comes without a text of its own has one in `resources/licences`.
"""

import re
import sys
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from importlib.metadata import Distribution, PackageNotFoundError, distribution, version
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final

from resources import FOLDER

OWN: Final = "cornerwright"
_PROJECT: Final = Path(__file__).parents[1] / "pyproject.toml"
_NAME: Final = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]*")
_TEXT: Final = re.compile(r"(?i)licen[cs]e|copying|notice")
_NO_TEXT: Final = (".py", ".pyc")
_SHORT: Final = 60
"""Letters of a licence's name; what is longer is its text, written in the wrong place."""

LGPL: Final = ("LGPL-3.0.txt", "GPL-3.0.txt")
"""The LGPL 3 adds to the GPL 3, and is not whole without it."""

WITHOUT_TEXTS: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {"pyside6-essentials": LGPL, "shiboken6": LGPL}
)
"""Packages whose wheels hold no text of their licence -> where it lies here."""

HOLDS: Final[Mapping[str, str]] = MappingProxyType(
    {"pyside6-essentials": "Qt", "shapely": "GEOS", "pypdfium2": "PDFium"}
)
"""Packages that bring a well-known library of another name along -> that name."""

SOURCES: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        "pyside6-essentials": (
            "https://download.qt.io/official_releases/qt/",
            "https://download.qt.io/official_releases/QtForPython/",
            "https://doc.qt.io/qt-6/licenses-used-in-qt.html",
        ),
        "shiboken6": ("https://download.qt.io/official_releases/QtForPython/",),
        "shapely": ("https://github.com/libgeos/geos",),
    }
)
"""Packages under the LGPL -> where their sources are, as it wants to be told."""


def program_version() -> str:
    """The version as it is installed; that of pyproject.toml where the program is not."""
    try:
        return version(OWN)
    except PackageNotFoundError:
        return str(_project()["version"])


@dataclass(frozen=True, slots=True)
class Component:
    """Something that the program is made of.

    Attributes:
        name: as its makers call it.
        version: as it is installed; empty where it has none of its own.
        licence: what it is called, for short.
        sources: where its sources are, where its licence wants that told.
        places: where the texts of its licence lie.
    """

    name: str
    version: str
    licence: str
    sources: tuple[str, ...]
    places: tuple[Path, ...]

    def texts(self) -> Iterator[tuple[str, str]]:
        """(name of the file, text) of its licence, one after another; they are read now."""
        for place in self.places:
            yield place.name, place.read_text(encoding="utf-8", errors="replace").strip()


def components() -> tuple[Component, ...]:
    """The program itself, then all that runs with it, then the fonts."""
    own = Component("Cornerwright", program_version(), "MIT", (), tuple(_own_licence()))
    fonts = Component(
        "DejaVu Sans, DejaVu Sans Bold",
        "2.37",
        "Bitstream Vera, Arev, public domain",
        (),
        (FOLDER / "fonts" / "LICENSE.txt",),
    )
    return (own, _python(), *(_work(each) for each in _packages()), fonts)


def _own_licence() -> Iterator[Path]:
    """The file that is installed, else the one in the program's folder."""
    try:
        found = [each for each in _texts_of(distribution(OWN)) if each.name == "LICENSE"]
    except PackageNotFoundError:
        found = []
    yield from found or [_PROJECT.with_name("LICENSE")]


def _python() -> Component:
    """The interpreter; some systems keep the text of its licence elsewhere, or not at all."""
    import platform
    import sysconfig

    stdlib = Path(sysconfig.get_path("stdlib"))
    places = (stdlib / "LICENSE.txt", Path(sys.base_prefix) / "LICENSE.txt")
    found = tuple(each for each in places if each.is_file())[:1]
    where = () if found else ("https://docs.python.org/3/license.html",)
    return Component("Python", platform.python_version(), "PSF-2.0", where, found)


def _packages() -> list[Distribution]:
    """Packages that the program needs and those that they need in turn, in the order of names."""
    found: dict[str, Distribution] = {}
    wanted = _requirements()
    while wanted:
        name = plain_package(wanted.pop())
        if name in found:
            continue
        try:
            package = distribution(name)
        except PackageNotFoundError:
            continue  # of another system or Python
        found[name] = package
        wanted += [each for each in package.requires or () if "extra ==" not in each]
    return [found[name] for name in sorted(found)]


def _requirements() -> list[str]:
    try:
        return [each for each in distribution(OWN).requires or () if "extra ==" not in each]
    except PackageNotFoundError:
        return [str(each) for each in _project()["dependencies"]]


def plain_package(requirement: str) -> str:
    """The name in a requirement, as an index compares it (PEP 503, PEP 508)."""
    found = _NAME.match(requirement.strip())
    return re.sub(r"[-_.]+", "-", found[0]).lower() if found else ""


def _work(package: Distribution) -> Component:
    name = plain_package(package.name)
    title = f"{package.name} ({HOLDS[name]})" if name in HOLDS else package.name
    places = tuple(_texts_of(package)) or tuple(
        FOLDER / "licences" / each for each in WITHOUT_TEXTS.get(name, ())
    )
    return Component(title, package.version, _licence_of(package), SOURCES.get(name, ()), places)


def _licence_of(package: Distribution) -> str:
    """What a package says that its licence is: an expression, a short name, or its kind."""
    told = package.metadata.json  # the keys of the metadata, each once
    if expression := told.get("license_expression"):
        return str(expression)
    kinds = [
        each.rpartition(" :: ")[2]
        for each in told.get("classifier", ())
        if each.startswith("License ::")
    ]
    name = str(told.get("license", "")).strip()
    if name and len(name) <= _SHORT and "\n" not in name:
        return name
    return ", ".join(kinds)


def _texts_of(package: Distribution) -> Iterator[Path]:
    """Every file of a package that holds terms: its own licence first."""
    found = [
        each
        for each in package.files or ()
        if each.suffix not in _NO_TEXT and (_TEXT.search(each.name) or "licenses" in each.parts)
    ]
    found.sort(
        key=lambda each: (not each.parts[0].endswith(".dist-info"), len(each.parts), str(each))
    )
    places = (Path(str(package.locate_file(each))) for each in found)
    yield from (each for each in places if each.is_file())


def _project() -> dict[str, Any]:
    """The project's own table, in the folder that it is run from."""
    import tomllib

    project: dict[str, Any] = tomllib.loads(_PROJECT.read_text(encoding="utf-8"))["project"]
    return project
