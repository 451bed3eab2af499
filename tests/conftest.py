"""Settings of the tests: what Hypothesis tries is the same on every run and leaves no files; the
package never adds floats by the built-in sum; a process of tests keeps to one core."""

from __future__ import annotations

import builtins
import gc
import os
import sys
from collections.abc import Iterable, Iterator
from typing import Any

import pytest
from hypothesis import settings

# Before NumPy is loaded: several processes of tests run side by side, and threads of its linear
# algebra that wait for each other would only take time from them.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from worktables import empty, folder, made_once, page, table  # noqa: F401

# What tests are compiled to is kept, also where a machine is set to keep none: else each process of
# tests, and each program they start, compiles some 350 modules anew.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
sys.dont_write_bytecode = False

# Some million objects of the tests themselves stay to the end: they are not looked through again.
gc.disable()


def pytest_collection_finish() -> None:
    """From here on only what tests make is looked through for garbage, and not often; memory that
    they free is kept for those to come."""
    from pix2block.command.program import keep_memory

    gc.freeze()
    gc.set_threshold(50_000, 20, 50)
    gc.enable()
    keep_memory()


_plain_sum = builtins.sum


def _sum_of_whole_numbers(numbers: Iterable[Any], /, start: Any = 0) -> Any:
    """The built-in sum, which refuses the package's floats: their last digit would depend on the
    Python (`added_up` in `pix2block/ground/units.py`)."""
    added = _plain_sum(numbers, start)
    if isinstance(added, float):  # one of them was
        caller = sys._getframe(1).f_globals.get("__name__", "")
        if caller.startswith("pix2block."):
            raise AssertionError(f"{caller} adds floats by sum: use added_up")
    return added


builtins.sum = _sum_of_whole_numbers

settings.register_profile(
    "pix2block", deadline=None, max_examples=30, derandomize=True, database=None
)
settings.load_profile("pix2block")

# Where the program that moves a folder's files is tested, or a process that may be ended.
SWAPPING = {"test_swap", "test_foreign", "test_host", "test_worktable"}


@pytest.fixture(scope="module", autouse=True)
def swaps_within(request: pytest.FixtureRequest) -> Iterator[None]:
    """Files are moved to their places by the process itself, as where there is no Python to start:
    a program for each of some five hundred folders would take a tenth of the time."""
    with pytest.MonkeyPatch.context() as patched:
        if request.path.stem not in SWAPPING:
            patched.setattr("pix2block.ground.files._is_python", lambda _: False)
        yield


@pytest.fixture(scope="session", autouse=True)
def pictures_looked_at_once() -> Iterator[None]:
    """What is found in a picture is kept (`tests/once.py`)."""
    from once import found_once

    with pytest.MonkeyPatch.context() as patched:
        found_once(patched)
        yield


@pytest.fixture
def afresh(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing that was kept is taken: two runs are two."""
    from once import Kept

    monkeypatch.setattr(Kept, "afresh", True)


@pytest.fixture
def unset_pages(monkeypatch: pytest.MonkeyPatch) -> None:
    """A PDF is what it would be set from, for tests of what becomes of it."""

    def told(*words: Any, **how: Any) -> tuple[bytes, tuple[str, ...]]:
        return repr((words, how)).encode(), ()

    monkeypatch.setattr("pix2block.pages.pdf.typesetter", lambda: told)


DRAWN = (".png", ".svg", ".pdf", ".html", ".xlsx")


@pytest.fixture
def few_files(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """A piece's folder without what is drawn, which takes more time than all the rest together:
    for tests of what becomes of a chart. Those marked `every_file` have the whole table, or what
    is drawn of the endings that are named there."""
    every = request.node.get_closest_marker("every_file")
    if every and not every.args:
        return
    named = every.args if every else ()
    from pix2block.recipes import outputs

    rows = tuple(
        row for row in outputs.OUTPUTS if not row.name.endswith(DRAWN) or row.name.endswith(named)
    )
    monkeypatch.setattr(outputs, "OUTPUTS", rows)


# Some forty tests that take most of the time: `pytest -m "not slow"` is the quick inner loop.
SLOW = {
    "test_api": """
        test_pictures_of_scikit_image
        test_report_overrides_and_keeps
    """,
    "test_artwork": """
        test_strokes_of_the_samples
        test_every_yarn_is_one_of_the_artworks_colors
        test_lettering_says_how_large_it_must_be
        test_lines_would_be_grey_without
        test_the_badges_own_colors
    """,
    "test_attention": """
        test_even_weights_of_many_colors_are_near_their_definition
    """,
    "test_calming": """
        test_summary_tells_tails_before_in_the_habit_of_now
    """,
    "test_calming_kernel": """
        test_wasm_is_built_from_its_source
        test_an_interruption_is_heeded
    """,
    "test_cli": """
        test_wrong_calls
        test_a_side_of_over_2_metres_is_told
        test_two_runs_and_two_processes_give_the_same_bytes
        test_a_report_ends_tails_as_the_chart_says
        test_a_report_keeps_the_charts_folder
        test_json_prints_the_summary_and_nothing_else
    """,
    "test_every_command": """
        test_every_command_on_every_kind_of_piece
    """,
    "test_examples": """
        test_example_is_current
    """,
    "test_features": """
        test_a_remedy_brings_back
        test_a_merged_spot_is_lost_a_kept_one_is_not
        test_lost_features_are_reported
    """,
    "test_maker": """
        test_what_the_piece_costs
    """,
    "test_options": """
        test_any_text_is_read_or_refused
    """,
    "test_pdf": """
        test_no_type_is_smaller_than_nine_points
        test_bookmarks_and_page_numbers
    """,
    "test_reading": """
        test_what_is_written_is_read
    """,
    "test_readme": """
        test_commands_run
        test_the_stripe_plan_is_one
    """,
    "test_samples": """
        test_samples_are_what_they_are_for
        test_drawn_pictures_are_current
    """,
    "test_strands": """
        test_plan_against_networkx
    """,
    "test_striping": """
        test_plans_of_the_scenario
        test_the_longest_length_is_that_of_trying_every_one
        test_several_plans_side_by_side
        test_what_connects_two_colors
        test_40_by_400_blocks_in_time
    """,
    "test_within_shelf": """
        test_the_search_against_every_choice
        test_a_chart_within_the_shelf
        test_the_error_is_near_the_linear_bound
        test_blocks_move_where_no_choice_of_whole_yarns_fits
    """,
    "test_yarn_use": """
        test_the_band_keeps_its_word
    """,
}


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Marks the slow tests."""
    for item in items:
        names = SLOW.get(item.path.stem, "").split()
        if item.name.partition("[")[0] in names:
            item.add_marker(pytest.mark.slow)
