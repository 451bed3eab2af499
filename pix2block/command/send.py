"""The command that sends a pattern to a phone in the same home."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path
from typing import Any

import click

from pix2block.command.help import GroupedHelp, as_click, given_words
from pix2block.command.say import echo, notes
from pix2block.options.asking import specs_of
from pix2block.options.send import SEND, SENDING, SendOptions


def send_command() -> click.Command:
    """The command."""
    of = specs_of(SendOptions)

    def call(folder: str, **words: Any) -> None:
        _send(Path(folder), SendOptions.from_words(given_words(words, of)))

    return GroupedHelp(
        SEND,
        params=[click.Argument(["folder"], metavar="FOLDER"), *map(as_click, of)],
        callback=call,
        of=of,
        groups=(("", (SENDING,)),),
        help="Sends the pattern and the hookside page of a folder to a phone in the same home "
        "network, for an hour at most: read-only, at an address that nobody guesses.",
    )


def _send(folder: Path, options: SendOptions) -> None:
    from pix2block.ground.files import save_all
    from pix2block.recipes.keeping import keep_foreign
    from pix2block.sending.folder import is_parcel, pack, zipped

    parcel = pack(folder)
    if options.zip:
        name = f"{parcel.name}.zip"
        place = folder.resolve().parent
        found = keep_foreign(place / name, lambda data: is_parcel(data, parcel.name))
        save_all(place, {name: zipped(parcel)}, lambda _: found.moves)
        notes(found.notes)
        echo(f"{place / name}: copy it to the phone, and open hookside.html there in a browser")
        return
    from pix2block.sending import server

    address, token = server.home_address(), server.new_token()
    with server.bound_to(address, options.port) as listening:
        link = f"http://{address}:{listening.getsockname()[1]}/{token}/"
        _tell(link, list(parcel.contents))
        with suppress(KeyboardInterrupt):
            server.serve(server.application(parcel, token, address), listening, server.HOUR)
    echo("Stopped.")


def _tell(link: str, names: list[str]) -> None:
    import segno

    code = segno.make(link, error="m")
    code.terminal(compact=True)
    echo(link)
    echo(f"Open it with the phone, in the same home network: {', '.join(names)}.")
    echo("It is open to whoever has this address until you stop it (Ctrl+C) or an hour has passed.")
