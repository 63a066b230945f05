"""Every text that is shown can be translated: marked, whole, with gaps that have names.

The rules are this project's own; what a catalogue can hold is that of GNU gettext. Each rule is
first tried on a text that breaks it.
"""

import ast
import re
from collections.abc import Callable

import pytest

from core.base.sentences import ENGLISH, Language, Last, say
from tests import catalogue
from tests.catalogue import GAP, Entry, Text, extracted, gaps, pot, sources, texts_in

NOT_SHOWN: dict[str, tuple[str, ...]] = {
    # Markup, names of works and of licences, keys of changes that are one undo step, and the
    # widest number that a field must hold.
    "app/": (r"<.*", r"a \{ color: .*", r"(figure|want|nudge) \{\}", r"[≈+0-8. /]+( in| L)?"),
    "app/about.py": ("extra ==", "License ::", "(DejaVu|Bitstream) .*"),
    "app/dialogs/print.py": (r"\{\} × \{\} (mm|in)",),
    "app/files/recovery.py": ("cornerwright recovery ?1?",),
    "app/files/watch.py": ("held by .*", "no lock .*", "it is not an ordinary file"),
    "app/help/tour.py": ("measure to change", "flat pieces", "finished size .*", "pattern button"),
    "app/session/session.py": ("read again", "keep mine", "save as"),
    "app/help/keys.py": (r"[^A-Za-z]*(in|cm)?[^A-Za-z]*(cm)?",),  # lengths as they are typed
    "app/session/": (r"\{\} \(\{\} in\)", r"a job left by \{\}", r"\w+ \| None"),
    "app/window/": (
        r"\{\}\[\*\] – Cornerwright",
        r"\{\} in \{\}",
        r".*\{\}, line \{\}|.*(, Qt|; log: ).*",
    ),
    # How a command is written (POSIX Utility Syntax), and keys of a table.
    "app/cli/": (r".*\[(--|BAG).*", "cornerwright.*", "left out", "--(set|choose|without) .*"),
    # Symbols of units are the same in every language (BIPM, The International System of Units,
    # 9th edition, 5.2; those of the yard and the pound are treated alike), codes of currencies too.
    "core/base/": (
        r"\{\} (mm|cm|in|qt|cu in|yd|kg|oz|lb)( \{\} oz)?( \(\{\}\))?",
        "cu in",
        r"[A-Z]{3}( [A-Z]{3})+",
        r"\[ \]\?.*|.*\(\?[P<].*|\\S .*",  # what typed texts are read by
        "the document",
    ),
    # Columns that other programs read, markup, and the operators of PDF (ISO 32000-1).
    "core/output/csv.py": ("per bag", "width mm", "length mm", "final shape", "to buy"),
    "core/output/booklet/": (r"\s*<.*", r" (stroke|transform)=.*", r"\n:root .*", r"\{\} item"),
    "core/output/pattern_key.py": ("2 in", "5 cm"),
    "core/output/papers.py": (r"roll \{\}(mm)?",),
    "core/output/pdf.py": (r"[0-9{} ]+ (Tm|re|cm|j)", r"BT \{\} g", r"\{\} \{\} Tf .*"),
    "core/sewing/strength.py": (r"\{\} (kg|lb|qt)",),
    # Words that other words in the code stand for.
    "core/bodies/boxed_panel/sizes.py": ("with corners",),
    "core/parts/handles/": ("two separate", "bottom line", "middle of the grip"),
    "core/flat/": (r"[a-z]+ [a-z]+",),
    "core/redesign/linear_model.py": (
        "at (least|most) .*",
        "between figures .*",
        "of the search .*",
        "half gap",
    ),
    "core/bodies/boxed_panel/allowances.py": ("turned to one side", "pressed open"),
    "core/solid/fill_problem.py": ("no stretch .*",),
    "core/space/zones.py": (r"[a-z]+ [a-z]+",),
    "core/work/operation.py": (".*",),
    "core/flat/ink.py": (".*",),
    "core/work/scene.py": (".*",),
    "core/work/machine.py": (r"\{\} mm",),
    "core/storage/migrations.py": (".*",),  # what stood in earlier files
    "core/storage/goods_library.py": ("cornerwright goods",),
    "core/storage/bag_file.py": (
        *("cornerwright bag", "unexpected end of data"),
        *("Extra data", "Unterminated string"),
    ),
}
"""File, or the beginning of its path -> patterns of strings in it that no reader is shown."""


def entries(source: str, name: str = "core/x.py") -> list[tuple[str, str]]:
    found, wrong = extracted(source, name)
    assert wrong == []
    return [(each.one, each.many) for each in found]


# --- What is found -------------------------------------------------------------------------------


def test_texts_are_found_where_they_are_marked() -> None:
    assert entries('say("{a} wide", a=1.0)') == [("{a} wide", "")]
    assert entries('mark("one " "text")') == [("one text", "")]
    assert entries('say(plural("1 page", "{count} pages"))') == [("1 page", "{count} pages")]
    assert entries('self.tr("on" if x else "off")') == [("on", ""), ("off", "")]
    assert entries('file_error("no", detail="because")') == [("no", ""), ("because", "")]
    assert entries('row("a", "b")', "app/help/x.py") == [("a", ""), ("b", "")]
    assert entries('row("a", "b")') == [], "that name means something else elsewhere"
    assert entries("say(NO_WIDTH)\nsay(_TOLD[way])\nsay(label(name))") == []


@pytest.mark.parametrize(
    "wrong",
    [
        'say(f"{x} wide")',
        'mark("a" + b)',
        'tr("a %s" % b)',
        'say("{a}".format(a=b))',
        "mark(name)",
        "self.tr(name)",
        'plural(one, "many")',
        'say("a" if x else "b" + c)',
        'say(", ".join(names))',
    ],
)
def test_what_is_no_plain_text_is_told(wrong: str) -> None:
    found, told = extracted(wrong, "core/x.py")
    assert found == [] or wrong.startswith("plural")
    assert [each.split(":")[1] for each in told] == ["1"]


def test_a_note_to_translators_goes_with_its_text() -> None:
    source = '# NOTE: the iron, not the newspaper\nmark("Press")\n\nmark("Press")\n'
    found, _ = extracted(source, "core/x.py")
    assert [each.notes for each in found] == [["the iron, not the newspaper"], []]


def test_the_file_for_translators_is_that_of_gettext() -> None:
    made = pot(
        [
            Entry('Say "{what}"', "", ["core/a.py:1", "core/b.py:2"], ["who speaks"]),
            Entry("1 page", "{count} pages", ["core/c.py:3"]),
        ]
    )
    assert made.split("\n\n", 1)[1] == (
        "#. who speaks\n#: core/a.py:1\n#: core/b.py:2\n#, python-brace-format\n"
        'msgid "Say \\"{what}\\""\nmsgstr ""\n'
        "\n#: core/c.py:3\n#, python-brace-format\n"
        'msgid "1 page"\nmsgid_plural "{count} pages"\nmsgstr[0] ""\nmsgstr[1] ""\n'
    )


# --- What every text of the program keeps to -----------------------------------------------------


def test_every_marked_text_is_a_plain_one() -> None:
    found, wrong = catalogue.catalogue()
    assert len(found) > 1000, "the texts are found"
    assert "\n".join(wrong) == ""


def is_shown(text: Text) -> bool:
    """Whether a text has words that somebody reads: two of them, or one beside a gap."""
    has_word = re.search(r"[A-Za-z]{2,}", text.words) and " " in text.words.strip()
    if GAP in text.words and not has_word:
        return False
    file = text.place.partition(":")[0]
    patterns = [each for path, many in NOT_SHOWN.items() if file.startswith(path) for each in many]
    return not any(re.fullmatch(each, text.words, re.DOTALL) for each in patterns)


def unmarked(texts: list[Text]) -> list[str]:
    return [f"{each.place}: {each.words!r}" for each in texts if not each.marked and is_shown(each)]


def test_no_text_is_left_unmarked() -> None:
    planted = texts_in('LABEL = "Panel width"\nx = f"{a} mm"\ny = f"{a}_{b}"\n', "core/x.py")
    assert unmarked(list(planted)) == ["core/x.py:1: 'Panel width'", "core/x.py:2: '{} mm'"]
    quiet = (
        '"""A text."""\n_log.info("two words")\nraise KeyError("two words")\nmark("two words")\n'
    )
    assert unmarked(list(texts_in(quiet, "core/x.py"))) == []
    found = unmarked(catalogue.every_text())
    assert "\n".join(found) == ""


ALONE = ("{length}", "“{figure}”")
"""Gaps that are all of a text."""
RULES: dict[str, tuple[Callable[[str], bool], str]] = {
    "a gap is a name, nothing else": (
        lambda text: all(gap.isidentifier() for gap in gaps(text)),
        "{value:.2f} wide",
    ),
    "a text is whole: it neither begins nor ends within a sentence": (
        lambda text: text == text.strip(" ") and not text.startswith((",", ";", ".")),
        ", wide",
    ),
    "a text has words, or gaps in an order that a language may change": (
        lambda text: (
            text in ALONE
            or len(gaps(text)) > 1
            or bool(re.search(r"[^\W\d_]", re.sub(r"\{.*?\}", "", text)))
        ),
        "{a}",
    ),
    "a count has forms": (
        lambda text: not re.search(r"\{count\} (\w+ )?[a-z]+s\b", text),
        "{count} pages",
    ),
}


def breaches(rule: str, found: list[Entry]) -> list[str]:
    holds, _ = RULES[rule]
    return [
        f"{each.places[0]}: {text!r}"
        for each in found
        for text in (
            (each.one,) if rule == "a count has forms" and each.many else (each.one, each.many)
        )
        if text and not holds(text)
    ]


@pytest.mark.parametrize("rule", RULES)
def test_every_text_keeps_to_the_rules(rule: str) -> None:
    holds, example = RULES[rule]
    assert not holds(example), "the rule finds what it is for"
    found = breaches(rule, list(catalogue.catalogue()[0].values()))
    assert "\n".join(found) == ""


BARE = {
    "setText",
    "setToolTip",
    "addAction",
    "setWindowTitle",
    "setPlaceholderText",
    "setStatusTip",
}
"""Methods of Qt that are given texts."""


def bare(source: str, name: str) -> list[str]:
    return [
        f"{name}:{call.lineno}"
        for call in ast.walk(ast.parse(source))
        if isinstance(call, ast.Call) and isinstance(call.func, ast.Attribute)
        if call.func.attr in BARE
        if any(
            isinstance(each, ast.Constant) and isinstance(each.value, str)
            and re.search(r"[A-Za-z]", each.value)
            for each in call.args
        )
    ]  # fmt: skip


def test_no_widget_is_given_a_bare_text() -> None:
    assert bare('label.setText("Width")', "x") == ["x:1"]
    assert bare('label.setText(self.tr("Width"))\nlabel.setText("")', "x") == []
    root = catalogue.ROOT
    found = [
        each
        for path in sources()
        for each in bare(path.read_text(encoding="utf-8"), path.relative_to(root).as_posix())
    ]
    assert found == []


def test_what_joins_a_list_is_in_the_catalogue() -> None:
    found, _ = catalogue.catalogue()
    assert {each.value for each in Last} <= found.keys()


class Recording(Language):
    """English that remembers what it was asked for."""

    def __init__(self) -> None:
        self.asked: set[str] = set()

    def __call__(self, text: str, /) -> str:
        self.asked.add(text)
        return text

    def plural(self, one: str, many: str, count: int, /) -> str:
        self.asked |= {one, many}
        return ENGLISH.plural(one, many, count)


def test_the_language_is_asked_for_what_is_ours_alone() -> None:
    language = Recording()
    say("{a} of {b}", terms={"a": "ours"}, words={"b": "typed"}).text(translate=language)
    assert language.asked == {"{a} of {b}", "ours"}
