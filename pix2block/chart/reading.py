"""chart.json: the one file to keep. Reading checks it, writing keeps keys that we do not know."""

from __future__ import annotations

import codecs
import json
from collections.abc import Iterable
from typing import Any

import msgspec

from pix2block.chart.chart import Chart
from pix2block.chart.chart_file import SCHEMA_FILE, VERSION, ChartFile
from pix2block.ground.errors import BadInput
from pix2block.ground.forms import entry_of, noun_of, refusal_at, unknown_in
from pix2block.ground.nouns import told_unknown
from pix2block.yarn.yarn import WORDS, clean_name, clean_words


def read_chart(data: bytes, place: str) -> tuple[Chart, tuple[str, ...]]:
    """The chart in the bytes of a chart.json, and what was amended, a sentence each.

    Raises BadInput naming the place in the file for what does not fit.
    """
    data = data.removeprefix(codecs.BOM_UTF8)
    try:
        kept = msgspec.json.decode(data)
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError) as error:
        raise BadInput(f"chart {place} is no JSON file: {error}") from None
    if isinstance(kept, dict) and isinstance(kept.get("version"), int):
        _refuse_newer(kept["version"], place)
    _nulls_read(kept)
    try:
        file = msgspec.convert(kept, ChartFile)
    except msgspec.ValidationError as error:
        reason, _, path = str(error).replace("`", "").partition(" - at ")
        where = f" at {path.removeprefix('$').removeprefix('.')}" if path else ""
        said = refusal_at(Chart, kept, path) or f"{reason}; compare it with {SCHEMA_FILE}"
        raise BadInput(f"chart {place}{where}: {said}") from None
    try:
        return _chart_of(file, kept, place)
    except BadInput as error:
        raise BadInput(f"chart {place}: {error}") from None


def chart_of_entry(entry: dict[str, Any], place: str) -> Chart:
    """The chart of an entry as `entry_of` gives it. Raises BadInput for what does not fit."""
    lines = entry["blocks"]
    head = {"pix2block": "chart", "version": VERSION, "width": len(lines[0]), "height": len(lines)}
    return read_chart(msgspec.json.encode({**head, **entry}), place)[0]


def _refuse_newer(version: int, place: str) -> None:
    if version > VERSION:
        raise BadInput(
            f"chart {place} is of version {version}, this program reads version {VERSION}: "
            "update pix2block"
        )


def _chart_of(file: Any, kept: dict[str, Any], place: str) -> tuple[Chart, tuple[str, ...]]:
    _check_shape("blocks", file.blocks, file)
    if file.source:
        _check_shape("source.means", file.source.means, file)
        if file.source.weights is not None:
            _check_shape("source.weights", file.source.weights, file)
        if file.source.added is not None:
            _check_shape("source.added", file.source.added, file)
    warnings = []
    for yarn in file.yarns:
        name = clean_name(yarn.name)
        if name != yarn.name:
            warnings.append(f'chart {place}: the name "{yarn.name}" is read as "{name}"')
            yarn.name = name
        for field in WORDS:
            said = getattr(yarn, field)
            if said is not None and clean_words(said) != said.strip():
                told = f'chart {place}: {field} of "{name}" is read without what no table holds'
                warnings.append(told)
    chart = noun_of(Chart, file, kept)
    return chart, (*warnings, *told_unknown(f"chart {place}", unknown_in(chart)))


def _check_shape(what: str, lines: list[list[Any]], file: Any) -> None:
    if len(lines) != file.height:
        raise BadInput(f"{what} has {len(lines)} lines, height says {file.height}")
    for number, line in enumerate(lines, 1):
        if len(line) != file.width:
            raise BadInput(f"{what} line {number} has {len(line)} blocks, width says {file.width}")


_LONG = ("yarns", "blocks")  # a line each, below what is set


def write_chart(chart: Chart) -> bytes:
    """The chart as chart.json: one line a key, one line a chart line; unknown keys kept."""
    entry = entry_of(chart)
    long = {key: entry.pop(key) for key in _LONG}
    head = {"pix2block": "chart", "version": VERSION, "title": entry["title"]}
    entries = {**head, "width": chart.width, "height": chart.height}
    for key, value in entry.items():
        entries.setdefault(key, value)
        if key == "pace":
            entries |= long
    body = [f"{_json(key)}: {_value(key, value)}" for key, value in entries.items()]
    return f"{{\n{_joined(body)}\n}}\n".encode()


def _value(key: str, value: Any) -> str:
    if key in _LONG or key == "mends":
        return _lines(value)
    if key == "done":
        body = [
            f"{_json(k)}: {_lines(v) if k == 'strands' else _json(v)}" for k, v in value.items()
        ]
        return f"{{{_joined(body)}}}"
    return _json_source(value) if key == "source" and value is not None else _json(value)


def _with_nulls(source: dict[str, Any]) -> dict[str, Any]:
    """The source with null for the mean of each block that was added by hand."""
    added = source.pop("added")
    if added:
        lines = zip(source["means"], added, strict=True)
        source["means"] = [
            [None if flag else mean for mean, flag in zip(*line, strict=True)] for line in lines
        ]
    return source


def _nulls_read(kept: Any) -> None:
    """Which means are null is kept in the noun as `added`."""
    source = kept.get("source") if isinstance(kept, dict) else None
    means = source.get("means") if isinstance(source, dict) else None
    if not isinstance(source, dict) or not isinstance(means, list):
        return
    if all(isinstance(line, list) for line in means) and any(None in line for line in means):
        source["added"] = [[int(mean is None) for mean in line] for line in means]


def _json_source(source: dict[str, Any]) -> str:
    source = _with_nulls(source)
    body = [
        f"{_json(key)}: {_lines(value) if key in ('means', 'weights') and value else _json(value)}"
        for key, value in source.items()
    ]
    return f"{{{_joined(body)}}}"


def _joined(entries: Iterable[str]) -> str:
    return ",\n".join(entries)


def _json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


def _lines(values: Iterable[Any]) -> str:
    each = (json.dumps(v, ensure_ascii=False, separators=(",", ":")) for v in values)
    return f"[\n{_joined(each)}\n]"
