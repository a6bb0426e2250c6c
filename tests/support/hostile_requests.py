"""Requests as nobody in their right mind would send them, each made from a number."""

import random
import socket
from collections.abc import Callable
from urllib.parse import quote, urlsplit

_QUERIES = (
    "ASK {}",
    "SELECT ?s ?n { ?s a glost:Shape ; rdfs:label ?n }",
    "SELECT * { ?s ?p ?o } LIMIT 50",
    "DESCRIBE <urn:x>",
    "CONSTRUCT WHERE { ?s a glost:Shape }",
    "SELECT * {",
    "DROP ALL",
    "SELECT * { SERVICE <http://localhost/> { ?s ?p ?o } }",
    "ASK { FILTER(" + "(" * 200 + "1" + ")" * 200 + ") }",
)
_PATHS = (
    "",
    "shape/alder",
    "shape",
    "nothing",
    "../../etc/passwd",
    "%00",
    "%ff",
    "sparql/sparql.css",
)
_ACCEPTS = ("*/*", "text/html", "text/turtle;q=0.3", "text/csv", "image/png", ",;q=", 'a/b;c="\\')
Kind = Callable[[random.Random], bytes]


def exchange(address: str, sent: bytes, seconds: float = 10.0) -> bytes:
    """Send octets; return what comes until the other side closes or is silent too long."""
    parts = urlsplit(address)
    got = b""
    try:
        with socket.create_connection((parts.hostname, parts.port), timeout=seconds) as line:
            line.sendall(sent)
            while piece := line.recv(65_536):
                got += piece
    except (ConnectionError, TimeoutError):
        pass
    return got


def _get(random_: random.Random) -> bytes:
    path, accept = random_.choice(_PATHS), random_.choice(_ACCEPTS)
    return (
        f"GET /{path} HTTP/1.1\r\nHost: x\r\nAccept: {accept}\r\nConnection: close\r\n\r\n".encode()
    )


def _query(random_: random.Random) -> bytes:
    text = f"# {random_.random()}\n{random_.choice(_QUERIES)}"
    head = f"Host: x\r\nAccept: {random_.choice(_ACCEPTS)}\r\nConnection: close"
    return f"GET /sparql?query={quote(text)} HTTP/1.1\r\n{head}\r\n\r\n".encode()


def _post(random_: random.Random) -> bytes:
    body = random_.choice(_QUERIES).encode()
    said = len(body) + random_.choice((0, 0, 0, -2))
    kind = random_.choice(("application/sparql-query", "text/plain", "application/sparql-update"))
    head = f"Host: x\r\nContent-Type: {kind}\r\nContent-Length: {said}\r\nConnection: close"
    return f"POST /sparql HTTP/1.1\r\n{head}\r\n\r\n".encode() + body


def _two_lengths(random_: random.Random) -> bytes:
    heads = ["Host: x", "Content-Length: 4", "Transfer-Encoding: chunked"]
    random_.shuffle(heads)
    return ("POST /sparql HTTP/1.1\r\n" + "\r\n".join(heads) + "\r\n\r\n0\r\n\r\n").encode()


def _two_hosts(random_: random.Random) -> bytes:
    return f"GET /{random_.choice(_PATHS)} HTTP/1.1\r\nHost: x\r\nHost: y\r\n\r\n".encode()


def _long(random_: random.Random) -> bytes:
    size = random_.choice((5_000, 20_000, 70_000))
    return b"GET / HTTP/1.1\r\nHost: x\r\nX-Long: " + b"y" * size + b"\r\n\r\n"


def _noise(random_: random.Random) -> bytes:
    return random_.randbytes(random_.randrange(1, 300)) + b"\r\n\r\n"


def _mutated(random_: random.Random) -> bytes:
    sent = bytearray(random_.choice((_get, _query, _post))(random_))
    for _ in range(random_.randrange(1, 4)):
        sent[random_.randrange(len(sent))] = random_.randrange(256)
    return bytes(sent) + b"\r\n\r\n"


def _method(random_: random.Random) -> bytes:
    method = random_.choice(("PUT", "DELETE", "OPTIONS", "TRACE", "HEAD", "PATCH", "X" * 40))
    return f"{method} /sparql HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n".encode()


def _fields(random_: random.Random) -> bytes:
    fields = "&".join(f"f{n}={n}" for n in range(random_.choice((3, 199, 500))))
    return f"GET /sparql?{fields} HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n".encode()


_KINDS: tuple[Kind, ...] = (
    _get, _query, _post, _two_lengths, _two_hosts, _long, _noise, _mutated, _method, _fields,
)  # fmt: skip


def kinds(seed: int) -> str:
    """Say which kind of request a number makes."""
    return random.Random(seed).choice(_KINDS).__name__


def mixed(address: str, seed: int) -> int:
    """Send the request a number makes; return the status of the answer, 0 if there was none."""
    random_ = random.Random(seed)
    sent = random_.choice(_KINDS)(random_)
    parts = urlsplit(address)
    with socket.create_connection((parts.hostname, parts.port), timeout=10) as line:
        try:
            line.sendall(sent)
            line.shutdown(socket.SHUT_WR)
            got = b""
            while piece := line.recv(65_536):
                got += piece
        except ConnectionError:
            return 0
    words = got.split(b" ", 2)
    return int(words[1]) if got.startswith(b"HTTP/1.1 ") and words[1].isdigit() else 0
