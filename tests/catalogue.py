"""Every text that the program shows, out of its source: what translators are given.

Run `python -m tests.catalogue > cornerwright.pot`. The format is that of the GNU gettext manual
(chapter "The Format of PO Files"), the gaps are those of Python's `str.format`.
"""

import ast
import re
import sys
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

ROOT = Path(__file__).parents[1]
GAP = "{}"
"""Stands in a text for what a formatted string puts in."""
KEYWORDS = {
    "mark": (0,),
    "say": (0,),
    "plural": (0, 1),
    "tr": (0,),
    "usage_error": (0,),
    "file_error": (0, "detail"),
}
"""Function -> the places, and names, of its arguments that are texts."""
OF_THE_HELP = {
    "page_of": (1,),
    "head": (0,),
    "text": (0,),
    "step": (0,),
    "point": (0,),
    "row": (0, 1),
    "term": (0, 1),
    "Gloss": (0, 1),
    "Explained": (1, 2),
}
"""Keywords of the help's own pages, whose names mean something else elsewhere."""
TAKES_MARKED = {"say", "usage_error", "file_error", "head", "term"}
"""Keywords that are also given a text which was marked elsewhere, by its name."""
BUGS = {
    "TypeError",
    "LookupError",
    "RuntimeError",
    "FillerError",
    "KeyError",
    "AssertionError",
    "ValueError",
}
"""What is raised where only the program itself can be wrong: it is read in the log."""
SILENT_CALLS = {
    "re.compile", "getLogger", "logging.Formatter", "TypeVar", "require_finite", "Detail", "Group",
    "Word", "setHtml", "State",
}  # fmt: skip
"""What takes strings that nobody is shown; a file's schema is for programmers."""
_SAYING = re.compile(r"(wording|options|self)$")
"""Whose `say` is given a text: a `Wording`, the options of a booklet, or who has theirs."""
_GAP = re.compile(r"\{([^{}]*)\}")


@dataclass(frozen=True, slots=True)
class Text:
    """One text of the source.

    Attributes:
        place: file and line.
        words: as they stand there; `{}` for what a formatted string puts in.
        marked: whether a keyword takes it.
    """

    place: str
    words: str
    marked: bool = False


@dataclass(slots=True)
class Entry:
    """One text for translators.

    Attributes:
        one: the English text, which is its key.
        many: its form for other counts than one; empty for none.
        places: file and line of each call that has it.
        notes: what the source says to translators.
    """

    one: str
    many: str = ""
    places: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)


def sources() -> Iterator[Path]:
    """Files that are shipped."""
    for folder in ("app", "core"):
        yield from sorted((ROOT / folder).rglob("*.py"))


def gaps(text: str) -> list[str]:
    """What stands between the braces of a text."""
    return [each for each in _GAP.findall(text) if each.strip()]


def read(words: str) -> str:
    """A text as it is read, whatever its gaps are called in the source."""
    return _GAP.sub(GAP, words)


def keyword(call: ast.Call, name: str) -> str:
    """The keyword that a call is one of; empty for any other call. `name` is that of the file."""
    match call.func:
        case ast.Attribute(attr="tr"):
            return "tr"
        case ast.Attribute(attr="say") if _SAYING.search(ast.unparse(call.func.value)):
            return "say"
        case ast.Name(id=called) if called in KEYWORDS:
            return called
        case ast.Name(id=called) if called in OF_THE_HELP and name.startswith("app/help/"):
            return called
    return ""


def arguments(call: ast.Call, found: str) -> list[ast.expr]:
    """The arguments of a keyword's call that are texts."""
    named = {each.arg: each.value for each in call.keywords}
    wanted = (KEYWORDS | OF_THE_HELP)[found]
    given = [
        call.args[each] if isinstance(each, int) and each < len(call.args) else named.get(str(each))
        for each in wanted
    ]
    return [each for each in given if each is not None]


def literals(node: ast.expr) -> list[str] | None:
    """The texts that an argument can be; None where it is no literal."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return [node.value]
    if isinstance(node, ast.IfExp):
        either = literals(node.body), literals(node.orelse)
        return None if None in either else [each for one in either for each in one or ()]
    return None


def is_marked_elsewhere(node: ast.expr) -> bool:
    """Whether an argument is the name of a text, an entry of a table, or what a function gives."""
    if isinstance(node, ast.IfExp):
        return is_marked_elsewhere(node.body) and is_marked_elsewhere(node.orelse)
    if isinstance(node, ast.Call):
        return not (isinstance(node.func, ast.Attribute) and node.func.attr in ("format", "join"))
    return isinstance(node, ast.Name | ast.Attribute | ast.Subscript) or literals(node) is not None


def extracted(source: str, name: str) -> tuple[list[Entry], list[str]]:
    """The texts of one file, and what stands in the place of one and is none."""
    lines = source.splitlines()
    entries: list[Entry] = []
    wrong: list[str] = []
    for call in ast.walk(ast.parse(source)):
        if not isinstance(call, ast.Call) or not (found := keyword(call, name)):
            continue
        place = f"{name}:{call.lineno}"
        texts = [literals(each) for each in arguments(call, found)]
        for node, each in zip(arguments(call, found), texts, strict=True):
            if each is None and not (found in TAKES_MARKED and is_marked_elsewhere(node)):
                wrong.append(f"{place}: {found}({ast.unparse(node)[:60]}) is no plain text")
        note = [lines[call.lineno - 2].partition("# NOTE:")[2].strip()] if call.lineno > 1 else []
        notes = [each for each in note if each]
        if found == "plural" and len(texts) == 2 and texts[0] and texts[1]:
            entries.append(Entry(texts[0][0], texts[1][0], [place], notes))
            continue
        entries += [Entry(one, "", [place], notes) for each in texts for one in each or ()]
    return entries, wrong


def _is_silent(node: ast.AST) -> Iterator[ast.AST]:
    """The part of a statement that nobody is shown."""
    match node:
        case ast.Expr(value=ast.Constant()):
            yield node.value
        case ast.Call() if ast.unparse(node.func).startswith("_log."):
            yield node
        case ast.Call() if ast.unparse(node.func) in SILENT_CALLS:
            yield node
        case ast.Raise(exc=ast.Call(func=ast.Name(id=name))) if name in BUGS:
            yield node
        case ast.keyword(arg="key"):
            yield node.value
        case ast.Assert(msg=ast.expr()):
            assert node.msg is not None
            yield node.msg
    for part in ("annotation", "returns"):
        if (said := getattr(node, part, None)) is not None:
            yield said


def texts_in(source: str, name: str) -> Iterator[Text]:
    """Every text of a file: a string with a blank in it, or what a keyword takes."""
    tree = ast.parse(source)
    silent = {part for node in ast.walk(tree) for part in _is_silent(node)}
    marked = {
        node
        for call in ast.walk(tree)
        if isinstance(call, ast.Call) and (found := keyword(call, name))
        for argument in arguments(call, found)
        for node in _texts_of(argument)
    }

    def walk(node: ast.AST) -> Iterator[Text]:
        if node in silent:
            return
        place = f"{name}:{getattr(node, 'lineno', 0)}"
        if isinstance(node, ast.JoinedStr):
            parts = [each.value if isinstance(each, ast.Constant) else GAP for each in node.values]
            yield Text(place, "".join(map(str, parts)), node in marked)
        elif isinstance(node, ast.Constant):
            if isinstance(node.value, str) and (node in marked or " " in node.value.strip()):
                yield Text(place, node.value, node in marked)
            return
        # A format is no text.
        inner = [node.value] if isinstance(node, ast.FormattedValue) else ast.iter_child_nodes(node)
        for child in inner:
            if not (isinstance(node, ast.JoinedStr) and isinstance(child, ast.Constant)):
                yield from walk(child)

    yield from walk(tree)


def _texts_of(argument: ast.expr) -> Iterator[ast.expr]:
    if isinstance(argument, ast.IfExp):
        yield from _texts_of(argument.body)
        yield from _texts_of(argument.orelse)
    else:
        yield argument


@cache
def every_text() -> list[Text]:
    """Every text of the program."""
    return [
        text
        for path in sources()
        for text in texts_in(path.read_text(encoding="utf-8"), path.relative_to(ROOT).as_posix())
    ]


@cache
def catalogue() -> tuple[dict[str, Entry], list[str]]:
    """The texts of the program by their English, and what stands in the place of one."""
    entries: dict[str, Entry] = {}
    wrong: list[str] = []
    for path in sources():
        found, faults = extracted(
            path.read_text(encoding="utf-8"), path.relative_to(ROOT).as_posix()
        )
        wrong += faults
        for each in found:
            known = entries.setdefault(each.one, Entry(each.one))
            if known.many and each.many and known.many != each.many:
                wrong.append(f"{each.places[0]}: {each.one!r} has two forms for many")
            known.many = known.many or each.many
            known.places += each.places
            known.notes += [note for note in each.notes if note not in known.notes]
    return entries, wrong


def pot(entries: Iterable[Entry]) -> str:
    """The file that translators begin with."""
    head = (
        'msgid ""\nmsgstr ""\n"Content-Type: text/plain; charset=UTF-8\\n"\n'
        '"Content-Transfer-Encoding: 8bit\\n"\n'
    )
    return "\n".join([head, *map(_record, entries)])


def _record(entry: Entry) -> str:
    lines = [f"#. {note}" for note in entry.notes]
    lines += [f"#: {place}" for place in entry.places]
    if gaps(entry.one) or gaps(entry.many):
        lines.append("#, python-brace-format")
    lines.append(f"msgid {_quoted(entry.one)}")
    if entry.many:
        lines += [f"msgid_plural {_quoted(entry.many)}", 'msgstr[0] ""', 'msgstr[1] ""']
    else:
        lines.append('msgstr ""')
    return "\n".join(lines) + "\n"


def _quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n")
    return f'"{escaped}"'


def main() -> int:
    """Write the catalogue; what is wrong with a text goes to the error stream."""
    entries, wrong = catalogue()
    sys.stdout.write(pot(entries.values()))
    sys.stderr.write("".join(f"{each}\n" for each in wrong))
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
