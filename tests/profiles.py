"""A small ICC profile made here, so that tests and measurements need no one else's."""

from __future__ import annotations

import struct


def _fixed(value: float) -> bytes:
    return struct.pack(">i", round(value * 65536))


def swapped_primaries_profile(gamma: float = 1.8) -> bytes:
    """A matrix profile (ICC version 2.1, display RGB) far from sRGB: its red and blue primaries
    are sRGB's blue and red, its curves a plain gamma. Adapted to D50, as the format asks."""
    red, green, blue = (  # sRGB's primaries adapted to D50
        (0.4360747, 0.2225045, 0.0139322),
        (0.3850649, 0.7168786, 0.0971045),
        (0.1430804, 0.0606169, 0.7141733),
    )
    text = b"swapped primaries\0"
    description = b"desc" + bytes(4) + struct.pack(">I", len(text)) + text + bytes(78)
    curve = b"curv" + bytes(4) + struct.pack(">IH", 1, round(gamma * 256))

    def xyz(values: tuple[float, float, float]) -> bytes:
        return b"XYZ " + bytes(4) + b"".join(_fixed(v) for v in values)

    tags = {
        b"desc": description,
        b"cprt": b"text" + bytes(4) + b"none\0",
        b"wtpt": xyz((0.9642, 1.0, 0.8249)),
        b"rXYZ": xyz(blue),
        b"gXYZ": xyz(green),
        b"bXYZ": xyz(red),
        b"rTRC": curve,
        b"gTRC": curve,
        b"bTRC": curve,
    }
    offset = 128 + 4 + 12 * len(tags)
    table, body = struct.pack(">I", len(tags)), b""
    for name, data in tags.items():
        padded = data + bytes(-len(data) % 4)
        table += name + struct.pack(">II", offset + len(body), len(data))
        body += padded
    size = offset + len(body)
    header = struct.pack(">I", size) + bytes(4) + bytes.fromhex("02100000") + b"mntrRGB XYZ "
    header += bytes(12) + b"acsp" + bytes(28) + _fixed(0.9642) + _fixed(1.0) + _fixed(0.8249)
    return header.ljust(128, b"\0") + table + body
