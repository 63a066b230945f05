"""The printed pattern against the bare library.

Both make the same number of A4 pages, 40 or the next that a bag takes, in the same run.
Bare is one line of text a page in the two embedded faces; the time of one stroke a page,
with no face to embed, is printed too.
"""

import io
import time
from collections.abc import Callable

from core.bag.bag import Bag, with_figures
from core.bag.compute import compute
from core.output.pages import plan_pages
from core.output.papers import A4
from core.output.print_options import PrintOptions
from core.output.printed_pattern import pdf_bytes
from core.storage.bag_files import demo_bag

PAGES = 40
ROUNDS = 25
MOST = 2.5
"""Times the bare library with a line of text a page: a third of ours is its own way of saving."""
LINE_OF_TEXT = "page 1234567890: cut one front pocket, zip and board from each layer ½ × ¾"


def bag_of_forty_pages() -> Bag:
    """The demo bag, enlarged step by step until it takes 40 A4 pages or more in all."""
    bag = demo_bag()
    for step in range(400):
        larger = with_figures(
            bag,
            {"panel_width": bag.body.width + step, "panel_length": bag.body.length + 2 * step},
        )
        if plan_pages(compute(larger), PrintOptions(paper=A4)).count >= PAGES:
            return larger
    raise AssertionError("no enlargement takes 40 pages")


def bare(pages: int, *, text: bool) -> bytes:
    from reportlab.pdfgen.canvas import Canvas

    file = io.BytesIO()
    canvas = Canvas(file, invariant=1, pageCompression=1)
    for page in range(pages):
        if text:
            canvas.setFont(("Pattern", "Pattern-Bold")[page % 2], 10)
            canvas.drawString(100, 100, LINE_OF_TEXT)
        else:
            canvas.line(20, 20, 500, 700)
        canvas.showPage()
    canvas.save()
    return file.getvalue()


def quickest_ms(works: dict[str, Callable[[], object]]) -> dict[str, float]:
    """The quickest of each, in turns, so that a busy machine slows all of them alike."""
    best = dict.fromkeys(works, float("inf"))
    for _ in range(ROUNDS):
        for name, work in works.items():
            start = time.process_time()
            work()
            best[name] = min(best[name], 1000 * (time.process_time() - start))
    return best


def main() -> None:
    result = compute(bag_of_forty_pages())
    options = PrintOptions(paper=A4)
    plan = plan_pages(result, options)
    size = len(pdf_bytes(result, options)) / 1024  # loads the library and the faces
    took = quickest_ms(
        {
            "ours": lambda: pdf_bytes(result, options),
            "plan": lambda: plan_pages(result, options),
            "text": lambda: bare(plan.count, text=True),
            "stroke": lambda: bare(plan.count, text=False),
        }
    )
    print(
        f"\n{plan.count} pages, {size:.0f} KiB: ours {took['ours']:.1f} ms, of it the plan "
        f"{took['plan']:.1f} ms; bare {took['text']:.1f} ms with a line of text, "
        f"{took['stroke']:.1f} ms with a stroke: "
        f"ratio {took['ours'] / took['text']:.2f} and {took['ours'] / took['stroke']:.2f}"
    )
    assert took["ours"] <= MOST * took["text"]


if __name__ == "__main__":
    main()
