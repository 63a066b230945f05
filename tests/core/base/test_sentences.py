"""Sentences: four kinds of gaps, forms by count, lists, and the reader's unit and language.

The forms by count are those of the GNU gettext manual, chapter "Additional functions for plural
forms"; what else a sentence must read like is this project's own.
"""

import math

import pytest

from core.base.sentences import (
    ENGLISH,
    Language,
    Last,
    Listing,
    Number,
    Sentence,
    mark,
    plural,
    say,
    show_millimetres,
)
from core.base.units import Unit, format_length

DUTCH = {
    "{label} is {value}.": "{value}: {label}",
    "Panel width": "Breedte",
    "front": "voor",
    "{before} and {last}": "{before} en {last}",
}


class Other(Language):
    """A language of a few texts, with the three forms that Polish has."""

    def __init__(self, texts: dict[str, str]) -> None:
        self.texts = texts
        self.asked: list[str] = []

    def __call__(self, text: str, /) -> str:
        self.asked.append(text)
        return self.texts.get(text, text)

    def plural(self, one: str, many: str, count: int, /) -> str:
        if count == 1:
            return "{count} plik"
        few = count % 10 in (2, 3, 4) and count % 100 not in (12, 13, 14)
        return "{count} pliki" if few else "{count} plików"


def test_a_sentence_reads_in_the_readers_unit_and_language() -> None:
    sentence = say("{label} is {value}.", value=25.4, terms={"label": mark("Panel width")})
    assert sentence.text() == "Panel width is 25.4 mm."
    inches = sentence.text(lambda length: format_length(length, unit=Unit.INCH))
    assert inches == "Panel width is 1 in."
    assert sentence.text(translate=Other(DUTCH)) == "25.4 mm: Breedte"


def test_only_what_is_ours_is_translated() -> None:
    language = Other({"front": "voor", "Layer {name}, {face}": "Laag {name}, {face}"})
    words, terms = {"name": "front"}, {"face": mark("front")}
    sentence = say("Layer {name}, {face}", words=words, terms=terms)
    assert sentence.text(translate=language) == "Laag front, voor"
    assert sorted(language.asked) == ["Layer {name}, {face}", "front"]


def test_what_the_maker_typed_is_not_read_as_gaps() -> None:
    assert say("There is no {name}.", words={"name": "{value} {0}"}).text() == (
        "There is no {value} {0}."
    )


@pytest.mark.parametrize(
    ("count", "english", "polish"),
    [
        (0, "0 files", "0 plików"),
        (1, "1 file", "1 plik"),
        (2, "2 files", "2 pliki"),
        (5, "5 files", "5 plików"),
        (22, "22 files", "22 pliki"),
    ],
)
def test_what_is_counted_has_the_form_of_its_count(count: int, english: str, polish: str) -> None:
    sentence = say(plural("1 file", "{count} files"), numbers={"count": count})
    assert sentence.text() == english
    assert sentence.text(translate=Other({})) == polish
    nested = say("Read: {what}.", terms={"what": sentence})
    assert nested.text() == f"Read: {english}."


def test_things_are_listed() -> None:
    def told(*names: str, last: Last = Last.AND) -> str:
        return say("{all}", terms={"all": Listing(names, last)}).text()

    assert told("a") == "a"
    assert told("a", "b") == "a and b"
    assert told("a", "b", "c") == "a, b and c"
    assert told("a", "b", "c", last=Last.OR) == "a, b or c"
    assert told("a", "b", "c", last=Last.COMMA) == "a, b, c"
    typed = say("{all}", words={"all": Listing(("front", "{x}"))})
    assert typed.text(translate=Other(DUTCH)) == "front en {x}"  # only what joins them is ours
    ours = say("{all}", terms={"all": Listing(("front", "back"))})
    assert ours.text(translate=Other(DUTCH)) == "voor en back"


def test_sentences_in_gaps_keep_their_lengths() -> None:
    inner = say("at least {least}", least=12.0)
    outer = say(
        "{value}: {rule}, or {all}", value=3.0, terms={"rule": inner, "all": Listing([inner])}
    )
    assert outer.text() == "3 mm: at least 12 mm, or at least 12 mm"
    assert list(outer.all_lengths()) == [("value", 3.0), ("least", 12.0), ("least", 12.0)]


def test_numbers_are_told_with_as_many_digits_as_they_are_worth() -> None:
    assert Number(12.5, places=2).text() == "12.50"
    assert Number(0.1 + 0.2).text() == "0.3"
    assert Number(1234.56, digits=3).text() == "1.23e+03"
    assert Number(-3.0).text() == "−3"
    assert say("{n} %", numbers={"n": -4}).text() == "−4 %"
    with pytest.raises(ValueError, match="nothing that is told"):
        Number(math.nan)
    with pytest.raises(ValueError, match="value is inf"):
        say("{value}", value=math.inf)


@pytest.mark.parametrize("wrong", ["{other} {value}", "{value", "{} {value}", "{value.x}", "{0}"])
def test_a_translation_with_other_gaps_gives_way_to_the_english_text(wrong: str) -> None:
    sentence = say("{value} wide", value=3.0)
    assert sentence.text(translate=Other({"{value} wide": wrong})) == "3 mm wide"


def test_a_sentence_with_a_gap_that_nothing_fills_is_a_fault() -> None:
    with pytest.raises(KeyError, match="value"):
        Sentence("{value} wide").text(translate=ENGLISH)


def test_millimetres_as_a_log_shows_them() -> None:
    assert show_millimetres(469.9) == "469.9 mm"
    assert show_millimetres(1 / 3) == "0.333333 mm"
