"""TCP sockets that connect without waiting, plain or inside TLS, and where a name is looked up.

With TLS the broker must show a certificate of the authority in the file CA (DER; MicroPython takes
no PEM) and of the name that is expected: there is no way to ask for less. The library checks dates
by the board's clock, and a board begins without one: certificates made for it begin in 2000.
"""

import socket

CA = "broker.der"


class Opener:
    """Gives `open_socket` for the client. A name is looked up in `resolve` only.

    Looking up a name can hold a board for many seconds, so that the application calls `resolve`
    while nothing is being held at temperature; the answer is kept for good. A numeric address
    needs no look-up and is taken as it is. `name` is the one in the broker's certificate; without
    one the connection is plain.
    """

    def __init__(self, name=""):
        self._known = {}
        self._name = name

    def resolve(self, host, port):
        """Look up `host` (may wait for a name server); OSError if it has no address."""
        self._known[host] = socket.getaddrinfo(host, port, 0, socket.SOCK_STREAM)[0]

    def knows(self, host):
        """True if `open` can be used without a look-up."""
        return host in self._known

    def open(self, host, port):
        """A socket that is connecting to `host`; OSError if there is none to be had."""
        if host not in self._known:
            if not is_numeric(host):
                raise OSError("%s has not been looked up" % host)
            self.resolve(host, port)
        family, _, _, _, address = self._known[host]
        sock = socket.socket(family, socket.SOCK_STREAM)
        sock.setblocking(False)
        try:
            sock.connect(address)
        except OSError as error:
            if not error.args or error.args[0] not in (115, 119, 36, 11):  # EINPROGRESS
                sock.close()
                raise
        return secured(sock, self._name) if self._name else sock


def secured(sock, name):
    """`sock` inside TLS; the handshake goes on with each write and read. OSError without a way."""
    try:
        import ssl

        with open(CA, "rb") as file:
            authority = file.read()
        context = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
        context.verify_mode = ssl.CERT_REQUIRED  # type: ignore[attr-defined]
        context.load_verify_locations(cadata=authority)
        return context.wrap_socket(sock, server_hostname=name, do_handshake_on_connect=False)
    except (OSError, ValueError, ImportError) as error:
        sock.close()
        raise OSError("no TLS: %s" % error) from None


def is_numeric(host):
    """True for four numbers with dots: an address, not a name."""
    parts = host.split(".")
    return len(parts) == 4 and all(part.isdigit() and int(part) < 256 for part in parts)
