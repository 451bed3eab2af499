"""The piece sent to a phone from the worktable, as `pix2block send` sends it: until it is stopped,
or an hour has passed."""

from __future__ import annotations

import threading
from pathlib import Path
from typing import Any

from pix2block.sending import server
from pix2block.sending.folder import pack

THIS_MACHINE = "127.0.0.1"


class Phone:
    """What is sent now, if anything is."""

    def __init__(self) -> None:
        self._stopped = threading.Event()
        self._thread: threading.Thread | None = None

    def send(self, folder: Path, here: bool = False) -> dict[str, Any]:
        """Begin to send a folder's pattern; what was sent before ends. Its address, the QR code of
        it as SVG in a data address, and the files' names. here: to this machine alone, where a page
        keeps what a browser keeps for an address of its own, apart from the worktable's.

        Raises BadInput where this machine is in no network, or the folder has no pattern.
        """
        import segno

        self.stop()
        parcel = pack(folder)
        address = THIS_MACHINE if here else server.home_address()
        token = server.new_token()
        listening = server.bound_to(address, None)
        link = f"http://{address}:{listening.getsockname()[1]}/{token}/"
        app = server.application(parcel, token, address)
        stopped = threading.Event()

        def serve() -> None:
            with listening:
                server.serve(app, listening, server.HOUR, stopped.is_set)

        self._stopped = stopped
        self._thread = threading.Thread(target=serve, daemon=True)
        self._thread.start()
        code = segno.make(link, error="m").svg_data_uri(scale=5, border=4, light="#fdfcf9")
        return {"link": link, "code": code, "files": list(parcel.contents)}

    def stop(self) -> None:
        """Send no more."""
        self._stopped.set()
        if self._thread is not None:
            self._thread.join(5)
            self._thread = None
