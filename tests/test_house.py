"""The rules of the house: who may import whom, what may load at start, how long a file is."""

import ast
import importlib.util
import os
import re
import subprocess
import sys
import tarfile
from collections.abc import Collection, Iterator, Mapping, Sequence
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Final

import pytest
from hatchling.builders.sdist import SdistBuilder

from core.bag.tables import CUT_FIGURES, FINISHED_FIGURES, SANDWICH

ROOT = Path(__file__).parents[1]

ROOMS = (
    "core.base",
    "core.model",
    "core.flat",
    "core.goods",
    "core.site",
    "core.space",
    "core.work",
    "core.bodies",
    "core.tops",
    "core.parts",
    "core.bag",
    "core.solid",
    "core.redesign",
    "core.sewing",
    "core.cutting",
    "core.drawing",
    "core.output",
    "core.storage",
)
"""Each room imports from itself and from rooms above it."""

VIEWS = (
    "app.views.measures",
    "app.views.flat",
    "app.views.fold",
    "app.views.cutting",
    "app.views.sewing",
    "app.views.findings",
    "app.views.changes",
    "app.dialogs",
)
"""The views meet only through the document."""

APP_ROOMS = (
    "app.about",
    "app.session",
    "app.widgets",
    "app.files",
    "app.window.actions",
    "app.window.action_table",
    "app.help",
    "app.views",
    "app.dialogs",
    "app.window",
    "app.__main__",
)
"""The same of the window. The commands stand beside it and know none of them but the first."""

LATER = (
    *("scipy", "reportlab", "pypdfium2", "hypothesis", "msgspec"),
    *(
        "core.solid.fill",
        "core.solid.capacity",
        "core.solid.surface",
        "app.views.fold.surface_paint",
    ),
    *("core.work.bench", "core.sewing.steps", "core.sewing.strength"),
    *("core.output.booklet", "app.views.sewing.tab"),
    "core.redesign.redesign",
    *(
        "core.cutting.plan",
        "core.storage.goods_library",
        "core.output.pdf",
        "app.session.cutting_plan",
    ),
)
"""Not loaded before the window shows: together they take longer than everything else."""

TAKES_TEXT_APART = frozenset(
    {
        # What the maker typed, or a number as it is read.
        *("core/base/quantities.py", "core/base/units.py", "core/base/quantities.py"),
        *("core/base/sentences.py", "core/base/errors.py", "app/widgets/figure_box.py"),
        *("app/dialogs/layers/cells.py", "app/dialogs/variants.py", "app/session/display.py"),
        *("app/views/measures/capacity_rows.py", "app/help/search.py"),
        # The command line, and names and texts of files.
        *(
            "app/cli/files.py",
            "app/cli/options.py",
            "app/cli/program.py",
            "app/cli/redesign_command.py",
        ),
        *("core/base/atomic_write.py", "core/output/csv.py", "core/output/papers.py"),
        *("core/storage/groups.py", "core/storage/bag_file.py", "app/files/autosave.py"),
        *("app/files/export.py", "app/files/recovery.py", "app/session/settings.py"),
        # Addresses in the help, and what is told of packages that are installed.
        *("app/help/access.py", "app/help/window.py", "app/about.py"),
    }
)
"""Files that look into texts. What pieces, edges, marks, seams and figures are is told by ids and
roles: no code asks it of what they are called."""

LOOKS_INTO_TEXT = frozenset(
    {"startswith", "endswith", "removeprefix", "removesuffix", "partition", "rpartition", "rsplit"}
)

MOST_LINES = 450

MOST_DATACLASSES = 28
"""Those of the demo bag's body and top among them."""

NOTHING: Final[Mapping[str, str]] = MappingProxyType({})

REFUSE = """
import sys
class Refuse:
    def find_spec(self, name, path=None, target=None):
        if name.split('.')[0] in {names!r}:
            raise ImportError(name + ' is out of bounds here')
sys.meta_path.insert(0, Refuse())
"""
"""Start of a program in which some packages cannot be imported."""


def output_of(program: str, own: Mapping[str, str] = NOTHING) -> str:
    """What `program` prints, run in a fresh process at the root of the project; it must succeed.

    `own` is of its environment.
    """
    run = subprocess.run(
        [sys.executable, "-W", "error", "-c", program],
        cwd=ROOT,
        env=os.environ | {"PYTHONPATH": str(ROOT), "PYTHONDONTWRITEBYTECODE": "1"} | dict(own),
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    if run.returncode:
        pytest.fail(run.stderr or f"ended with {run.returncode}")
    return run.stdout


def sources(*rooms: str) -> list[Path]:
    """The files of each room, which is a folder or a single file."""
    files = [ROOT / f"{room}.py" for room in rooms if (ROOT / f"{room}.py").exists()]
    return sorted(files + [path for room in rooms for path in (ROOT / room).rglob("*.py")])


def module_name(path: Path) -> str:
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


@cache
def imports(path: Path, *, typing: bool = True) -> tuple[tuple[int, str], ...]:
    """(line, dotted name) of everything that a file imports, wherever in the file.

    `typing` counts in what only the type checker sees.
    """
    package = module_name(path).split(".")
    if path.name != "__init__.py":
        package.pop()
    tree = ast.parse(path.read_text(encoding="utf-8"))
    unseen = {
        below
        for node in ast.walk(tree)
        if isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING" and not typing
        for below in ast.walk(node)
    }
    found: list[tuple[int, str]] = []
    for node in ast.walk(tree):
        if node in unseen:
            continue
        if isinstance(node, ast.Import):
            found += [(node.lineno, alias.name) for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            above = package[: len(package) - node.level + 1] if node.level else []
            stem = ".".join([*above, *filter(None, [node.module])])
            found += [(node.lineno, f"{stem}.{alias.name}") for alias in node.names]
    return tuple(found)


def lies_in(name: str, room: str) -> bool:
    return name == room or name.startswith(room + ".")


def rank(name: str, rooms: Sequence[str] = ROOMS) -> int | None:
    """Place of the room that `name` lies in; None when it lies in none."""
    return next((place for place, room in enumerate(rooms) if lies_in(name, room)), None)


def unruly_core_imports(path: Path) -> list[str]:
    own = rank(module_name(path))
    wrong = []
    for line, name in imports(path):
        where = f"{path.relative_to(ROOT)}:{line} imports {name}"
        if name.split(".")[0] in ("app", "PySide6", "shiboken6"):
            wrong.append(f"{where}: core knows no window")
        elif lies_in(name, "core"):
            other = rank(name)
            if other is None:
                wrong.append(f"{where}: not a room of the house")
            elif own is None or other > own:
                wrong.append(f"{where}: that room lies below")
    return wrong


@pytest.mark.parametrize("folder", ["core/space", "core/solid", "app/views/fold"])
def test_what_is_seen_in_space_knows_no_construction(folder: str) -> None:
    """Bodies, tops and parts say how they fold and fill; who draws it asks none of them by name."""
    kinds = ("core.bodies.", "core.tops.", "core.parts.")
    files = sources(folder)
    assert files, f"{folder} is empty"
    wrong = [
        f"{path.relative_to(ROOT)}:{line} imports {name}"
        for path in files
        for line, name in imports(path)
        if name.startswith(kinds)
    ]
    assert wrong == []


def test_every_core_module_imports_without_qt_and_without_app() -> None:
    modules = [module_name(path) for path in sources("core")]
    assert "core.bag.compute" in modules
    program = REFUSE.format(names=("PySide6", "shiboken6", "app"))
    program += f"import importlib\nfor name in {modules!r}: importlib.import_module(name)"
    output_of(program)


@pytest.mark.parametrize("path", sources("core"), ids=module_name)
def test_core_file_imports_only_from_rooms_above(path: Path) -> None:
    name = module_name(path)
    assert name == "core" or rank(name) is not None, f"{name} is no room: give it its place"
    assert unruly_core_imports(path) == []


@pytest.mark.parametrize("path", sources("app"), ids=module_name)
def test_app_file_imports_only_from_rooms_above(path: Path) -> None:
    name = module_name(path)
    own = rank(name, APP_ROOMS)
    assert name == "app" or lies_in(name, "app.cli") or own is not None, f"{name} is no room"
    wrong = [
        f"{path.relative_to(ROOT)}:{line} imports {other}"
        for line, other in imports(path, typing=False)
        if lies_in(other, "app") and own is not None and not_above(other, own)
    ]
    assert wrong == []


def not_above(name: str, own: int) -> bool:
    other = rank(name, APP_ROOMS)
    return other is None or other > own


def nodes_beside(path: Path, words: Collection[str]) -> Iterator[ast.AST]:
    """What a file says, if one of the words stands in it behind a point; else nothing."""
    text = path.read_text(encoding="utf-8")
    if re.search(rf"\.\s*({'|'.join(words)})\b", text):
        yield from ast.walk(ast.parse(text))


def test_nothing_is_told_by_a_part_of_its_name() -> None:
    found = {
        path.relative_to(ROOT).as_posix()
        for path in sources("core", "app")
        for node in nodes_beside(path, LOOKS_INTO_TEXT)
        if isinstance(node, ast.Attribute) and node.attr in LOOKS_INTO_TEXT
    }
    assert found - TAKES_TEXT_APART == set()
    assert TAKES_TEXT_APART - found == set(), "no longer an exception"


def test_nothing_is_told_by_what_it_is_called() -> None:
    asked = {"name", "label", "word"}
    found = [
        f"{path.relative_to(ROOT)}:{node.lineno} {ast.unparse(node)}"
        for path in sources("core", "app")
        if path.name not in ("atomic_write.py", "about.py", "groups.py")  # files and fields
        for node in nodes_beside(path, asked)
        if isinstance(node, ast.Compare)
        and isinstance(node.left, ast.Attribute)
        and node.left.attr in asked
        and any(isinstance(each, ast.Constant) and each.value for each in node.comparators)
    ]
    assert found == []


FIGURES_OF_THEIR_OWN = ("core/bodies", "core/tops", "core/parts", "core/storage/migrations.py")
"""Rooms that may name figures of bodies, tops and parts; so may the help, which explains them."""


def test_no_room_names_a_figure_that_is_not_its_own() -> None:
    """What any other wants to know of a figure is an attribute of it; the wall owns the rest."""
    every = (*CUT_FIGURES, *FINISHED_FIGURES)
    names = {figure.name for figure in every if figure.part != SANDWICH}
    assert {"inside_volume", "front_trim", "handle_stop"} <= names
    found = [
        f"{path.relative_to(ROOT)}:{node.lineno}: {node.value}"
        for path in sources("core", "app")
        if not path.relative_to(ROOT).as_posix().startswith((*FIGURES_OF_THEIR_OWN, "app/help"))
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Constant) and node.value in names
    ]
    assert found == []


def kinds_in(source: str) -> Iterator[str]:
    """Names of the classes of a file and of other types that it gives a name; no private ones."""
    for node in ast.parse(source).body:
        names = [node.name] if isinstance(node, ast.ClassDef) else []
        if isinstance(node, ast.Assign) and not ast.unparse(node.value).startswith("TypeVar("):
            names = [each.id for each in node.targets if isinstance(each, ast.Name)]
        yield from (each for each in names if re.fullmatch(r"[A-Z]\w*[a-z]\w*", each))


def test_a_class_name_has_one_meaning() -> None:
    planted = (
        "class Row:\n    pass\nSpot = tuple[int, int]\nT = TypeVar('T')\n_Part = str\nLOW = 1\n"
    )
    assert list(kinds_in(planted)) == ["Row", "Spot"]
    found: dict[str, list[str]] = {}
    for path in sources("core", "app"):
        for name in kinds_in(path.read_text(encoding="utf-8")):
            found.setdefault(name, []).append(module_name(path))
    assert {name: places for name, places in found.items() if len(places) > 1} == {}


@pytest.mark.parametrize("view", VIEWS)
def test_views_never_import_each_other(view: str) -> None:
    files = sources(view.replace(".", "/"))
    assert files, f"{view} is empty"
    others = [other for other in VIEWS if other != view]
    wrong = [
        f"{path.relative_to(ROOT)}:{line} imports {name}"
        for path in files
        for line, name in imports(path)
        if any(lies_in(name, other) for other in others)
    ]
    assert wrong == []


def test_the_commands_need_no_qt(tmp_path: Path) -> None:
    box = ["--construction", "boxed-panel", "--width", "300", "--depth", "120", "--height", "250"]
    words: dict[str, list[str]] = {
        "new": [str(tmp_path / "new.json"), *box],
        "figures": [],
        "check": [],
        "export": [str(tmp_path / "pattern.pdf")],
        "redesign": ["--want", "base_width=10 in"],
        "materials": [],
        "steps": [],
        "booklet": [str(tmp_path / "booklet.pdf")],
    }
    few = [word for part in ("pocket", "handles", "board") for word in ("--without", part)]
    program = REFUSE.format(names=("PySide6", "shiboken6"))
    program += f"""
from app.cli import COMMANDS, main
assert COMMANDS.keys() == {words!r}.keys()
print([main([command, *rest, *{few!r}]) for command, rest in {words!r}.items()])"""
    assert output_of(program).endswith("[0, 0, 0, 0, 0, 0, 0, 0]\n")


def test_the_window_loads_no_heavy_library_before_it_shows() -> None:
    program = f"""
import sys, app.window.main_window
print(*[name for name in {LATER!r} if name in sys.modules])"""
    assert output_of(program).split() == []
    for name in (each for each in LATER if "." in each):
        assert importlib.util.find_spec(name), f"{name} is not there: it says nothing"


def test_the_window_folds_a_bag_without_knowing_how_it_is_sewn() -> None:
    program = """
import sys, core.bodies.boxed_panel.space
print(*[name for name in sys.modules if name.startswith("core.work")])"""
    assert output_of(program).split() == []


def test_the_first_paint_waits_for_nothing_of_the_core() -> None:
    program = """
import sys, app.__main__
print(*[name for name in sys.modules if name.split(".")[0] == "core"])"""
    assert output_of(program).split() == []


NOTING_ENUMS = """
import enum
made, call = [], enum.EnumType.__call__
def noting(cls, value, names=None, *rest, **more):
    if names is None:
        return call(cls, value, *rest, **more)
    made.append(value)
    return call(cls, value, names, *rest, **more)
enum.EnumType.__call__ = noting
from app.__main__ import make_app, make_window, show_opening
opening = show_opening(make_app())
"""


def test_the_first_paint_makes_no_enum_of_qt_s_own_namespace() -> None:
    """There are a hundred, made when `Qt` is first named or an overload is sought among them."""
    program = f"""{NOTING_ENUMS}
wanted = ("RenderFlag", "PixelMetric", "AlignmentFlag", "PenStyle")
print(*[name for name in wanted if name in made])"""
    assert output_of(program).split() == ["RenderFlag"], "of the widget, and of no style"


def test_the_window_makes_no_enum_of_a_style() -> None:
    """There are eleven with hundreds of members, made when a style is named or handed out."""
    program = f"""{NOTING_ENUMS}
from PySide6.QtCore import QSettings
from PySide6.QtWidgets import QApplication
from app.session.settings import Settings
make_window(Settings(QSettings()), opening).show()
QApplication.processEvents()
print(*[name for name in ("PixelMetric", "PenStyle") if name in made])"""
    assert output_of(program).split() == ["PenStyle"]


def test_the_flat_pieces_are_drawn_without_numpy_and_shapely() -> None:
    """They come first at a start, and these two take as long to load as all else till then."""
    program = """
import sys
from PySide6.QtCore import QSettings
from app.__main__ import make_app
app = make_app()
from app.session.display import Display
from app.session.document import Document
from app.session.session import Session
from app.session.settings import Settings
from app.views.flat.pane import FlatPane
from core.storage.bag_files import demo_bag
document = Document(demo_bag())
settings = Settings(QSettings('none', 'none'))
pane = FlatPane(Session(document, Display(document.bag.unit), settings))
assert not pane.grab().isNull()
print(*[name for name in ("numpy", "shapely") if name in sys.modules])
"""
    assert output_of(program).split() == []


def test_the_whole_window_is_drawn_without_numpy_and_shapely() -> None:
    """The folding bag is placed and projected in plain numbers; arrays come with the filled one."""
    program = """
import sys
from PySide6.QtCore import QSettings
from PySide6.QtWidgets import QApplication
from app.__main__ import make_app, make_window, show_opening
from app.session.settings import Settings
opening = show_opening(make_app())
window = make_window(Settings(QSettings('none', 'none')), opening)
window.show()
QApplication.processEvents()
assert not window.grab().isNull() and window.fold.view.view.order
print(*[name for name in ("numpy", "shapely") if name in sys.modules])
"""
    assert output_of(program).split() == []


DRAWN = """
import dataclasses, re, sys
made, compared, process = [], [], dataclasses._process_class
def noting(cls, init, repr, eq, *rest):
    made.append(cls.__qualname__)
    if eq:
        compared.append(cls.__qualname__)
    return process(cls, init, repr, eq, *rest)
dataclasses._process_class = noting
from PySide6.QtCore import QSettings
from PySide6.QtWidgets import QApplication
from app.__main__ import make_app, make_window, show_opening
opening = show_opening(make_app())
from app.session.settings import Settings
from app.window.error_log import log_folder, start_log, tell_bugs
start_log(log_folder())
tell_bugs()
window = make_window(Settings(QSettings('none', 'none')), opening)
window.show()
QApplication.processEvents()
assert not window.grab().isNull()
"""
"""A program that has the whole window drawn; `made` names the dataclasses compiled for it,
`compared` those of them that have an `__eq__` of their own."""

UNDRAWN = (
    *("app.files.export", "app.views.changes.table", "app.window.log_file"),
    *("core.output.papers", "core.output.print_options", "socket", "logging.handlers"),
    *("core.bag.construction", "core.bag.left_out", "core.redesign.request"),
    *("core.drawing.labels", "core.storage.migrations"),
)
"""Modules without which the whole window is drawn, besides those of `LATER`."""

UNMADE = (
    *("QDateTime", "QEventLoop", "QFileSystemWatcher", "QLockFile", "QSocketNotifier"),
    *("QAbstractTableModel", "QDialog", "QInputDevice", "QProgressDialog", "QShortcut"),
    *("QEasingCurve", "QVariantAnimation"),
)
"""Qt's classes without which it is: each is made, with its enums, when it is first named."""


def test_the_whole_window_is_drawn_without_what_is_asked_for_later(tmp_path: Path) -> None:
    # The offscreen platform has no window manager, and says so: that would load the log's file.
    quiet = {"QT_LOGGING_RULES": "default.warning=false", "XDG_DATA_HOME": str(tmp_path)}
    program = f"""{DRAWN}
from PySide6 import QtCore, QtGui, QtWidgets
named = {{**vars(QtCore), **vars(QtGui), **vars(QtWidgets)}}
assert "QMainWindow" in named and "app.files.files" in sys.modules
print(*[name for name in {UNDRAWN!r} if name in sys.modules])
print(*[name for name in {UNMADE!r} if name in named])"""
    assert output_of(program, quiet).split() == []
    for name in UNDRAWN:
        assert importlib.util.find_spec(name), f"{name} is not there: it says nothing"


def test_only_the_bag_s_own_body_and_top_are_loaded_before_the_whole_window_is_drawn(
    tmp_path: Path,
) -> None:
    """Of the others their names, figures and choices will do."""
    program = f"""{DRAWN}
from core.bodies.table import BODIES
from core.tops.table import TOPS
print(*[each.kind for each in (*BODIES.told, *TOPS.told) if each.place[0] in sys.modules])"""
    loaded = output_of(program, {"XDG_DATA_HOME": str(tmp_path)}).split()
    assert loaded == ["boxed-panel", "zip-forward"]


def test_few_dataclasses_are_compiled_before_the_whole_window_is_drawn(tmp_path: Path) -> None:
    """Half a millisecond each: what nobody compares or copies is a plain class."""
    program = f"{DRAWN}\nprint(*made)\nprint(*compared)"
    made, compared = output_of(program, {"XDG_DATA_HOME": str(tmp_path)}).splitlines()
    assert "Bag" in made.split()
    assert len(made.split()) <= MOST_DATACLASSES, made
    assert set(compared.split()) <= {"Result", "StitchOutline"}, "what is compared is `Compared`"


def test_what_typed_texts_are_read_by_is_compiled_when_one_is_typed() -> None:
    program = """
import re
from core.base import quantities, sanitize, units
print(*[name for room in (quantities, sanitize, units)
        for name, value in vars(room).items() if isinstance(value, re.Pattern)])"""
    assert output_of(program).split() == ["_WITHIN"], "of shown texts"


def test_void_calls_give_back_no_borrowed_none(qapp: object) -> None:
    """A void call must leave the count of None as it found it.

    PySide6 6.12.0 on CPython 3.11 and older returns a borrowed None from each call that
    returns nothing: the count falls by one a call, and at zero the process aborts (seen
    here; the reason for the upper bound in pyproject.toml). From CPython 3.12 on None is
    immortal (PEP 683, 2023) and its count stands still, so the test holds there by nature.
    """
    from PySide6.QtWidgets import QWidget

    widget = QWidget()
    calls = 400
    before = sys.getrefcount(None)
    for _ in range(calls):
        widget.update()
    lost = before - sys.getrefcount(None)
    widget.deleteLater()
    assert lost < calls / 10


@pytest.mark.parametrize("path", sources("core", "app"), ids=module_name)
def test_file_is_short_enough_to_read(path: Path) -> None:
    lines = len(path.read_text(encoding="utf-8").splitlines())
    assert lines <= MOST_LINES, f"{lines} lines: this file wants to be two"


def test_every_file_that_developers_are_told_of_is_there() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    told = set(re.findall(r"`([\w/*]+\.(?:py|toml|npz|json))`", text))
    assert len(told) > 100
    lost = {
        each
        for each in told
        if not any(ROOT.glob(each)) and not any(sources_named(each.rpartition("/")[2], each))
    }
    assert lost == set()


def sources_named(name: str, told: str) -> Iterator[Path]:
    """Files of ours by a name, in a folder that is left out where they are told of."""
    for folder in ("core", "app", "tests", "resources"):
        yield from (each for each in (ROOT / folder).rglob(name) if each.match(told))


@pytest.mark.parametrize("folder", ["core", "app", "resources"])
def test_every_folder_of_code_is_a_package(folder: str) -> None:
    """A folder without `__init__.py` would be left out of the installed program."""
    folders = {path.parent for path in sources(folder)}
    assert [str(path) for path in folders if not (path / "__init__.py").exists()] == []


def test_the_source_archive_carries_all_tests(tmp_path: Path) -> None:
    """Who packs the program from it must be able to pass them; a few of them are of no use."""
    archive = SdistBuilder(str(ROOT)).build(directory=str(tmp_path))
    with tarfile.open(next(archive)) as packed:
        held = {name.partition("/")[2] for name in packed.getnames()}
    folders = ("tests", "app", "core", "resources", ".ci")
    there = [each for folder in folders for each in (ROOT / folder).rglob("*") if each.is_file()]
    ours = {each.relative_to(ROOT).as_posix() for each in there if each.suffix != ".pyc"}
    assert ours <= held
    beside = {"README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml", ".gitignore", "PKG-INFO"}
    assert held - ours == beside
