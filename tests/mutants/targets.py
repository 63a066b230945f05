"""What is mutated: the lines that guard money, and the tests that guard those lines."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Target:
    """Sources that do one work.

    Attributes:
        name: of the work.
        files: the sources.
        tests: files of tests that are tried on their mutants; each mutant meets those of them
            that reach its line.
        apart: tests that reach the sources in processes of their own: every mutant meets them.
    """

    name: str
    files: tuple[str, ...]
    tests: tuple[str, ...]
    apart: tuple[str, ...] = ()


TARGETS = (
    Target("page tiles", ("core/paper/tiles.py",), ("tests/core/paper/test_tiles.py",)),
    Target("page layout", ("core/paper/layout.py",), ("tests/core/paper/test_layout.py",)),
    Target(
        "order of sewing",
        ("core/sewing/order.py", "core/sewing/check.py", "core/sewing/operation.py"),
        (
            "tests/core/sewing/test_operation.py",
            "tests/core/sewing/test_order.py",
            "tests/core/sewing/test_check.py",
        ),
    ),
    Target(
        "stitch lines",
        ("core/flat/stitch.py", "core/flat/seam.py", "core/flat/piece.py"),
        ("tests/core/test_piece.py", "tests/core/test_stitch.py", "tests/core/test_seams.py"),
    ),
    Target("soundness", ("core/flat/soundness.py",), ("tests/core/test_soundness.py",)),
    Target(
        "packing",
        (
            "core/goods/packing.py",
            "core/goods/packing_hand.py",
            "core/goods/packing_rows.py",
            "core/goods/packing_search.py",
            "core/goods/packing_skyline.py",
            "core/goods/packing_stock.py",
        ),
        (
            "tests/core/goods/test_packing_builds.py",
            "tests/core/goods/test_packing_search.py",
            "tests/core/goods/test_packing.py",
            "tests/core/goods/test_packing_rows.py",
        ),
    ),
    Target(
        "sheets", ("core/goods/packing_sheets.py",), ("tests/core/goods/test_packing_sheets.py",)
    ),
    Target("lengths", ("core/units.py",), ("tests/core/test_units.py",)),
    Target(
        "whole files",
        ("core/wholefile.py",),
        ("tests/core/test_wholefile.py", "tests/core/test_bagfile.py"),
        ("tests/faults/test_saving.py",),
    ),
    Target(
        "bag files",
        (
            "core/bagfile/files.py",
            "core/bagfile/whole.py",
            "core/bagfile/strangers.py",
            "core/bagfile/trouble.py",
        ),
        (
            "tests/core/test_bagfile.py",
            "tests/core/test_strangers.py",
            "tests/core/test_project.py",
            "tests/core/test_schema.py",
        ),
    ),
    Target(
        "earlier versions",
        ("core/bagfile/migrations.py",),
        ("tests/core/test_project.py", "tests/faults/test_loading.py"),
    ),
    Target(
        "reader",
        ("core/bagfile/text.py", "core/bagfile/records.py"),
        (
            "tests/core/test_bagfile.py",
            "tests/core/test_strangers.py",
            "tests/core/test_project.py",
            "tests/core/test_schema.py",
            "tests/faults/test_loading.py",
        ),
    ),
    Target(
        "lock",
        ("app/lock_file.py", "app/file_watch.py"),
        (
            "tests/app/test_lock_file.py",
            "tests/app/test_two_windows.py",
            "tests/app/test_file_watch.py",
        ),
    ),
    Target(
        "recovery",
        ("app/recovery_copy.py", "app/autosave.py", "app/recovery.py"),
        (
            "tests/app/test_autosave.py",
            "tests/app/test_recovery_copy.py",
            "tests/app/test_recovery.py",
            "tests/app/test_start.py",
        ),
    ),
    Target(
        "solver's step",
        ("core/redesign/quadratic.py",),
        ("tests/core/redesign/test_quadratic.py",),
    ),
    Target(
        "solver's corners",
        ("core/redesign/polytope.py",),
        ("tests/core/redesign/test_polytope.py",),
    ),
    Target(
        "solver's drops",
        ("core/redesign/drops.py",),
        ("tests/core/redesign/test_drops.py",),
    ),
    Target(
        "solver's wants",
        ("core/redesign/wants.py",),
        ("tests/core/redesign/test_wants.py", "tests/core/redesign/test_solve.py"),
    ),
    Target(
        "solver's steps",
        ("core/redesign/newton.py",),
        ("tests/core/redesign/test_newton.py",),
    ),
    Target(
        "solver",
        ("core/redesign/solve.py",),
        ("tests/core/redesign/test_solve.py", "tests/core/redesign/test_drops.py"),
    ),
    Target(
        "solver's unknowns",
        ("core/redesign/space.py",),
        ("tests/core/redesign/test_space.py", "tests/core/redesign/test_drops.py"),
    ),
    Target(
        "solver's way to the least",
        ("core/redesign/settle.py",),
        ("tests/core/redesign/test_settle.py",),
    ),
    Target(
        "solver's rows",
        ("core/redesign/rows.py",),
        ("tests/core/redesign/test_rows.py",),
    ),
    Target(
        "sizes of the ruler",
        ("core/redesign/rounding.py",),
        ("tests/core/redesign/test_rounding.py",),
    ),
    Target("fits", ("core/redesign/fit.py",), ("tests/core/redesign/test_fit.py",)),
    Target("take-up", ("core/redesign/takeup.py",), ("tests/core/test_take_up.py",)),
    Target(
        "solver's laws",
        ("core/redesign/laws.py",),
        ("tests/core/redesign/test_laws.py",),
    ),
    Target(
        "solver's powers",
        ("core/redesign/powers.py",),
        ("tests/core/redesign/test_powers.py",),
    ),
    Target(
        "solver's several volumes",
        ("core/redesign/several.py",),
        ("tests/core/redesign/test_several.py",),
    ),
)
