"""This machine's address in the local network, and an address as a square code that a phone reads."""

from __future__ import annotations

import io
import ipaddress
import socket

from cutpath.faults import Fault

#: An address of RFC 5737, to which nothing is sent: it only shows which of this machine's own would be sent from.
_AWAY = ("192.0.2.1", 9)


def lan_address() -> str:
    """This machine's address in the local network.

    Raises:
        Fault: it is in none, or its address is seen from everywhere.
    """
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        try:
            asking.connect(_AWAY)
            found = str(asking.getsockname()[0])
        except OSError:
            found = ""
    address = ipaddress.ip_address(found) if found else None
    if address is None or address.is_loopback or address.is_unspecified:
        raise Fault("--lan: this machine is in no network", way_out="join one, or leave --lan out")
    if not (address.is_private or address.is_link_local):
        raise Fault(
            f"--lan: {found} is no address of a local network: anybody could try it",
            way_out="leave --lan out, or join a network of your own",
        )
    return found


def square_code(address: str) -> list[str]:
    """An address as a QR code (ISO/IEC 18004): lines of blocks, two rows of the code each, what is filled being light.

    Args:
        address: what a phone is to open.
    """
    import segno

    text = io.StringIO()
    segno.make(address, error="l", micro=False).terminal(text, compact=True)
    return text.getvalue().rstrip("\n").split("\n")
