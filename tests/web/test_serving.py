"""`farspun web`: where it answers, and what it says where it cannot."""

import socket
from pathlib import Path

import httpx

from stashes import farspun
from web.browser.serving import served


def test_the_command_answers_and_refuses_what_is_far_too_long_at_once(
    tmp_path: Path,
) -> None:
    farspun(tmp_path / "stash.db", "skein", "add", "Gorse", "--mass", "71g")
    with served(tmp_path / "stash.db") as address:
        page = httpx.get(f"{address}/stash")
        assert page.status_code == 200 and "Gorse" in page.text
        assert "server" not in page.headers
        # a body far too long is refused though it never comes
        port = int(address.rpartition(":")[2])
        with socket.create_connection(("127.0.0.1", port), timeout=20) as line:
            line.sendall(
                f"POST /skein/weigh HTTP/1.1\r\nhost: 127.0.0.1:{port}\r\n"
                "content-length: 50000000\r\n\r\n".encode()
            )
            assert line.recv(64).startswith(b"HTTP/1.1 413")
    told = (tmp_path / "served.log").read_text()
    assert f"The pages are at {address}/ until you press Ctrl-C." in told


def test_a_port_that_is_taken_is_told_in_two_lines(tmp_path: Path) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        ran = farspun(tmp_path / "stash.db", "web", "--port", str(port))
    assert ran.exit_code == 2
    assert f"Port {port} cannot be used" in ran.stderr
    assert "Choose another with --port" in ran.stderr
