"""What a reader sees is plain English of the sewing room: one word for one thing, no private ones.

The words are judged in the source, where every text stands as it is written: a text is a string
with a space in it, or what is given to a translation. Which words are plain is this project's own
list (no source): each came from somebody who stumbled over it.
"""

import ast
import re
from dataclasses import dataclass

import pytest

from tests.catalogue import Text, every_text, read, sources

NAMES = {"cornerwright goods", "goods in shade", "wash goods"}
"""Names of a file's format, a layer of drawings and an operation: the code's own, never shown."""


@dataclass(frozen=True, slots=True)
class Rule:
    """What no text may say.

    Attributes:
        wrong: a pattern, whatever the capitals.
        right: what is said instead.
        example: a text that breaks the rule.
        besides: starts of the paths where it may be said.
    """

    wrong: str
    right: str
    example: str
    besides: tuple[str, ...] = ()


RULES = (
    Rule(r"\bmend(s|ed|ing)?\b", "fix", "Mend the worst finding"),
    Rule(r"\bgoods\b(?!\.json)", "material", "The goods is too narrow"),
    Rule(r"\bon the table\b", "the present bag, a measured bag", "Put on the table"),
    Rule(r"\bto and fro\b", "backstitch", "Sew to and fro at the ends"),
    Rule(r"\bbaste stitch", "basting stitch", "a baste stitch of 5 mm"),
    Rule(r"\bbaste line", "basting line", "The baste line is 1/8 in from the edge."),
    Rule(r"\bpress the \w+ (\w+ )*apart\b", "press the seam open", "Press the allowances apart"),
    Rule(r"^look:", "Check:", "Look: the edges meet"),
    Rule(r"^mind\b", "Caution:", "Mind: a hot iron"),
    Rule(r"\btape less\b|\bless predicted\b", "Difference", "Tape less pattern"),
    Rule(r"\bof it (rounding|pieces)\b", "due to rounding; used", "{change}, of it rounding {a}"),
    Rule(
        r"\btold (against|beside)\b|\bare (both )?told\b(?! when)|^not told$",
        "compared with, shown",
        "Changes are told against it",
    ),
    Rule(
        r"\bin all$|^in all\b|\bhas a price\b",
        "Total of priced items",
        "what has a price",
        besides=("core/output/csv.py",),  # the name of a column, which other programs read
    ),
    Rule(r"\bhad together\b", "not possible together", "cannot be had together"),
    Rule(r"\bseed \S|\bsearch number\b", "nothing: no reader needs it", "search number 3"),
    Rule(r"\b(older|last) numbers\b", "before the last change", "the plan of older numbers"),
    Rule(r"\bthe planner\b", "the cutting plan", "The planner ended"),
    Rule(r"\bnothing in the way\b", "what is wrong", "Nothing in the way"),
    Rule(r"\bstands? beside\b", "is shown", "The reason stands beside its field"),
    Rule(r"\bbesides$", "only", "Cut area, outer fabric besides"),
    Rule(r"\bturned by a quarter\b", "turned 90°", "turned by a quarter"),
    Rule(r"\bprint or export\b", "Save pattern as PDF", "Print or export PDF…"),
    Rule(
        r"\bUTF-8\b(?!\")|\bis (not|no) JSON\b",
        "what a sewer can act on",
        "it is not JSON",
        besides=("core/storage/bag_file.py",),  # in the details of an error, behind a button
    ),
    Rule(
        r"\breckoned\b",
        "worked out",
        "the width is reckoned after the wash",
        besides=("core/work/operation.py",),  # the name of a kind of length, never shown
    ),
    Rule(r"\b(that|which) is meant\b", "is used; its", "to see the measure that is meant"),
    Rule(r"\bwith the focus\b", "that you are editing", "the measure with the focus"),
    Rule(r"[-−]−|−-|~ ?[-+−\d{]|“~”", "one minus; ≈ for what is near", "~-−2.21"),
    Rule(r"(?<![\d/.{])\b1 (pieces|pages|bags|stops|notes|warnings|layers|steps)\b", "1 piece",
         "1 pieces on"),
    Rule(r" \(1\)", "the name alone", "Panel (1)"),
)  # fmt: skip


def breaches(rule: Rule, texts: list[Text]) -> list[str]:
    wrong = re.compile(rule.wrong, re.IGNORECASE)
    return [
        f"{text.place}: {text.words!r}: say {rule.right}"
        for text in texts
        if text.words not in NAMES and not text.place.startswith(rule.besides or ("-",))
        if wrong.search(read(text.words))
    ]


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.example)
def test_no_text_says_what_only_its_writer_understands(rule: Rule) -> None:
    assert len(every_text()) > 2000, "the texts are found"
    assert breaches(rule, [Text("here", rule.example)]), "the rule finds what it is for"
    assert "\n".join(breaches(rule, every_text())) == ""


COUNTED = re.compile(
    r"\{\} ((?:(?!between)[a-z]+ )?)(piece|page|bag|stop|warning|note|sheet|spool|place)s\b"
)
NEVER_ONE = {
    "{bags} bags weigh {all}": "one bag has a sentence of its own",
}
"""Part of a text -> why what it counts is never one."""


def lacking_singular(texts: list[Text]) -> list[str]:
    """Texts that count something and have no fellow in their file for one of it."""
    lone = []
    for text in texts:
        found = COUNTED.search(read(text.words))
        if found is None or any(part in text.words for part in NEVER_ONE):
            continue
        one = re.compile(rf"\b(1|one|a|an) {found[1]}{found[2]}\b", re.IGNORECASE)
        file = text.place.partition(":")[0]
        if not any(one.search(each.words) for each in texts if each.place.startswith(f"{file}:")):
            lone.append(f"{text.place}: {text.words!r}: what does it say of one {found[2]}?")
    return lone


def test_what_is_counted_has_words_for_one_of_it() -> None:
    assert lacking_singular([Text("here:1", "{count} pieces on {used}")])
    assert not lacking_singular([Text("here:1", "{count} pages"), Text("here:2", "1 page")])
    assert "\n".join(lacking_singular(every_text())) == ""


def untitled(source: str) -> list[str]:
    """Names of dialogs that say nowhere what they are."""
    return [
        each.name
        for each in ast.walk(ast.parse(source))
        if isinstance(each, ast.ClassDef)
        if any(ast.unparse(base) in {"QDialog", "FittedDialog"} for base in each.bases)
        if each.name != "FittedDialog"
        if not re.search(r"setWindowTitle\((?!''\)|self\.tr\(''\)).", ast.unparse(each))
    ]


def test_every_dialog_has_a_title() -> None:
    assert untitled("class One(FittedDialog): pass") == ["One"]
    assert untitled("class Two(QDialog):\n    def __init__(self): self.setWindowTitle('')") == [
        "Two"
    ]
    found = {path.name: untitled(path.read_text(encoding="utf-8")) for path in sources()}
    assert {name: names for name, names in found.items() if names} == {}
