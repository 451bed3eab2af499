"""pattern.txt: the document in plain text.

Prose is at most 78 characters wide. The head line, definitions, rows and rows written out keep
their lines, whatever their length, since programs read them; nothing else begins as a row does.
"""

from __future__ import annotations

from textwrap import TextWrapper

from pix2block.amounts.yarn_use import Amounts
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
    Table,
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
    # Tables stand between empty lines, of which two together are one.
    kept = [line for line, before in zip(lines, ["", *lines], strict=False) if line or before]
    return "\n".join(kept).rstrip("\n") + "\n"


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
        case Lengths(heading, entries, more):
            listed = "; ".join((*entries, *([more] if more else [])))
            return _wrap(f"{heading}: {listed}", "- ", "  ")
        case Table():
            return ["", *_table_lines(part), ""]
        case RowEntries():
            return _row_lines(part)
        case MarksKey() | Pictures():
            return []


def _table_lines(table: Table) -> list[str]:
    every = (table.header, *table.lines)
    wide = [max(len(line[i]) for line in every) for i in range(len(table.header))]
    if sum(wide) + 2 * len(wide) > _WIDE:  # a long name: each line as a sentence
        told = (
            f"{line[0]}: "
            + "; ".join(
                f"{head} {cell}"
                for head, cell in zip(table.header[1:], line[1:], strict=True)
                if cell
            )
            for line in table.lines
        )
        return [line for text in told for line in _wrap(text, "- ", "  ")]
    cells = (
        (
            cell.rjust(wide[i]) if table.figures[i] else cell.ljust(wide[i])
            for i, cell in enumerate(line)
        )
        for line in every
    )
    return [f"  {'  '.join(line)}".rstrip() for line in cells]


def _row_lines(rows: RowEntries) -> list[str]:
    lines = [rows.piece, ""]
    for entry in rows.entries:
        lines.append(entry.first_line)
        lines += [f"  {line}" for line in entry.more_lines]
    return lines


def _wrap(text: str, first: str, others: str) -> list[str]:
    return TextWrapper(
        _WIDE,
        initial_indent=first,
        subsequent_indent=others,
        break_long_words=False,
        break_on_hyphens=False,
    ).wrap(text)
