"""The one table of options: what help shows, what words are read, what is refused."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pix2block.amounts.under_way import Done, Left
from pix2block.color.notation import parse_color
from pix2block.command.cli import program, run
from pix2block.command.say import in_words
from pix2block.ground import settings
from pix2block.ground.errors import BadInput
from pix2block.ground.settings import Pace
from pix2block.options.asking import Spec, specs_of
from pix2block.options.goals import EstimateOptions
from pix2block.options.mends import MendOptions
from pix2block.options.opening import OpenOptions
from pix2block.options.picture_rules import Backdrop, Minded
from pix2block.options.rules import Choice
from pix2block.options.swatch import SwatchOptions
from pix2block.options.table import (
    CHART,
    CHECK,
    COMPARE,
    ESTIMATE,
    FIRST_GROUPS,
    MEND,
    MORE_GROUPS,
    OPEN,
    REPORT,
    STRIPE,
    TRIAL,
    Options,
    specs,
)
from pix2block.options.yarn_rules import BorderAsked
from pix2block.yarn.guess import Gauge

COMMANDS = (CHART, STRIPE, REPORT, MEND, CHECK, TRIAL, COMPARE, ESTIMATE, OPEN)
FIELDS = [field.name for field in dataclasses.fields(Options)]


HELP: dict[str, str] = {}  # of each command, as it was printed


def help_of(command: str, capsys: pytest.CaptureFixture[str]) -> str:
    if command not in HELP:
        capsys.readouterr()
        assert run([command, "--help"]) == 0
        printed = capsys.readouterr()
        assert printed.err == ""
        HELP[command] = printed.out
    return HELP[command]


def squeezed(text: str) -> str:
    """Without the spaces and line ends of a layout."""
    return "".join(text.split())


def refusal(**words: str) -> str:
    """Why words are refused, in one line."""
    with pytest.raises(BadInput) as caught:
        Options.from_words(words)
    message = str(caught.value)
    assert len(message.splitlines()) == 1
    return message


def flags_of(of: Iterable[Spec]) -> set[str]:
    return {spec.flag for spec in of}


# Flags of a command's own table.
OWN = {
    MEND: flags_of(specs_of(MendOptions)),
    ESTIMATE: flags_of(specs_of(EstimateOptions)),
    OPEN: flags_of(specs_of(OpenOptions)),
}

# Help


@pytest.mark.parametrize("command", COMMANDS)
def test_help_shows_every_option_of_its_command(
    command: str, capsys: pytest.CaptureFixture[str]
) -> None:
    page = help_of(command, capsys)
    of = specs(command)
    assert of
    for spec in of:
        assert spec.form in page, spec.name
        assert squeezed(in_words(spec.help)) in squeezed(page), spec.name
        if spec.shown_default:
            assert squeezed(f"{in_words(spec.help)} [{spec.shown_default}]") in squeezed(page), (
                spec.name
            )
    own = OWN.get(command, set())
    for flag in {spec.flag for spec in set(specs()) - set(of)} - own:
        assert f"{flag} " not in page


@pytest.mark.parametrize("name", FIELDS)
def test_every_field_is_an_option_of_a_command(
    name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    (spec,) = (spec for spec in specs() if spec.name == name)
    asked = [c for c in COMMANDS if spec.flag not in OWN.get(c, set()) - flags_of(specs(c))]
    commands = [command for command in asked if f"{spec.flag} " in help_of(command, capsys)]
    assert commands == [command for command in COMMANDS if command in spec.commands]
    assert commands
    for command in commands:
        known = [word for parameter in program.commands[command].params for word in parameter.opts]
        assert spec.flag in known


def test_the_commands_have_the_agreed_options() -> None:
    shared = {"weight", "shelf", "hand", "corner", "block", "terms", "turn", "habit", "out"}
    shared |= {"title", "reach", "rest", "edge", "tail", "pace"}
    of_pictures = {"width", "height", "size", "crop", "colors", "look", "background", "seed"}
    assert shared | of_pictures <= {spec.name for spec in specs(CHART)}
    assert shared <= {spec.name for spec in specs(REPORT)}
    assert not of_pictures & {spec.name for spec in specs(REPORT)}


@pytest.mark.parametrize("command", COMMANDS)
def test_help_has_the_usual_groups_first(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    page = help_of(command, capsys)
    shown = {spec.group for spec in specs(command)}
    headings = [g for g in FIRST_GROUPS if g in shown]
    headings += [f"more: {g}" for g in MORE_GROUPS if g in shown]
    places = [page.index(f"\n{heading}:\n") for heading in headings]
    assert places == sorted(places)
    assert "--json" in page or command == OPEN  # a page in the browser has none
    assert "--help" in page
    assert max(map(len, page.splitlines())) <= 80


def test_every_option_is_in_a_group() -> None:
    assert {spec.group for spec in specs()} == {*FIRST_GROUPS, *MORE_GROUPS}


def test_the_program_shows_its_commands(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["--help"]) == 0
    page = capsys.readouterr().out
    for command in program.commands:
        assert f"\n  {command} " in page
    assert run([]) == 0
    assert squeezed(capsys.readouterr().out) == squeezed(page)


# Words read


@pytest.mark.parametrize(
    ("name", "text", "value"),
    [
        ("width", "60", 60),
        ("height", " 1 ", 1),
        ("size", "120x150cm", (120.0, 150.0)),
        ("size", "48 x 60 IN", (48 * 2.54, 60 * 2.54)),
        ("size", "1.5×2.25cm", (1.5, 2.25)),
        ("size", "90cmx110,5cm", (90.0, 110.5)),
        ("weight", "0", 0),
        ("weight", "7", 7),
        ("crop", "10,0,80,100", (10.0, 0.0, 80.0, 100.0)),
        ("crop", " 33.3, 1, 66.7 ,99", (33.3, 1.0, 66.7, 99.0)),
        ("colors", "200", 200),
        ("shelf", "my shelf.csv", "my shelf.csv"),
        ("hand", "left", "left"),
        ("hand", " LEFT ", "left"),
        ("corner", "Top-Right", "top-right"),
        ("block", "hdc", "hdc"),
        ("terms", "uk", "uk"),
        ("turn", "early", "early"),
        ("calm", "4.5", 4.5),
        ("calm", "0", 0.0),
        ("most_hanging", "20", 20),
        ("curve", "yes", True),
        ("habit", "carry", "carry"),
        ("tails", "Fringe", "fringe"),
        ("out", "a/b c", "a/b c"),
        ("draw", "floats", "floats"),
        ("title", "Boat, at night", "Boat, at night"),
        ("without", "proof", ("proof",)),
        ("without", " Preview, pdf,pdf", ("pdf", "preview")),
        ("pattern", "edited.txt", "edited.txt"),
        ("distance", "3m", 3.0),
        ("distance", " 10 FT ", 3.048),
        ("distance", "2,5 m", 2.5),
        ("subject", "None", "none"),
        ("subject", "mask.png", "mask.png"),
        ("subject", "10,0,80,100", (10.0, 0.0, 80.0, 100.0)),
        ("subject", "10,0,80,100,5,60", (10.0, 0.0, 80.0, 100.0, 5.0, 60.0)),
        ("backdrop", "Quiet", Backdrop("quiet")),
        ("backdrop", "quiet:3", Backdrop("quiet", 3)),
        ("backdrop", "plain: Deep Channel", Backdrop("plain", yarn="Deep Channel")),
        ("mind", "10,0,80,100", (Minded((10.0, 0.0, 80.0, 100.0)),)),
        ("mind", "10,0,80,100:2.5", (Minded((10.0, 0.0, 80.0, 100.0), 2.5),)),
        ("mind", "Faces", ("faces",)),
        ("spot", "42,17.5", ((42.0, 17.5),)),
        ("lock", "Moss", ("Moss",)),
        ("ban", "Sea green", ("Sea green",)),
        ("aim", "even", "even"),
        ("tone", "fit", "fit"),
        ("compare", "ways", "ways"),
        ("strokes", "mean", "mean"),
        ("look", "blocks", "blocks"),
        ("connect", "Deep  Channel, Chalk", ("Deep Channel", "Chalk")),
        ("background", "Navy", "#000080"),
        ("background", "#ABC", "#aabbcc"),
        ("reach", "2.5", 2.5),
        ("reach", "0", 0.0),
        ("rest", "0", 0),
        ("edge", "2000", 2000),
        ("swatch", "swatch.toml", "swatch.toml"),
        ("within_shelf", "yes", True),
        ("maker", "maker.toml", "maker.toml"),
        ("reserve", "7.5", 7.5),
        ("border", "2 sc Chalk", BorderAsked(2, "sc", "Chalk")),
        ("border", " 12 DC  Sea green", BorderAsked(12, "dc", "Sea green")),
        ("done", "57", Done(57)),
        ("done", "57.3", Done(57, 3)),
        ("rip_back", "37", 37),
        (
            "left",
            "Moss 62 g, Chalk 1.5 skeins",
            (Left("Moss", 62, "g"), Left("Chalk", 1.5, "skeins")),
        ),
        (
            "left",
            "Moss 62,5 g,Chalk 40m; Sea 2 100 yd",
            (Left("Moss", 62.5, "g"), Left("Chalk", 40, "m"), Left("Sea 2", 91.44, "m")),
        ),
        ("left", "Tar 2oz", (Left("Tar", 56.69904625, "g"),)),
        ("tail", "15", 15.0),
        ("tail", "12,5", 12.5),
        ("tail", ".5", 0.5),
        ("butterfly", "12.5", 12.5),
        ("hook", "5.5", 5.5),
        ("ink", "black", "black"),
        ("rows", "words", "words"),
        ("gauge", "12 dc x 7.5 rows", Gauge("dc", 12.0, 7.5)),
        ("pace", "0.7,0.3,2", Pace(0.7, 0.3, 2.0)),
        ("pace", "0, 0, 0", Pace(0.0, 0.0, 0.0)),
        ("credit", "my credit.toml", "my credit.toml"),
        ("page", "Letter", "letter"),
        ("editions", "all", "all"),
        ("every_row", "yes", True),
        ("fresh", "yes", True),
        ("letters", "system", "system"),
        ("seed", "2147483647", 2147483647),
    ],
)
def test_words_are_read(name: str, text: str, value: object) -> None:
    options = Options.from_words({name: text})
    assert getattr(options, name) == value
    for other in set(FIELDS) - {name}:
        assert getattr(options, other) is None


def test_every_field_has_words_that_are_read() -> None:
    (mark,) = (m for m in test_words_are_read.pytestmark if m.name == "parametrize")  # type: ignore[attr-defined]
    assert {name for name, _, _ in mark.args[1]} == set(FIELDS)


@pytest.mark.parametrize("spec", specs(), ids=lambda s: s.name)
def test_the_last_word_counts_unless_all_do(spec: Spec) -> None:
    words = {"mind": ("faces", "1,2,3,4:5"), "spot": ("1,2", "3,4"), "width": ("5", "6")}
    words |= {"lock": ("Moss", "Tar"), "ban": ("Moss", "Tar"), "title": ("One", "Two")}
    if spec.many:
        options = Options.from_words({spec.name: words[spec.name]})
        singles = [getattr(Options.from_words({spec.name: w}), spec.name) for w in words[spec.name]]
        assert getattr(options, spec.name) == singles[0] + singles[1]
    elif spec.name in words:
        options = Options.from_words({spec.name: words[spec.name]})
        assert options == Options.from_words({spec.name: words[spec.name][1]})
    else:
        assert spec.name not in ("mind", "spot", "lock", "ban")


@pytest.mark.parametrize(
    ("name", "comma", "point"),
    [
        ("tail", "12,5", "12.5"),
        ("reach", "0,5", "0.5"),
        ("calm", "3,5", "3.5"),
        ("size", "120,5x90,25cm", "120.5x90.25cm"),
        ("size", "120cm x 90cm", "120x90cm"),
        ("distance", "2,5m", "2.5m"),
        ("pace", "0,7; 0,3; 2", "0.7,0.3,2"),
        ("pace", "0,7 0,3 2", "0.7,0.3,2"),
        ("crop", "10,5;0;80;100", "10.5,0,80,100"),
        ("mind", "10,5 0 80 100:4,5", "10.5,0,80,100:4.5"),
        ("spot", "42;17,5", "42,17.5"),
        ("left", "Moss 62,5 g; Chalk 1,5 skeins", "Moss 62.5 g, Chalk 1.5 skeins"),
        ("gauge", "13,5 sc", "13.5 sc"),
    ],
)
def test_a_decimal_comma_is_as_good_as_a_point(name: str, comma: str, point: str) -> None:
    given: Any = [comma] if name in ("mind", "spot") else comma
    told: Any = [point] if name in ("mind", "spot") else point
    assert Options.from_words({name: given}) == Options.from_words({name: told})


def test_a_swatch_is_measured_with_decimal_commas() -> None:
    words = {"measured": "17,5x16,6cm", "grams": "24,5g", "label": "212,5m/100g", "hook": "5,5"}
    swatch = SwatchOptions.from_words(words)
    assert swatch == SwatchOptions.from_words({k: w.replace(",", ".") for k, w in words.items()})


def test_no_words_are_no_options() -> None:
    assert Options.from_words({}) == Options()
    assert all(getattr(Options(), name) is None for name in FIELDS)


@pytest.mark.parametrize(
    "spec", [s for s in specs() if isinstance(s.rule, Choice)], ids=lambda s: s.name
)
def test_every_choice_is_read(spec: Spec) -> None:
    assert isinstance(spec.rule, Choice)
    for word in spec.rule.words:
        assert getattr(Options.from_words({spec.name: word}), spec.name) == word
    if spec.name in ("compare", "draw"):  # nothing is compared or drawn unless asked
        assert spec.shown_default is None
    else:
        assert spec.shown_default
        assert spec.shown_default.split(",")[0] in spec.rule.words


# Words refused


@pytest.mark.parametrize(
    ("name", "text", "hint"),
    [
        ("width", "0", "write a whole number from 1 to 1000"),
        ("width", "1001", "write a whole number from 1 to 1000"),
        ("width", "-5", "write a whole number from 1 to 1000"),
        ("width", "60.0", "write a whole number from 1 to 1000"),
        ("width", "", "write a whole number from 1 to 1000"),
        ("width", "sixty", "write a whole number from 1 to 1000"),
        ("width", "６０", "write a whole number from 1 to 1000"),
        ("width", "9" * 5000, "write a whole number from 1 to 1000"),
        ("height", "1e2", "write a whole number from 1 to 1000"),
        ("size", "120", "as 120x150cm or 48x60in"),
        ("size", "120x150", "as 120x150cm or 48x60in"),
        ("size", "120x150m", "as 120x150cm or 48x60in"),
        ("size", "0x150cm", "as 120x150cm or 48x60in"),
        ("size", "-1x150cm", "as 120x150cm or 48x60in"),
        ("size", "90inx110cm", "as 120x150cm or 48x60in"),
        ("weight", "8", "write a whole number from 0 to 7"),
        ("crop", "10,0,80", "write X,Y,W,H in per cent"),
        ("crop", "a,b,c,d", "write X,Y,W,H in per cent"),
        ("crop", "nan,0,50,50", "write X,Y,W,H in per cent"),
        ("crop", "0,0,inf,50", "write X,Y,W,H in per cent"),
        ("crop", "0,0,0,50", "inside the picture"),
        ("crop", "0,0,50,-1", "inside the picture"),
        ("crop", "-1,0,50,50", "inside the picture"),
        ("crop", "50,0,51,100", "inside the picture"),
        ("crop", "0,60,100,41", "inside the picture"),
        ("colors", "0", "write a whole number from 1 to 200"),
        ("colors", "201", "write a whole number from 1 to 200"),
        ("hand", "both", "known: right, left"),
        ("hand", "lefty", 'did you mean "left"?'),
        ("corner", "bottomright", 'did you mean "bottom-right"?'),
        ("block", "tr", "known: dc, hdc"),
        ("terms", "", "known: us, uk"),
        ("turn", "erly", 'did you mean "early"?'),
        ("habit", "carried", 'did you mean "carry"?'),
        ("without", "prove", 'did you mean "proof"?'),
        ("without", "proof,", "known: proof, pdf, preview"),
        ("without", "", "known: proof, pdf, preview"),
        ("tails", "wove", 'did you mean "woven"?'),
        ("draw", "float", 'did you mean "floats"?'),
        ("page", "a5", 'did you mean "a4"?'),
        ("page", "foolscap", "known: a4, letter, phone"),
        ("editions", "both", "known: own, all"),
        ("letters", "shiped", 'did you mean "shipped"?'),
        ("distance", "3", "with a unit, as 3m or 10ft"),
        ("distance", "0.05m", "with a unit, as 3m or 10ft"),
        ("distance", "300cm", "with a unit, as 3m or 10ft"),
        ("distance", "1001m", "with a unit, as 3m or 10ft"),
        ("mind", "10,0,80", "write X,Y,W,H in per cent"),
        ("mind", "10,0,95,100", "write X,Y,W,H in per cent"),
        ("mind", "10,0,80,100:x", "write X,Y,W,H in per cent"),
        ("mind", "10,0,80,100:-1", "a weight up to 100"),
        ("mind", "10,0,80,100:101", "a weight up to 100"),
        ("mind", "face", "or the word faces"),
        ("spot", "42", "write X,Y in per cent"),
        ("spot", "42,101", "write X,Y in per cent"),
        ("spot", "nan,1", "write X,Y in per cent"),
        ("connect", "Chalk", "name two yarns or colours, as Chalk Rust"),
        ("connect", "Chalk, ,Rust", "name two yarns or colours, as Chalk Rust"),
        ("aim", "evn", 'did you mean "even"?'),
        ("look", "foto", 'did you mean "photo"?'),
        ("background", "qqqqq", "write #rrggbb or a CSS color name"),
        ("background", "#12", "write #rrggbb with the digits 0-9 and a-f"),
        ("reach", "-1", "write a number from 0 to 1000"),
        ("reach", "nan", "write a number from 0 to 1000"),
        ("reach", "inf", "write a number from 0 to 1000"),
        ("reach", "1000.1", "write a number from 0 to 1000"),
        ("rest", "2001", "write a whole number from 0 to 2000"),
        ("edge", "1.5", "write a whole number from 0 to 2000"),
        ("tail", "15cm", "write a number from 0 to 100"),
        ("tail", "101", "write a number from 0 to 100"),
        ("butterfly", "8m", "write a number from 0 to 1000"),
        ("pace", "1,2", "write three numbers of minutes, as 0.7,0.3,2"),
        ("pace", "1,2,x", "write three numbers of minutes, as 0.7,0.3,2"),
        ("pace", "1,2,-3", "write three numbers of minutes, as 0.7,0.3,2"),
        ("pace", "1,2,1001", "write three numbers of minutes, as 0.7,0.3,2"),
        ("within_shelf", "maybe", "write yes or no"),
        ("reserve", "-1", "write a number from 0 to 1000"),
        ("border", "sc Chalk", 'as "2 sc Chalk"'),
        ("border", "0 sc Chalk", 'as "2 sc Chalk"'),
        ("border", "2 tr Chalk", "stitch (sc, hdc, dc, US names)"),
        ("border", "51 sc Chalk", "at most 50 rounds"),
        ("done", "0", "write the row that is done"),
        ("done", "57.0", "write the row that is done"),
        ("done", "57.3.1", "write the row that is done"),
        ("tail", "1,000", "may mean 1000 or 1: write it without comma"),
        ("size", "90cmx40in", "write width x height and a unit"),
        ("left", "Moss", "write a yarn and what is left of it"),
        ("left", "Moss 62", "write a yarn and what is left of it"),
        ("left", "62 g", "write a yarn and what is left of it"),
        ("left", "Moss 62 kilo", "write a yarn and what is left of it"),
        ("seed", "-1", "write a whole number from 0 to 2147483647"),
        ("seed", "2147483648", "write a whole number from 0 to 2147483647"),
    ],
    ids=lambda value: str(value)[:20],
)
def test_words_that_cannot_be_read(name: str, text: str, hint: str) -> None:
    message = refusal(**{name: text})
    assert message.startswith(f"{name} ")
    assert hint in message
    assert text[:20] in message


@pytest.mark.parametrize(
    ("name", "hint"),
    [
        ("colours", 'did you mean "colors"?'),
        ("Width", 'did you mean "width"?'),
        ("heigth", 'did you mean "height"?'),
        ("zzz", "known: width, height"),
    ],
)
def test_an_unknown_name_is_refused(name: str, hint: str) -> None:
    message = refusal(**{name: "1"})
    assert f'unknown option "{name}"' in message
    assert hint in message


@given(st.sampled_from(FIELDS), st.text(max_size=12))
def test_any_text_is_read_or_refused(name: str, text: str) -> None:
    try:
        value, refused = getattr(Options.from_words({name: text}), name), ""
    except BadInput as error:
        value, refused = None, str(error)
    (spec,) = (spec for spec in specs() if spec.name == name)
    assert refused.startswith(f"{spec.name} ") == (value is None)


# Options made in a program


@pytest.mark.parametrize(
    "values",
    [
        {"width": 0},
        {"width": 1001},
        {"width": 2.5},
        {"width": "wide"},
        {"weight": 8},
        {"colors": -1},
        {"hand": "both"},
        {"corner": "bottom"},
        {"habit": "pick up"},
        {"background": "nocolor"},
        {"reach": -0.5},
        {"tail": float("nan")},
        {"rest": -1},
    ],
    ids=str,
)
def test_values_are_checked_too(values: dict[str, object]) -> None:
    (name,) = values
    with pytest.raises(BadInput, match=f"^{name} "):
        Options(**values)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "values",
    [
        {"crop": (0.0, 0.0, 0.0, 50.0)},
        {"crop": (0.0, 0.0, 500.0, 50.0)},
        {"crop": (-10.0, 0.0, 50.0, 50.0)},
        {"size": (0.0, 100.0)},
        {"size": (-1.0, 100.0)},
    ],
    ids=str,
)
def test_values_of_several_numbers_are_checked_too(values: dict[str, object]) -> None:
    (name,) = values
    with pytest.raises(BadInput, match=f"^{name} "):
        Options(**values)  # type: ignore[arg-type]


def test_values_in_range_are_kept() -> None:
    options = Options(width=60, hand="left", reach=1.5, crop=(10, 10, 50, 50), pace=Pace(1, 2, 3))
    assert (options.width, options.hand, options.reach) == (60, "left", 1.5)
    assert options.crop == (10, 10, 50, 50)
    assert options.pace == Pace(1, 2, 3)


def test_options_cannot_be_changed() -> None:
    with pytest.raises(dataclasses.FrozenInstanceError):
        Options().width = 5  # type: ignore[misc]


def test_defaults_in_help_are_those_of_the_settings() -> None:
    shown = {spec.name: spec.shown_default for spec in specs()}
    assert shown["width"] == str(settings.DEFAULT_WIDTH) == "60"
    assert shown["weight"] == f"that of the yarns used, else {settings.DEFAULT_WEIGHT}"
    assert shown["habit"] == settings.DEFAULT_HABIT == "pickup"
    assert shown["tails"] == settings.DEFAULT_TAIL_ENDING == "woven"
    assert shown["turn"] == "late, for stripes early"
    assert (settings.DEFAULT_TURN, settings.STRIPES_TURN) == ("late", "early")
    assert shown["tail"] == "15"
    assert shown["butterfly"] == "8"
    assert shown["pace"] == "0.7,0.3,2"
    assert parse_color(shown["background"] or "") == settings.DEFAULT_BACKGROUND
    assert (shown["colors"] or "").startswith(f"{settings.DEFAULT_COLORS} from a picture")
    assert settings.DEFAULT_COLORS == 8
