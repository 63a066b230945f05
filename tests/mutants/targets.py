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
    Target("page tiles", ("core/output/tiling.py",), ("tests/core/output/test_tiles.py",)),
    Target("page layout", ("core/drawing/layout.py",), ("tests/core/drawing/test_layout.py",)),
    Target(
        "order of sewing",
        ("core/sewing/order.py", "core/work/operation.py"),
        (
            "tests/core/sewing/test_operation.py",
            "tests/core/sewing/test_order.py",
        ),
    ),
    Target(
        "stitch lines",
        ("core/flat/stitch.py", "core/flat/seam.py", "core/flat/piece.py"),
        (
            "tests/core/flat/test_arcs.py",
            "tests/core/flat/test_piece.py",
            "tests/core/flat/test_stitch.py",
            "tests/core/flat/test_soundness.py",
            "tests/core/flat/test_seams.py",
        ),
    ),
    Target(
        "packing",
        (
            "core/cutting/packing/job.py",
            "core/cutting/packing/layouts.py",
            "core/cutting/packing/stock.py",
            "core/cutting/packing/builders.py",
        ),
        (
            "tests/core/cutting/test_packing_builds.py",
            "tests/core/cutting/test_packing_search.py",
            "tests/core/cutting/test_packing.py",
            "tests/core/cutting/test_packing_rows.py",
        ),
    ),
    Target(
        "sheets",
        ("core/cutting/packing/sheets.py",),
        ("tests/core/cutting/test_packing_sheets.py",),
    ),
    Target("lengths", ("core/base/units.py",), ("tests/core/base/test_units.py",)),
    Target(
        "whole files",
        ("core/base/atomic_write.py",),
        ("tests/core/base/test_atomic_write.py", "tests/core/storage/test_bagfile.py"),
        ("tests/faults/test_saving.py",),
    ),
    Target(
        "bag files",
        (
            "core/storage/bag_files.py",
            "core/storage/groups.py",
            "core/storage/shapes.py",
        ),
        (
            "tests/core/storage/test_bagfile.py",
            "tests/core/storage/test_unknown_entries.py",
            "tests/core/bag/test_project.py",
            "tests/core/storage/test_schema.py",
        ),
    ),
    Target(
        "earlier versions",
        ("core/storage/migrations.py",),
        ("tests/core/bag/test_project.py", "tests/faults/test_loading.py"),
    ),
    Target(
        "reader",
        ("core/storage/bag_file.py",),
        (
            "tests/core/storage/test_bagfile.py",
            "tests/core/storage/test_unknown_entries.py",
            "tests/core/bag/test_project.py",
            "tests/core/storage/test_schema.py",
            "tests/faults/test_loading.py",
        ),
    ),
    Target(
        "lock",
        ("app/files/watch.py",),
        (
            "tests/app/test_lock_file.py",
            "tests/app/test_two_windows.py",
            "tests/app/test_file_watch.py",
        ),
    ),
    Target(
        "recovery",
        ("app/files/recovery.py", "app/files/autosave.py"),
        (
            "tests/app/test_autosave.py",
            "tests/app/test_recovery_copy.py",
            "tests/app/test_recovery.py",
            "tests/app/test_start.py",
        ),
    ),
    Target(
        "solver's steps",
        ("core/redesign/convex.py",),
        ("tests/core/redesign/test_quadratic.py", "tests/core/redesign/test_polytope.py"),
    ),
    Target(
        "solver's drops",
        ("core/parts/handles/redesign.py",),
        ("tests/core/redesign/test_drops.py",),
    ),
    Target(
        "solver's wants",
        ("core/redesign/request.py",),
        ("tests/core/redesign/test_wants.py", "tests/core/redesign/test_redesign.py"),
    ),
    Target(
        "solver's unknowns",
        (
            "core/redesign/variables.py",
            "core/redesign/least_change.py",
            "core/redesign/beside.py",
        ),
        (
            "tests/core/redesign/test_hold.py",
            "tests/core/redesign/test_newton.py",
            "tests/core/redesign/test_settle.py",
            "tests/core/redesign/test_space.py",
            "tests/core/redesign/test_drops.py",
        ),
    ),
    Target(
        "solver",
        ("core/redesign/redesign.py",),
        ("tests/core/redesign/test_redesign.py", "tests/core/redesign/test_drops.py"),
    ),
    Target(
        "solver's rows",
        ("core/redesign/linear_model.py",),
        ("tests/core/redesign/test_rows.py",),
    ),
    Target(
        "sizes of the ruler",
        ("core/redesign/rounding.py",),
        ("tests/core/redesign/test_rounding.py",),
    ),
    Target(
        "fits and take-up",
        ("core/redesign/measured.py",),
        ("tests/core/redesign/test_fit.py", "tests/core/bag/test_take_up.py"),
    ),
    Target(
        "solver's filled volumes",
        ("core/redesign/filled_volume.py",),
        ("tests/core/redesign/test_laws.py", "tests/core/redesign/test_powers.py"),
    ),
    Target(
        "solver's several volumes",
        ("core/redesign/level_set.py",),
        ("tests/core/redesign/test_level_set.py",),
    ),
    Target(
        "sizes of a separate base",
        ("core/bodies/separate_base/measure.py",),
        (
            "tests/core/bodies/test_separate_base.py",
            "tests/core/bodies/test_separate_base_closed.py",
            "tests/core/bodies/test_separate_base_findings.py",
            "tests/core/bodies/test_separate_base_redesign.py",
        ),
    ),
)
