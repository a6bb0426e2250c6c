"""Apache, nginx and Caddy on loopback, each told what the head of its file of rules says.

As root they run as nobody, so that what they serve must be there for everyone to read.
"""

import os
import pwd
import shutil
import subprocess
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx2 as httpx

from ports import free_port

MODULES = (
    "mpm_event", "authz_core", "autoindex", "dir", "headers", "mime", "negotiation", "rewrite",
    "setenvif",
)  # fmt: skip
"""Modules of Apache: those that the rules name, and two that Debian turns on and that interfere."""

APACHE = """\
ServerRoot /usr/lib/apache2
{modules}
Listen 127.0.0.1:{port}
ServerName localhost
PidFile {place}/apache.pid
ErrorLog {place}/error.log
Mutex pthread
DefaultRuntimeDir {place}
TypesConfig /etc/mime.types
AddEncoding x-gzip .gz
AddLanguage de .de
AddHandler type-map .var
DocumentRoot {root}
AllowEncodedSlashes On
<Directory {root}>
    Options Indexes FollowSymLinks MultiViews
    AllowOverride {override}
    Require all granted
</Directory>
{more}
"""

NGINX = """\
daemon off;
pid {place}/nginx.pid;
error_log {place}/error.log;
events {{ }}
http {{
    include /etc/nginx/mime.types;
    default_type application/octet-stream;
    access_log off;
    client_body_temp_path {place}/body;
    proxy_temp_path {place}/proxy;
    fastcgi_temp_path {place}/fastcgi;
    uwsgi_temp_path {place}/uwsgi;
    scgi_temp_path {place}/scgi;
    include {site}/data/nginx-maps.conf;
    server {{
        listen 127.0.0.1:{port};
        root {root};
        include {site}/data/nginx.conf;
    }}
}}
"""

CADDY = """\
{{
    admin off
    auto_https off
}}
http://127.0.0.1:{port} {{
    bind 127.0.0.1
    root * {root}
    import {site}/data/Caddyfile
}}
"""


@contextmanager
def web_folder() -> Iterator[Path]:
    """Make a folder that everyone may read, for what is served; it is gone afterwards."""
    with tempfile.TemporaryDirectory(prefix="served-") as name:
        Path(name).chmod(0o755)
        yield Path(name)


@contextmanager
def apache(root: Path, site: Path) -> Iterator[str]:
    """Serve with the rules copied to the site's folder as ``.htaccess``."""
    shutil.copy(site / "data" / "apache.htaccess", site / ".htaccess")
    with _apache(root, "FileInfo Indexes Options=Indexes,MultiViews", "") as address:
        yield address


@contextmanager
def apache_including(root: Path, site: Path) -> Iterator[str]:
    """Serve with the rules in the configuration of the site's folder."""
    (site / ".htaccess").unlink(missing_ok=True)
    include = f"<Directory {site}>\nInclude {site}/data/apache.htaccess\n</Directory>"
    with _apache(root, "None", include) as address:
        yield address


@contextmanager
def _apache(root: Path, override: str, more: str) -> Iterator[str]:
    modules = "\n".join(f"LoadModule {name}_module modules/mod_{name}.so" for name in MODULES)

    def configuration(place: Path, port: int) -> str:
        return APACHE.format(
            place=place, port=port, root=root, modules=modules, override=override, more=more
        )

    with _running(("apache2", "-D", "FOREGROUND", "-f"), configuration) as address:
        yield address


@contextmanager
def nginx(root: Path, site: Path) -> Iterator[str]:
    """Serve with the rules included from the site's folder."""

    def configuration(place: Path, port: int) -> str:
        return NGINX.format(place=place, port=port, root=root, site=site)

    with _running(("nginx", "-c"), configuration) as address:
        yield address


@contextmanager
def caddy(root: Path, site: Path) -> Iterator[str]:
    """Serve with the rules imported from the site's folder."""

    def configuration(place: Path, port: int) -> str:
        return CADDY.format(port=port, root=root, site=site)

    words = ("caddy", "run", "--adapter", "caddyfile", "--config")
    with _running(words, configuration) as address:
        yield address


SERVERS = {"apache": apache, "apache-including": apache_including, "nginx": nginx, "caddy": caddy}
"""Each way to serve, by name: a context that takes the root and the site's folder in it."""


@contextmanager
def _running(command: tuple[str, ...], configuration: Callable[[Path, int], str]) -> Iterator[str]:
    """Run a server until the context ends; its address, closing slash and all."""
    with web_folder() as place:
        user = _nobody(place)
        port = free_port()
        file = place / "server.conf"
        file.write_text(configuration(place, port))
        log = place / "out.log"
        environment = {**os.environ, "HOME": str(place), "XDG_DATA_HOME": str(place)}
        program = shutil.which(command[0], path=f"{os.environ['PATH']}:/usr/sbin")
        assert program, f"install {command[0]}"
        with log.open("w") as out, subprocess.Popen(
            [program, *command[1:], str(file)], cwd=place, stdout=out, stderr=out,
            env=environment, user=user, group=user and pwd.getpwuid(user).pw_gid,
            extra_groups=[] if user else None,
        ) as server:  # fmt: skip
            try:
                address = f"http://127.0.0.1:{port}/"
                _wait(server, address, place)
                yield address
            finally:
                server.terminate()
                server.wait(timeout=20)


def _nobody(place: Path) -> int | None:
    """Give a folder to nobody if this is root; return that user's number, else None."""
    if os.geteuid() != 0:
        return None
    nobody = pwd.getpwnam("nobody")
    os.chown(place, nobody.pw_uid, nobody.pw_gid)
    return nobody.pw_uid


def _wait(server: subprocess.Popen[bytes], address: str, place: Path) -> None:
    for _ in range(100):
        try:
            httpx.get(address, trust_env=False)
        except httpx.TransportError:
            if server.poll() is not None:
                break
            time.sleep(0.1)
        else:
            return
    logs = "\n".join(each.read_text() for each in sorted(place.glob("*.log")))
    raise AssertionError(f"{server.args} does not serve:\n{logs}")
