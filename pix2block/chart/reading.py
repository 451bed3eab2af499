"""chart.json: the one file to keep. Reading checks it, writing keeps keys that we do not know."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import asdict, fields
from typing import Any

import msgspec
import numpy as np

from pix2block.chart.chart import (
    NO_BLOCK,
    Border,
    Calmed,
    Chart,
    Place,
    Seen,
    Source,
    clean_title,
)
from pix2block.chart.chart_file import (
    SCHEMA_FILE,
    VERSION,
    BorderEntry,
    ChartFile,
    HabitEntry,
    PaceEntry,
    SourceEntry,
    SwatchEntry,
    YarnEntry,
)
from pix2block.color.spaces import rgb_array, to_hex
from pix2block.ground.errors import BadInput
from pix2block.ground.settings import (
    Habit,
    Pace,
)
from pix2block.yarn.swatch import OwnLoop, Swatch
from pix2block.yarn.yarn import Part, Yarn, clean_name


def read_chart(data: bytes, place: str) -> tuple[Chart, tuple[str, ...]]:
    """The chart in the bytes of a chart.json, and what was amended, a sentence each.

    Raises BadInput naming the place in the file for what does not fit.
    """
    try:
        kept = msgspec.json.decode(data)
        if isinstance(kept, dict) and isinstance(kept.get("version"), int):
            _refuse_newer(kept["version"], place)
        file = msgspec.json.decode(data, type=ChartFile)
    except msgspec.ValidationError as error:
        reason, _, path = str(error).partition(" - at ")
        where = f" at {path.strip('`').removeprefix('$').removeprefix('.')}" if path else ""
        raise BadInput(
            f"chart {place}{where}: {reason.replace('`', '')}; compare it with {SCHEMA_FILE}"
        ) from None
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError) as error:
        raise BadInput(f"chart {place} is no JSON file: {error}") from None
    try:
        return _chart_of(file, kept, place)
    except BadInput as error:
        raise BadInput(f"chart {place}: {error}") from None


def _refuse_newer(version: int, place: str) -> None:
    if version > VERSION:
        raise BadInput(
            f"chart {place} is of version {version}, this program reads version {VERSION}: "
            "update pix2block"
        )


def _chart_of(file: ChartFile, kept: dict[str, Any], place: str) -> tuple[Chart, tuple[str, ...]]:
    _check_shape("blocks", file.blocks, file)
    if file.last_row > file.width + file.height - 1:
        raise BadInput(
            f"last_row {file.last_row} is beyond the last of its {file.width + file.height - 1} "
            "rows: lower it"
        )
    warnings = []
    yarns = []
    for entry, raw in zip(file.yarns, kept["yarns"], strict=True):
        values = msgspec.structs.asdict(entry)
        values["name"] = clean_name(entry.name)
        values["color"] = entry.color.lower()
        values["held"] = entry.held or 1
        values["parts"] = tuple(Part(part.color.lower(), part.share) for part in entry.parts or ())
        if values["name"] != entry.name:
            warnings.append(f'chart {place}: the name "{entry.name}" is read as "{values["name"]}"')
        yarns.append(Yarn(**values, extra=_unknown(raw, YarnEntry)))
    blocks = np.array(
        [[NO_BLOCK if number is None else number for number in line] for line in file.blocks],
        dtype=np.int64,
    )
    swatch = None
    if file.swatch:
        values = msgspec.structs.asdict(file.swatch)
        own = tuple(OwnLoop(**msgspec.structs.asdict(own)) for own in file.swatch.yarns or ())
        values |= {"yarns": own, "extra": _unknown(kept["swatch"], SwatchEntry)}
        swatch = Swatch(**values)
    chart = Chart(
        title=clean_title(file.title),
        blocks=blocks,
        yarns=tuple(yarns),
        last_row=file.last_row,
        start_corner=file.start_corner,
        hand=file.hand,
        block=file.block,
        terms=file.terms,
        turn=file.turn,
        habit=Habit(**msgspec.structs.asdict(file.habit)),
        weight=file.weight,
        tail_cm=file.tail_cm,
        tail_ending=file.tail_ending,
        butterfly_m=file.butterfly_m,
        reserve=file.reserve or 0.0,
        pace=Pace(**msgspec.structs.asdict(file.pace)),
        swatch=swatch,
        border=Border(**msgspec.structs.asdict(file.border)) if file.border else None,
        hook_mm=file.hook_mm,
        source=_source_of(file, kept),
        extra=_unknown(kept, ChartFile),
        extra_of={
            "habit": _unknown(kept["habit"], HabitEntry),
            "pace": _unknown(kept["pace"], PaceEntry),
            "border": _unknown(kept["border"], BorderEntry) if file.border else {},
        },
    )
    return chart, tuple(warnings)


def _source_of(file: ChartFile, kept: dict[str, Any]) -> Source | None:
    if file.source is None:
        return None
    _check_shape("source.means", file.source.means, file)
    if file.source.weights is not None:
        _check_shape("source.weights", file.source.weights, file)
    flat = [color for line in file.source.means for color in line]
    return Source(
        picture=file.source.picture,
        sha256=file.source.sha256,
        means=rgb_array(flat).reshape(file.height, file.width, 3),
        weights=None if file.source.weights is None else np.array(file.source.weights),
        minded=tuple(Place(**msgspec.structs.asdict(p)) for p in file.source.minded or ()),
        palette_gap=file.source.palette_gap,
        seen=Seen(**msgspec.structs.asdict(file.source.seen)) if file.source.seen else None,
        calmed=_calmed_of(file),
        extra=_unknown(kept["source"], SourceEntry),
    )


def _calmed_of(file: ChartFile) -> Calmed | None:
    entry = file.source.calmed if file.source else None
    if entry is None:
        return None
    changed = np.array(entry.changed, dtype=np.int64).reshape(-1, 3)
    if (changed >= (file.height, file.width, len(file.yarns))).any():
        raise BadInput("source.calmed names a block or yarn that the chart does not have")
    return Calmed(
        percent=entry.percent,
        error_before=entry.error_before,
        error_after=entry.error_after,
        most_hanging=entry.most_hanging,
        changed=changed,
        of=entry.of,
    )


def _check_shape(what: str, lines: list[list[Any]], file: ChartFile) -> None:
    if len(lines) != file.height:
        raise BadInput(f"{what} has {len(lines)} lines, height says {file.height}")
    for number, line in enumerate(lines, 1):
        if len(line) != file.width:
            raise BadInput(f"{what} line {number} has {len(line)} blocks, width says {file.width}")


def _unknown(kept: Mapping[str, Any], struct: type[msgspec.Struct]) -> dict[str, Any]:
    known = set(struct.__struct_fields__)
    return {key: value for key, value in kept.items() if key not in known}


def write_chart(chart: Chart) -> bytes:
    """The chart as chart.json: one line a key, one line a chart line; unknown keys kept."""
    blocks = [[None if n == NO_BLOCK else n for n in line] for line in chart.blocks.tolist()]
    entries: dict[str, str] = {
        "pix2block": _json("chart"),
        "version": _json(VERSION),
        "title": _json(chart.title),
        "width": _json(chart.width),
        "height": _json(chart.height),
        "last_row": _json(chart.last_row),
        "start_corner": _json(chart.start_corner),
        "hand": _json(chart.hand),
        "block": _json(chart.block),
        "terms": _json(chart.terms),
        "turn": _json(chart.turn),
        "habit": _json({**asdict(chart.habit), **chart.extra_of.get("habit", {})}),
        "weight": _json(chart.weight),
        "tail_cm": _json(chart.tail_cm),
        "tail_ending": _json(chart.tail_ending),
        "butterfly_m": _json(chart.butterfly_m),
        "reserve": _json(chart.reserve),
        "pace": _json({**asdict(chart.pace), **chart.extra_of.get("pace", {})}),
        "yarns": _lines(_with_extra(yarn) for yarn in chart.yarns),
        "blocks": _lines(blocks),
        "swatch": _json(_with_extra(chart.swatch) if chart.swatch else None),
        "border": _json(
            {**asdict(chart.border), **chart.extra_of.get("border", {})} if chart.border else None
        ),
        "hook_mm": _json(chart.hook_mm),
        "source": _json_source(chart.source),
        **{key: _json(value) for key, value in chart.extra.items()},
    }
    body = ",\n".join(f"{_json(key)}: {value}" for key, value in entries.items())
    return f"{{\n{body}\n}}\n".encode()


def _json_source(source: Source | None) -> str:
    if source is None:
        return "null"
    means = [[to_hex(color) for color in line] for line in source.means]
    entries = {
        "picture": _json(source.picture),
        "sha256": _json(source.sha256),
        "means": _lines(means),
        "weights": "null" if source.weights is None else _lines(source.weights.tolist()),
        "minded": _json([asdict(place) for place in source.minded]),
        "palette_gap": _json(source.palette_gap),
        "seen": _json(asdict(source.seen) if source.seen else None),
        "calmed": _json_calmed(source.calmed),
        **{key: _json(value) for key, value in source.extra.items()},
    }
    return "{" + ",\n".join(f"{_json(key)}: {value}" for key, value in entries.items()) + "}"


def _json_calmed(calmed: Calmed | None) -> str:
    if calmed is None:
        return "null"
    return _json({**vars(calmed), "changed": calmed.changed.tolist()})


def _with_extra(noun: Yarn | Swatch) -> dict[str, Any]:
    known = {f.name: getattr(noun, f.name) for f in fields(noun) if f.name != "extra"}
    several = "parts" if isinstance(noun, Yarn) else "yarns"
    known[several] = [asdict(one) for one in known[several]]
    if not known[several]:
        del known[several]
    return {**known, **noun.extra}


def _json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


def _lines(values: Iterable[Any]) -> str:
    return (
        "[\n"
        + ",\n".join(json.dumps(v, ensure_ascii=False, separators=(",", ":")) for v in values)
        + "\n]"
    )
