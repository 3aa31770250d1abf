"""The files that come with the guides do what the guides say.

Outside authority: the IANA media types of each kind of file; a real web server, where one is installed (CI installs
nginx-light), read with Python's own client.
"""

from __future__ import annotations

import gzip
import os
import re
import shutil
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from http.client import HTTPConnection, HTTPMessage
from pathlib import Path

import pytest
import yaml

from small_manual import write

GUIDES = Path(__file__).resolve().parents[2] / "docs/guides"
SERVER = shutil.which("nginx") or (Path("/usr/sbin/nginx").exists() and "/usr/sbin/nginx") or ""
TYPES = {
    ".html": "text/html",
    ".css": "text/css",
    ".js": "text/javascript",
    ".json": "application/json",
    ".csv": "text/csv",
    ".ics": "text/calendar",
    ".atom": "application/atom+xml",
    ".xml": "text/xml",
    ".txt": "text/plain",
    ".svg": "image/svg+xml",
    ".png": "image/png",
    ".pdf": "application/pdf",
    ".woff2": "font/woff2",
}
"""As registered with IANA; RFC 9239 for scripts, RFC 7303 for XML, RFC 4180 for CSV, RFC 5545, RFC 4287, RFC 8081."""


def endings(folder: Path) -> set[str]:
    return {p.suffix for p in folder.rglob("*") if p.is_file() and not p.name.startswith(".")}


def test_the_table_of_types_is_right_and_leaves_nothing_out(built: Path) -> None:
    text = (GUIDES / "object-storage.md").read_text("utf-8")
    rows = re.findall(r"^\| `(\.\w+)` \| `([^`;]+)(; charset=utf-8)?` \| `([^`]+)` \|$", text, re.M)
    assert {ending: kind for ending, kind, _, _ in rows} == TYPES
    assert endings(built) <= TYPES.keys()
    textual = {e for e, kind, charset, _ in rows if charset}
    assert textual == {".html", ".css", ".js", ".json", ".csv", ".ics", ".atom", ".xml", ".txt"}
    assert {e for e, _, _, keep in rows if keep != "no-cache"} == {".woff2"}


def test_the_containerfile_copies_what_is_there() -> None:
    text = (GUIDES / "web-server/Containerfile").read_text("utf-8")
    copied = re.findall(r"^COPY (\S+) (\S+)$", text, re.M)
    conf = (GUIDES / "web-server/manual.conf").read_text("utf-8")
    assert dict(copied)["site"] in re.findall(r"root (\S+);", conf)
    assert (GUIDES / "web-server" / next(a for a, b in copied if b == "/etc/nginx/manual.conf")).is_file()
    assert re.findall(r"^EXPOSE (\d+)$", text, re.M) == re.findall(r"listen (\d+);", conf)


@pytest.fixture(scope="module")
def port(built: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[int]:
    """The server with the settings of the guide; only folder, port and place of its scratch files are changed."""
    if not SERVER:
        pytest.skip("no nginx here; CI has one")
    folder = tmp_path_factory.mktemp("server")
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        number = int(free.getsockname()[1])
    text = (GUIDES / "web-server/manual.conf").read_text("utf-8")
    for old, new in (("/srv/manual", str(built)), ("8080", f"127.0.0.1:{number}"), ("/tmp/manual", f"{folder}/m")):
        assert old in text
        text = text.replace(old, new)
    if os.geteuid() == 0:
        text = f"user root;\n{text}"
    (folder / "manual.conf").write_text(text, "utf-8")
    command = [SERVER, "-p", str(folder), "-e", "stderr", "-c", str(folder / "manual.conf")]
    tried = subprocess.run([*command, "-t"], capture_output=True, text=True, check=False)
    assert tried.returncode == 0 and "[warn]" not in tried.stderr, tried.stderr
    server = subprocess.Popen([*command, "-g", "daemon off;"], stderr=subprocess.DEVNULL)
    for _ in range(100):
        with socket.socket() as probe:
            if probe.connect_ex(("127.0.0.1", number)) == 0:
                break
        time.sleep(0.05)
    yield number
    server.terminate()
    server.wait(10)


def ask(port: int, path: str, **headers: str) -> tuple[int, HTTPMessage, bytes]:
    connection = HTTPConnection("127.0.0.1", port, timeout=10)
    connection.request("GET", path, headers=headers)
    answer = connection.getresponse()
    return answer.status, answer.headers, answer.read()


def test_each_kind_of_file_is_served_as_what_it_is(port: int, built: Path) -> None:
    for ending in sorted(endings(built)):
        file = next(p for p in sorted(built.rglob(f"*{ending}")) if p.is_file())
        status, headers, body = ask(port, f"/{file.relative_to(built).as_posix()}")
        assert status == 200 and body == file.read_bytes()
        kind, _, charset = headers["Content-Type"].partition("; ")
        assert kind == TYPES[ending], ending
        assert charset == ("" if ending in (".svg", ".png", ".pdf", ".woff2") else "charset=utf-8")
        keep = "public, max-age=31536000, immutable" if ending == ".woff2" else "no-cache"
        assert headers["Cache-Control"] == keep and headers["X-Frame-Options"] is None


def test_text_is_compressed_and_an_unchanged_page_is_not_sent_again(port: int) -> None:
    page = "/crops/corn/tassel-to-silk/"
    _, headers, body = ask(port, page)
    _, packed, small = ask(port, page, **{"Accept-Encoding": "gzip"})
    assert packed["Content-Encoding"] == "gzip" and gzip.decompress(small) == body and 3 * len(small) < len(body)
    status, _, nothing = ask(port, page, **{"If-None-Match": headers["ETag"]})
    assert (status, nothing) == (304, b"")


def test_addresses_without_a_slash_lead_on_and_hidden_files_do_not(port: int) -> None:
    status, headers, _ = ask(port, "/c/c8ts")
    assert status == 301 and headers["Location"] == "/c/c8ts/"
    assert ask(port, "/.earleaf-site")[0] == 404 and ask(port, "/no/such/page/")[0] == 404


def test_data_may_be_read_from_other_sites(port: int) -> None:
    assert ask(port, "/data/v1/index.json")[1]["Access-Control-Allow-Origin"] == "*"
    assert ask(port, "/changes.atom")[1]["Access-Control-Allow-Origin"] == "*"
    assert ask(port, "/crops/corn/")[1]["Access-Control-Allow-Origin"] is None


def test_the_job_of_a_forge_builds_the_folder_that_it_publishes(tmp_path: Path) -> None:
    job = yaml.safe_load((GUIDES / "forge/pages.yml").read_text("utf-8"))["pages"]
    assert job["script"] == ["sh publish.sh"] and job["artifacts"]["paths"] == [job["variables"]["OUT"]]
    write(tmp_path)
    shutil.copy(GUIDES / "forge/publish.sh", tmp_path)
    path = f"{Path(sys.executable).parent}:{os.environ['PATH']}"
    env = {**os.environ, "PATH": path, "OUT": job["variables"]["OUT"]}
    done = subprocess.run(["sh", "publish.sh"], cwd=tmp_path, env=env, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    assert (tmp_path / "public/crops/corn/silk/index.html").is_file()
    before = (tmp_path / "public/index.html").stat().st_mtime_ns
    crop = tmp_path / "protocols/crops/corn.yml"
    crop.write_text(crop.read_text("utf-8").replace("part: ear-leaf", "part: no-leaf"), "utf-8")
    failed = subprocess.run(["sh", "publish.sh"], cwd=tmp_path, env=env, capture_output=True, text=True, check=False)
    assert failed.returncode == 1 and "no-leaf" in failed.stdout
    assert (tmp_path / "public/index.html").stat().st_mtime_ns == before
