"""The help on the pattern: first steps, measures, redesign, panes, variants, take-up."""

from app.help.page import Amount, Page, head, page_of, point, step, term, text
from app.help.topics import Topic

INCH = Amount(1.0, 25.0)
HALF = Amount(0.5, 10.0)
EIGHTH = Amount(0.125, 3.0)
QUARTER = Amount(0.25, 6.0)

FIRST_STEPS = page_of(
    Topic.FIRST_STEPS,
    "First steps",
    text(
        "Five minutes with the bag that is open, whichever it is. [[start_tour]] goes through the "
        "same steps in the window itself and points at each place."
    ),
    step(
        "<b>Look at it.</b> Push the slider of the <a href='help:fold-preview'>fold preview</a> "
        "from flat to sewn. Drag the bag with the mouse, or turn it with the arrow keys."
    ),
    step(
        "<b>Change a measure.</b> In the <a href='help:measures'>measures</a>, at "
        "<i>corner cut depth</i>, or at <i>corner mark</i> where corners are sewn across, type a "
        "size that is {half} more, and press Enter. Both drawings follow, and the "
        "<a href='help:glossary#gusset-depth'>gusset depth</a> grows by twice as much.",
        half=HALF,
    ),
    step(
        "<b>Read the findings.</b> The two edges of a corner that is cut out are not equally long "
        "any more, and the fold preview shows the gap; a corner sewn across always closes. Point "
        "at an edge to light the one it is sewn to."
    ),
    step(
        "<b>Fix it.</b> Press the button beside a finding: beside that one, it changes the corner "
        "cut so that the edges meet again. One undo takes it back."
    ),
    step(
        "<b>Now the other way round.</b> Undo all of it, and type the gusset depth that you want "
        "under <i>Finished</i>. The pattern follows. <a href='help:redesign#pins'>Pin</a> first "
        "what must stay as it is."
    ),
    step(
        "<b>Read the sewing order.</b> [[sewing_order]] lists every step, with a drawing and "
        "every number worked out for this bag."
    ),
    step(
        "<b>Save the pattern.</b> [[print]] lays it on pages at true size. Print the PDF at 100 % "
        "and <a href='help:print#true-scale'>measure the test squares</a> before you cut."
    ),
    text(
        "Then save the bag with [[save]]. Nothing is lost meanwhile: see "
        "<a href='help:files#recovery'>recovery</a>."
    ),
)

WINDOW = page_of(
    Topic.WINDOW,
    "The window",
    text("Every pane shows the same bag. What is changed in one shows in all of them at once."),
    point("<b>Left:</b> the <a href='help:measures'>measures</a>, finished sizes first."),
    point("<b>Middle:</b> the <a href='help:flat-pieces'>flat pieces</a>, as they are cut."),
    point(
        "<b>Right:</b> the <a href='help:fold-preview'>fold preview</a>, the same pieces sewn up."
    ),
    point(
        "<b>Below:</b> the <a href='help:findings'>findings</a>, and beside them the "
        "<a href='help:variants#changes'>changes</a>, the "
        "<a href='help:cutting-plan'>cutting plan</a> and the "
        "<a href='help:sewing-order'>sewing order</a>."
    ),
    point(
        "<b>At the foot:</b> what the bag holds, how its walls are cut, the pages to print, "
        "saved or not."
    ),
    head("Help where you are", "help-here"),
    text(
        "[[help_here]] opens the help on where you are: in a field the help on that measure, "
        "elsewhere the page of its pane or dialog. The menu of the right mouse button ends with "
        "the help on what is pointed at: a finding, a measure, a pane."
    ),
    text(
        "[[whats_this]] explains one thing: click on it. Pressed a second time it explains the "
        "field or pane that you are in, without the mouse. In a dialog, Shift+F1 explains the "
        "field at once."
    ),
    text("[[keys]] lists all keys. [[contents]] opens this window, with a search over all pages."),
)

MEASURES = page_of(
    Topic.MEASURES,
    "Measures",
    text(
        "<b>Finished</b> sizes are what the sewn bag measures, taken on the stitch lines. "
        "<b>Cut</b> sizes are what you cut. Change a cut size and you see which finished sizes "
        "follow; type a finished size and the <a href='help:redesign'>pattern follows</a>."
    ),
    text(
        "Each row has a name, a field, a pin where it can be pinned, and the change since the "
        "<a href='help:variants#starting'>starting bag</a>. "
        "<a href='help:every-measure'>Every measure</a> says what each one is."
    ),
    head("Typing a length", "lengths"),
    text(
        "Type 18 1/2, 18-1/2, 18.5, 18 ½, 47 cm or 470mm in any field. A number alone is in the "
        "unit shown. The size is taken on Enter, on Tab, or after a short pause."
    ),
    text(
        "<b>Sums and changes:</b> 18 + 1/2 is a sum. A sign in front changes what stands there: "
        "+2 cm, -1/2, *0.7, /2, 70 %, +10 %. The field says what it came to. With = in front it "
        "is the size itself, never a change."
    ),
    text(
        "The arrow keys and, in the field that you are in, the mouse wheel go by the "
        "<a href='help:ruler'>ruler step</a>, Page up and Page down by four of them. Escape gives "
        "back the last size."
    ),
    text(
        "What cannot be is refused: the field says why and what would be right, and the last bag "
        "that can be sewn stays."
    ),
    head("Parts and constructions", "parts"),
    text(
        "The lists in the rows choose how the bag is made: with a folded bottom or a seam, with a "
        "zip or an open top, with a pocket, handles, a base board, or without. One undo brings a "
        "part back as it was."
    ),
    text(
        "<b>Construction</b> is the first of them: one panel with boxed corners, two panels with a "
        "<a href='help:glossary#gusset-strip'>gusset strip</a> round them, a "
        "<a href='help:glossary#wrap'>wrap</a> between two end panels, or walls round a "
        "<a href='help:glossary#separate-base'>separate base</a>. The finished sizes stay when you "
        "change it. A top or a part that cannot go along is told, and comes back where it can."
    ),
    head("What it holds", "volume"),
    text(
        "<b>Box volume</b> is base width by gusset depth by face height, less what rounded corners "
        "take off. <b>Filled volume</b> is "
        "the most that the closed bag can hold, stuffed hard: cloth that wrinkles and does not "
        "stretch, without weight. Groceries fill less. <b>Inside</b> takes the thickness of the "
        "wall off."
    ),
)

REDESIGN = page_of(
    Topic.REDESIGN,
    "Redesign and pins",
    text(
        "Type the finished size that you want. The pattern is drawn again with the least change "
        "that gives it: the other finished sizes stay as near as they can to what they were, and "
        "edges that are sewn together stay equally long."
    ),
    head("Pins", "pins"),
    text(
        "A pinned measure keeps its size while you type another one. Press its pin, or use "
        "[[toggle_pin]]; [[release_all]] frees all of them. Pins are kept in the bag's file."
    ),
    text("Pin what the bag has to fit: a shelf, a bicycle basket, a base board that you have."),
    head("When pins conflict", "conflict"),
    text(
        "Some sizes are not possible together: with the base, the depth and the panel length "
        "pinned, the face height is settled. The field then says which pins stand against it and "
        "how far it can go. Release one with the button below it, or type less."
    ),
    head("Volumes", "wanted-volume"),
    text(
        "A volume can be typed too: <i>20 L</i> at the filled volume. This takes a moment, for the "
        "bag is filled several times over. Meanwhile the row says so, and you can go on working."
    ),
    head("From a bag that you can measure", "measured-bag"),
    text(
        "[[fit_tape]]: enter what a tape measure finds on a finished bag, and leave empty what you "
        "cannot measure. The pattern whose seams match that comes nearest to all of it is "
        "drawn. A size that is more than {off} off is marked: measure that one again.",
        off=QUARTER,
    ),
)

RULER = page_of(
    Topic.RULER,
    "Unit and ruler",
    text(
        "[[inches]], [[millimetres]] and [[centimetres]] change how lengths are shown and typed. "
        "The bag itself stays as it is."
    ),
    text(
        "The <b>ruler step</b> in the toolbar is what arrows, wheel and drags move by: {step}, for "
        "example. [[finer_step]] and [[coarser_step]] change it.",
        step=EIGHTH,
    ),
    head("Sizes off the ruler", "off"),
    text(
        "A length that lies between two marks of the ruler has ≈ before it: the nearest mark is "
        "shown, and the exact size is kept and printed. Nothing is rounded unless you ask for it."
    ),
    head("Rounding", "rounding"),
    text(
        "[[round_now]] puts every cut size on the ruler once, each as near as it can be with the "
        "corners matched. [[rounding]] does so after every redesign. A ring marks each finished "
        "size that the ruler costs something; how much stands below the measures."
    ),
)

FLAT = page_of(
    Topic.FLAT,
    "Flat pieces",
    text(
        "The pieces in their true proportions: cut lines full, "
        "<a href='help:glossary#stitch-line'>stitch lines</a> dashed, folds with dash and dot, "
        "placement lines dotted. The faint outline is the starting bag."
    ),
    point(
        "<b>Zoom</b> with the wheel, <b>push</b> by dragging the ground, and double click a "
        "piece to see it large. [[fit]] shows everything again."
    ),
    point(
        "<b>Move a line:</b> where a dot shows under the pointer, drag. The line goes along the "
        "ruler; with Alt or Ctrl it moves freely, and Escape puts it back. A rounded corner is "
        "drawn larger or smaller by its arc."
    ),
    point(
        "<b>By keyboard:</b> Page down chooses one line after another, and the arrow keys move it. "
        "See <a href='help:keys#flat'>the keys of this pane</a>."
    ),
    point(
        "<b>Point at an edge</b> to light the one it is sewn to, here and in the fold preview, "
        "with the lengths of the two."
    ),
)

FOLD = page_of(
    Topic.FOLD,
    "Fold preview",
    text(
        "The same pieces, folded and sewn. The slider runs from flat over folded and sewn to "
        "filled; [[fold_flat]], [[fold_folded]], [[fold_sewn]] and [[fold_filled]] go there at "
        "once, and the button beside the slider plays all of it."
    ),
    term("Flat", "The pieces as they are cut.", picture="flat"),
    term("Folded", "Folded or laid together as it is sewn, its seams open.", picture="folded"),
    term("Sewn", "The seams closed, with its sizes written beside it.", picture="sewn"),
    point(
        "<b>Turn</b> the bag by dragging or with the arrow keys, <b>zoom</b> with the wheel, "
        "<b>shift</b> it with the middle button, or with Space and drag."
    ),
    point(
        "<b>A gap</b> shows where two edges of a seam are not equally long: its size is written "
        "there, and a <a href='help:findings'>finding</a> says what to do."
    ),
    point(
        "<b>Filled</b> is the bag stuffed hard. After a change it is worked out again; until "
        "then the older shape is shown grey, and said to be older."
    ),
    text("When the bag cannot be folded, the reason stands in the place of the drawing."),
)

VARIANTS = page_of(
    Topic.VARIANTS,
    "Variants and the starting bag",
    head("The starting bag", "starting"),
    text(
        "Changes are compared with the starting bag: the bag as you opened it, until you choose "
        "another. [[name_starting]] makes the present bag the starting one."
    ),
    head("Changes", "changes"),
    text(
        "The tab <i>Changes</i> lists each measure that differs, before and after, and how much of "
        "it is due to rounding. Measures, flat pieces and fold preview show the same difference."
    ),
    head("Variants", "variants"),
    text(
        "[[keep_variant]] keeps the present bag under a name, in the same file: size S, size "
        "M, the one with the pocket. [[compare]] shows them side by side and opens, renames and "
        "deletes them."
    ),
    text(
        "Opening a variant puts it in the place of the present bag; undo brings that back. Keep "
        "the present bag first if you want both."
    ),
)

TAKE_UP = page_of(
    Topic.TAKE_UP,
    "Take-up",
    text(
        "Thick cloth turns round its edges, so that a sewn bag measures a little less than its "
        "drawing. What it loses is the <a href='help:glossary#take-up'>take-up</a>."
    ),
    step("Sew a sample from this pattern, in the real layers."),
    step(
        "Choose [[take_up]] and enter what the sample measures. Leave empty what you did not "
        "measure."
    ),
    step(
        "Tick that take-up is allowed for. The pattern is drawn larger, so that the sewn bag "
        "comes out at the finished sizes that you type. Drawn and sewn sizes are then both shown."
    ),
    text(
        "The shares hold for these layers, this stitch, and sizes near the sample's. Differences "
        "below about {least} are within what a tape can tell on a soft bag.",
        least=EIGHTH,
    ),
    text(
        "For another sample, press New sample first: the old measurements are of the old pattern."
    ),
    text(
        "Each construction keeps a sample of its own. Another one is drawn without take-up, in "
        "the same finished sizes, until a bag of it was sewn and measured too."
    ),
)

PATTERN_PAGES: tuple[Page, ...] = (
    FIRST_STEPS,
    WINDOW,
    MEASURES,
    REDESIGN,
    RULER,
    FLAT,
    FOLD,
    VARIANTS,
    TAKE_UP,
)
