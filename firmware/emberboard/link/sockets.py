"""Plain TCP sockets that connect without waiting, and the one place where a name is looked up."""

import socket


class Opener:
    """Gives `open_socket` for the client. A name is looked up in `resolve` only.

    Looking up a name can hold a board for many seconds, so that the application calls `resolve`
    while nothing is being held at temperature; the answer is kept for good. A numeric address
    needs no look-up and is taken as it is.
    """

    def __init__(self):
        self._known = {}

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
        return sock


def is_numeric(host):
    """True for four numbers with dots: an address, not a name."""
    parts = host.split(".")
    return len(parts) == 4 and all(part.isdigit() and int(part) < 256 for part in parts)
