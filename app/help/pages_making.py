"""The help on making the bag: materials, cutting, sewing, load, paper, files, cautions."""

from app.help.page import Amount, Page, head, page_of, point, step, text
from app.help.topics import Topic

OVERLAP = Amount(0.5, 12.0)

MATERIALS = page_of(
    Topic.MATERIALS,
    "Materials",
    text(
        "[[edit_layers]] holds the layers of the wall, outermost first, what the other parts are "
        "cut from, and what is bought by the piece: zip, thread, clips."
    ),
    head("Layers of the wall", "layers"),
    point(
        "<b>Thickness</b> decides the room inside, <b>pressed</b> thickness what goes under the "
        "presser foot."
    ),
    point(
        "<b>Width</b> is the usable width between the selvedges; a piece wider than that is a "
        "finding."
    ),
    point(
        "<b>One way</b> is for a print with a top, or a <a href='help:glossary#nap'>nap</a>: no "
        "piece is then turned upside down in the cutting plan."
    ),
    point("<b>Melts</b> marks foils, fleeces and wipe-clean linings that a hot iron harms."),
    point(
        "<b>Shrinks</b>: wash such cloth before you cut; its width counts as it is after the wash."
    ),
    head("My materials", "library"),
    text(
        "A material that you use again is kept for every bag on this computer. Prices are what you "
        "type; what has none is left out of the total, and the total says so."
    ),
    head("What to buy", "buying"),
    text(
        "The tab <a href='help:cutting-plan'>Cutting plan</a> tells the amounts for one bag or "
        "many. [[export_materials]] writes them with the plans as a PDF, [[export_cut_list]] as a "
        "table for a spreadsheet."
    ),
)

CUTTING = page_of(
    Topic.CUTTING,
    "Cutting plan",
    text(
        "How the pieces lie on each material, drawn to scale from the cut end upwards, and what is "
        "to be bought. Choose the material above the drawing. [[cutting_plan]] opens the tab."
    ),
    point("<b>Bags:</b> how many are cut at once. The file keeps the number."),
    point("<b>Gap:</b> space left between pieces for the scissors or the cutter."),
    point("<b>On the fold:</b> fold the cloth lengthwise and cut two pieces at a time."),
    point("<b>Mixed grain:</b> let walls and pocket lie at right angles where that saves cloth."),
    point(
        "<b>Way of cutting:</b> free, with scissors, wastes least. Rows need only straight cuts "
        "from edge to edge, for a rotary cutter."
    ),
    text(
        "A good plan shows at once, and a better one is looked for meanwhile; Stop keeps the best "
        "so far. After a change the old plan is shown faintly until the new one is there. A piece "
        "is never turned against its <a href='help:glossary#grain'>grain</a>."
    ),
)

SEWING = page_of(
    Topic.SEWING,
    "Sewing order",
    text(
        "[[sewing_order]] lists every step for this bag, with its numbers and a drawing. The order "
        "keeps each seam reachable, and changes the machine as seldom as it can."
    ),
    point("<b>Read on</b> with [[next_step]] and [[previous_step]]."),
    point(
        "<b>Tick</b> a finished step with its box, with Space, or with [[tick_step]]. Ticks are "
        "kept in the file."
    ),
    point("<b>Change the machine settings</b> is shown where foot, needle or stitch change."),
    point("<b>Caution</b> stands where fingers, irons or the needle are at risk."),
    point("<b>In the drawings</b> above, what the step works on is lit."),
    text(
        "For the sewing room, [[export_booklet]] writes all of it: see "
        "<a href='help:booklet'>Booklet</a>."
    ),
)

LOAD = page_of(
    Topic.LOAD,
    "Load and thread",
    text(
        "The foot of the sewing order tells what the filled bag weighs and what the stitching of "
        "its handles may carry. [[edit_load]] holds the values behind it."
    ),
    point(
        "<b>What is carried</b>, by its weight for its volume. Groceries are light, books and "
        "bottles heavy."
    ),
    point(
        "<b>Thread strength</b>, as its maker gives it; the weaker of needle and bobbin thread "
        "counts."
    ),
    point("<b>Factor of safety:</b> the estimated strength is divided by it."),
    text(
        "It is an estimate. Load a new bag little by little and low above the ground, and lift "
        "nothing with it that must not fall."
    ),
)

PRINT = page_of(
    Topic.PRINT,
    "Saving the pattern as PDF",
    step("Choose [[print]]. A finding that stops the bag is shown there."),
    step(
        "Choose paper sheets, or a roll of its width. <b>Overlap</b> is the strip that "
        "neighbouring pages share, to be taped: {overlap} is comfortable.",
        overlap=OVERLAP,
    ),
    step(
        "<b>Half</b> of each symmetric wall is for cutting on the fold, and takes half the paper."
    ),
    step(
        "Look through the pages, save the PDF, and print it from your PDF viewer at 100 %, which "
        "may be called <i>actual size</i>. Not <i>fit to page</i>."
    ),
    step("Measure the test squares before you cut."),
    head("Is it true to size?", "true-scale"),
    text(
        "The first page has two squares, 2 in and 5 cm. Lay a ruler on them, across and along. If "
        "either is off, the printer has scaled the page: print again at 100 %. A pattern that is "
        "off by a fiftieth is off by {much} or so along the panel of a shopping bag.",
        much=Amount(0.75, 20.0),
    ),
    head("Putting the pages together", "pages"),
    text(
        "The map on the first page shows which page lies where. Trim the left and the upper edge "
        "along the frame, lay mark on mark, and tape. Then cut the pieces from the taped sheet."
    ),
)

BOOKLET = page_of(
    Topic.BOOKLET,
    "Booklet",
    text(
        "[[export_booklet]] writes sizes, materials, cutting plan and every sewing step with its "
        "drawing, as a PDF to print or as a page for a tablet beside the machine."
    ),
    text(
        "Lengths are in the unit that you work in. The booklet belongs to the bag as it was when "
        "it was written: export it again after a change, and throw the old one away."
    ),
)

FILES = page_of(
    Topic.FILES,
    "Files and recovery",
    text(
        "A file holds one bag with its starting bag, variants, samples, pins, materials and ticks. "
        "[[save]] writes it whole or not at all, and keeps the state before beside it, with a "
        "<b>~</b> at the end of its name."
    ),
    point("<b>Open</b> with [[open]], or drop a file on the window."),
    point(
        "<b>In use:</b> you are told when you open a bag that another window has open. What is "
        "saved in the two would replace each other."
    ),
    point(
        "<b>Changed on the disk:</b> you are asked whether to read the file again or to keep "
        "yours. Reading again can be undone."
    ),
    head("A new bag", "new"),
    text(
        "[[new_bag]] draws a bag whose corners match from its width, depth and height; choose a "
        "folded bottom or a seam, corners that are cut out or sewn across, a zip or an open top. "
        "[[new]] starts from the demo bag."
    ),
    head("Back to what was saved", "revert"),
    text("[[revert]] goes back to the bag as it was last saved; undo brings yours back."),
    head("Undo", "undo"),
    text(
        "[[undo]] takes back one step after another, back to where the bag was opened, and "
        "[[redo]] goes forward again. Variants, starting bag, samples and ticks stay as they are: "
        "those that were deleted or replaced are under <b>Bring back</b> in the menu Redesign, "
        "until another bag is opened."
    ),
    head("Recovery", "recovery"),
    text(
        "While something is unsaved, a copy is kept a moment after each change. Should the program "
        "or the computer stop, the copy is offered at the next start. It is deleted once you save "
        "or discard."
    ),
    text("Nothing leaves your computer."),
)

PREFERENCES = page_of(
    Topic.PREFERENCES,
    "Preferences",
    text(
        "[[preferences]] holds what is yours rather than the bag's: it is kept on this computer "
        "and goes into no file."
    ),
    point(
        "<b>Unit:</b> the bag's own, or always the same one. <b>Ruler step:</b> one for each "
        "unit; see <a href='help:ruler'>Unit and ruler</a>."
    ),
    point("<b>Paper:</b> suggested for the pattern, the booklet and the materials list."),
    point(
        "<b>Zips:</b> the lengths that your shop sells. A zip is bought in the next longer one "
        "and trimmed."
    ),
    point("<b>Currency:</b> its code stands after every price; no price is changed by it."),
    point(
        "<b>Ruler and start:</b> whether redesigning keeps to the ruler step, and whether a start "
        "shows the bag that was open last."
    ),
)

CAUTIONS = page_of(
    Topic.CAUTIONS,
    "Cautions",
    head("A drawing is not a bag", "drawing"),
    text(
        "Cloth is thick and turns: a sewn bag measures a little less than its drawing. Sew a "
        "corner in scraps of the real layers before you cut good fabric."
    ),
    head("Needles and pins", "needles"),
    text(
        "Count pins back into the box before a seam is closed, turn the hand wheel over a thick "
        "crossing, and take your foot off the pedal while your fingers are near the needle. Wear "
        "glasses where a needle may break on many layers."
    ),
    head("Irons", "irons"),
    text(
        "Foils, films, fleeces and wipe-clean linings shrink or melt and can give off fumes: try a "
        "scrap, use a cool iron and a press cloth, and air the room."
    ),
    head("Loads", "loads"),
    text(
        "Strengths of handles and seams are estimates. Load a new bag little by little and low "
        "above the ground; do not use one to lift or carry people, animals, or anything that must "
        "not fall."
    ),
    head("Food", "food"),
    text(
        "An insulated bag slows warming and cooling and does not stop it; no volume or layer here "
        "says how long food keeps. Do not leave food lukewarm for hours: follow your food "
        "authority’s times and temperatures, and use only linings sold for contact with food where "
        "food touches them."
    ),
    text(
        "<i>Where a local code, a standard or a maker’s instruction says otherwise, it goes before "
        "anything said here.</i>"
    ),
)

MAKING_PAGES: tuple[Page, ...] = (
    MATERIALS,
    CUTTING,
    SEWING,
    LOAD,
    PRINT,
    BOOKLET,
    FILES,
    PREFERENCES,
    CAUTIONS,
)
