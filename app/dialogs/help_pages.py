"""The words of the help pages."""

from importlib.metadata import PackageNotFoundError, version

from PySide6.QtCore import QCoreApplication, qVersion

from app.words import marked

TITLES = {
    "first_steps": marked("help", "First steps"),
    "keys": marked("help", "Keys"),
    "cautions": marked("help", "Cautions"),
    "about": marked("help", "About Cornerwright"),
}

FIRST_STEPS = (
    marked(
        "help",
        "The demo bag is open. Slide the fold preview from flat to sewn, and turn the bag with the "
        "mouse or the arrow keys.",
    ),
    marked(
        "help",
        "Make it an inch deeper: under <b>Cut</b>, change the corner cut depth from 3 to 3 "
        "1/2. The "
        "gusset depth grows by an inch.",
    ),
    marked(
        "help",
        "Read the findings: the edges of the corner seam no longer meet, and both drawings show "
        "where. Point at an edge to light the one that it is sewn to.",
    ),
    marked(
        "help",
        "Press the finding’s button: the corner cut is changed so that the edges meet again. One "
        "undo takes it back.",
    ),
    marked(
        "help",
        "Print: choose your paper, look at the pages, save the PDF and print it at 100 % (“actual "
        "size”). Measure the test squares, 2 in and 5 cm, before you cut.",
    ),
)
LENGTHS = marked(
    "help",
    "A length may be typed as 18 1/2, 18-1/2, 18.5, 18 ½, 47 cm or 470mm in any field, "
    "whatever the "
    "unit shown. Arrow keys and, in a field, the mouse wheel move by the ruler step; Page up and "
    "Page down by four of them; Escape gives back the last number.",
)
CAUTIONS = (
    (
        marked("help", "A drawing is not a bag"),
        marked(
            "help",
            "Cloth is thick and turns: a sewn bag measures a little less than its drawing. Sew a "
            "corner in scraps of the real layers before you cut good fabric.",
        ),
    ),
    (
        marked("help", "Needles and pins"),
        marked(
            "help",
            "Count pins back into the box before a seam is closed, turn the hand wheel over "
            "a thick "
            "crossing, and take your foot off the pedal while your fingers are near the needle. "
            "Wear glasses where a needle may break on many layers.",
        ),
    ),
    (
        marked("help", "Irons"),
        marked(
            "help",
            "Foils, films, fleeces and wipe-clean linings shrink or melt and can give off fumes: "
            "try a scrap, use a cool iron and a press cloth, and air the room.",
        ),
    ),
    (
        marked("help", "Loads"),
        marked(
            "help",
            "Strengths of handles and seams are estimates. Load a new bag little by little and low "
            "above the ground; do not use one to lift or carry people, animals, or anything that "
            "must not fall.",
        ),
    ),
    (
        marked("help", "Food"),
        marked(
            "help",
            "An insulated bag slows warming and cooling and does not stop it; no volume or layer "
            "here says how long food keeps. Do not leave food lukewarm for hours: follow your food "
            "authority’s times and temperatures, and use only linings sold for contact with food "
            "where food touches them.",
        ),
    ),
)
DEFER = marked(
    "help",
    "Where a local code, a standard or a maker’s instruction says otherwise, it goes before "
    "anything "
    "said here.",
)
ABOUT = marked(
    "help",
    "Redraws sewn bags: change a measure, see it fold, check that the seams meet, print the "
    "pattern "
    "at true scale.",
)
LICENCES = marked(
    "help",
    "Cornerwright is free under the MIT licence. Qt and PySide6 are used under the LGPL. The "
    "DejaVu "
    "fonts are put into the patterns that you print, which their licence allows.",
)


def tr(text: str) -> str:
    """A text of the help in the reader's language."""
    return QCoreApplication.translate("help", text)


def page_title(page: str) -> str:
    """The title of a page."""
    return tr(TITLES[page])


def page_html(page: str) -> str:
    """The text of first_steps, cautions or about."""
    body = {"first_steps": _first_steps, "cautions": _cautions, "about": _about}[page]()
    return f"<h2>{page_title(page)}</h2>{body}"


def _first_steps() -> str:
    steps = "".join(f"<li style='margin-bottom:8px'>{tr(step)}</li>" for step in FIRST_STEPS)
    return f"<ol>{steps}</ol><p>{tr(LENGTHS)}</p>"


def _cautions() -> str:
    each = "".join(f"<p><b>{tr(head)}.</b> {tr(text)}</p>" for head, text in CAUTIONS)
    return f"{each}<p><i>{tr(DEFER)}</i></p>"


def _about() -> str:
    try:
        own = version("cornerwright")
    except PackageNotFoundError:  # run from its folder, not installed
        own = tr("not installed")
    versions = tr("Version {own}, Qt {qt}").format(own=own, qt=qVersion())
    return f"<p>{tr(ABOUT)}</p><p>{versions}</p><p>{tr(LICENCES)}</p>"
