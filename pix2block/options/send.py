"""The options of sending a folder to a phone."""

from __future__ import annotations

from pix2block.ground.frozen import dataclass
from pix2block.options.asking import Asked, option
from pix2block.options.rules import Flag, Whole

SEND = "send"
SENDING = "to the phone"
USUAL_PORT = 7260  # kept where it is free: a page finds its progress at the address it had


@dataclass(frozen=True, kw_only=True, repr=False)
class SendOptions(Asked):
    """How a folder goes to a phone; None where nothing is said."""

    # fmt: off
    zip: bool | None = option(SENDING, Flag(), (SEND,),
        "all of it as one zip file beside the folder, and no server")
    port: int | None = option(SENDING, Whole(1024, 65535), (SEND,),
        "the port at which this machine serves it",
        shown=f"{USUAL_PORT}, or a free one")
    # fmt: on
