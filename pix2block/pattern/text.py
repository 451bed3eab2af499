"""pattern.txt: the document in plain text.

Prose is at most 78 characters wide. The head line, definitions, rows and rows written out keep
their lines, whatever their length, since programs read them; nothing else begins as a row does.
"""

from __future__ import annotations

from textwrap import TextWrapper

from pix2block.amounts.yarn_use import Amounts
from pix2block.ground.units import bind
from pix2block.pattern.document import (
    Bullets,
    Definitions,
    Document,
    InFull,
    Lengths,
    MarksKey,
    Paragraph,
    Passage,
    Pictures,
    RowEntries,
    Topic,
    YarnLines,
)
from pix2block.pattern.writing import write_document

_WIDE = 78


def pattern_text(amounts: Amounts) -> str:
    """The pattern of a chart as plain text."""
    return document_text(write_document(amounts))


def document_text(document: Document) -> str:
    """A document as plain text; what needs a picture is left out."""
    lines = [f"Corner-to-corner pattern: {document.title}"]
    lines += [line for by in document.by for line in _wrap(by, "  ", "  ")]
    for section in document.sections:
        body = [line for part in section.parts for line in part_lines(part)]
        if body:
            lines += ["", section.heading.upper(), *body]
    return "\n".join(lines) + "\n"


def part_lines(part: Passage) -> list[str]:
    """The lines of a part; none of what needs a picture."""
    match part:
        case Paragraph(text):
            return _wrap(text, "  ", "  ")
        case Bullets(texts):
            return [line for text in texts for line in _wrap(text, "- ", "  ")]
        case YarnLines(yarns):
            told = [f"{yarn.name} ({yarn.color}): {yarn.figures}" for yarn in yarns]
            return [line for text in told for line in _wrap(text, "- ", "  ")]
        case Topic(heading, texts):
            said = _wrap(f"{heading}: {texts[0]}", "- ", "  ")
            return said + [line for text in texts[1:] for line in _wrap(text, "  ", "  ")]
        case Definitions(entries):
            return [f"{name}: {text}" for name, text in entries]
        case InFull(heading, texts):
            return [f"{heading}:", *(f"  {text}" for text in texts)]
        case Lengths(heading, entries):
            listed = [line for entry in entries for line in _wrap(entry, "  ", "    ")]
            return [f"- {heading}:", *listed]
        case RowEntries():
            return _row_lines(part)
        case MarksKey() | Pictures():
            return []


def _row_lines(rows: RowEntries) -> list[str]:
    lines = [rows.piece, ""]
    for entry in rows.entries:
        lines.append(entry.first_line)
        lines += [f"  {line}" for line in entry.more_lines]
    return lines


def _wrap(text: str, first: str, others: str) -> list[str]:
    lines = TextWrapper(
        _WIDE,
        initial_indent=first,
        subsequent_indent=others,
        break_long_words=False,
        break_on_hyphens=False,
    ).wrap(bind(text))
    return [line.replace("\u00a0", " ") for line in lines]
