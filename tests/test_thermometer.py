"""The shop's thermometer: from a file, and over HTTP from a server that runs here."""

from __future__ import annotations

import http.server
import threading
import time
from contextlib import contextmanager

import pint
import pytest

from shopfloor import thermometer
from shopfloor.domain.errors import Refused
from shopfloor.wording import climate as wording


@pytest.mark.parametrize(
    ("text", "figures"),
    [
        ('{"temperature_c": 19.5, "humidity_percent": 45}', (19.5, 45)),
        ('{"temperature_c": "19.5", "battery": [1, 2]}', (19.5, None)),
        (
            '{"temperature_f": 70, "humidity_percent": null}',
            (pint.Quantity(70, "degF").to("degC").magnitude, None),
        ),
        ('{"temperature_c": -3, "temperature_f": 70}', (-3, None)),
        ("19.5 45\n", (19.5, 45)),
        ("\ufeff 21,25 °C; 40 %", (21.25, 40)),
        ("18", (18, None)),
    ],
)
def test_a_file_is_read_in_either_form(tmp_path, text, figures):
    file = tmp_path / "thermometer.txt"
    file.write_text(text, "utf-8")
    assert thermometer.read(str(file)) == pytest.approx(figures)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "no figure",
        "{}",
        "{",
        '{"temperature_c": true}{',
        '{"humidity_percent": 40}',
        '{"temperature_c": 1e400}',
        "451 45",
        "20 145",
        '{"temperature_c": [20]}',
        "[" * 5000,
        '{"a":' * 5000,
        "2" * 400,
        "20 " + "x" * thermometer.MOST_BYTES,
    ],
)
def test_what_is_no_temperature_of_a_bench_is_refused_in_one_sentence(tmp_path, text):
    file = tmp_path / "thermometer.txt"
    file.write_text(text)
    with pytest.raises(Refused) as refusal:
        thermometer.read(str(file))
    assert refusal.value.sentence == str(wording.thermometer_unreadable())


@pytest.mark.parametrize("path", ["", "missing", "\0", ".", "/dev/zero"])
def test_what_is_no_file_is_silent(tmp_path, path):
    with pytest.raises(Refused) as refusal:
        thermometer.read(path if path.startswith("/") else f"{tmp_path}/{path}")
    assert refusal.value.sentence == str(wording.thermometer_silent())


# Over HTTP. -----------------------------------------------------------------------------------------------------------


class Answering(http.server.BaseHTTPRequestHandler):
    """Answers each path in its own way."""

    def do_GET(self):
        """By the path."""
        answer = getattr(
            self, f"_{self.path.strip('/').replace('-', '_')}", lambda: self._send(b"", 404)
        )
        answer()

    def log_message(self, *_):
        """Says nothing."""

    def _send(self, body: bytes, status: int = 200, **headers: str):
        self.send_response(status)
        for name, value in headers.items():
            self.send_header(name, value)
        self.end_headers()
        self.wfile.write(body)

    def _good(self):
        self._send(b'{"temperature_c": 20.5, "humidity_percent": 41}')

    def _moved(self):
        self._send(b"", 302, Location="/good")

    def _round(self):
        self._send(b"", 302, Location="/round")

    def _elsewhere(self):
        self._send(b"", 302, Location=f"http://localhost:{self.server.server_port}/good")

    def _to_a_file(self):
        self._send(b"", 302, Location="file:///etc/hostname")

    def _broken(self):
        self._send(b"20 40", 500)

    def _long(self):
        self._send(b"20 " * thermometer.MOST_BYTES)

    def _drips(self):
        self.send_response(200)
        self.end_headers()
        for _ in range(40):
            self.wfile.write(b"2")
            self.wfile.flush()
            time.sleep(0.1)

    def _sleeps(self):
        time.sleep(1.5)


@contextmanager
def answering():
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), Answering)
    serving = threading.Thread(target=server.serve_forever, args=(0.05,))
    serving.start()
    yield f"http://127.0.0.1:{server.server_port}"
    server.shutdown()
    serving.join()
    server.server_close()


@pytest.fixture(scope="module")
def address():
    with answering() as where:
        yield where


@pytest.mark.parametrize("path", ["good", "moved"])
def test_an_address_is_read_also_where_it_leads_on_to_itself(address, path):
    assert thermometer.read(f"{address}/{path}") == (20.5, 41)


@pytest.mark.parametrize("path", ["elsewhere", "to-a-file", "round", "broken", "no-such"])
def test_an_address_that_leads_elsewhere_or_fails_is_silent(address, path):
    with pytest.raises(Refused) as refusal:
        thermometer.read(f"{address}/{path}")
    assert refusal.value.sentence == str(wording.thermometer_silent())


def test_what_is_longer_than_64_kb_is_not_read_to_its_end(address):
    with pytest.raises(Refused) as refusal:
        thermometer.read(f"{address}/long")
    assert refusal.value.sentence == str(wording.thermometer_unreadable())


@pytest.mark.parametrize("path", ["drips", "sleeps"])
def test_a_thermometer_that_takes_too_long_is_given_up(address, path, monkeypatch):
    monkeypatch.setattr(thermometer, "TIMEOUT", 0.4)
    begun = time.monotonic()
    with pytest.raises(Refused) as refusal:
        thermometer.read(f"{address}/{path}")
    assert refusal.value.sentence == str(wording.thermometer_silent())
    assert time.monotonic() - begun < 1.4


@pytest.mark.parametrize(
    "address",
    [
        "http://127.0.0.1:1/",
        "http://",
        "http://[",
        "http://127.0.0.1:99999/",
        "https://127.0.0.1:1/",
    ],
)
def test_an_address_where_nobody_answers_is_silent(address):
    with pytest.raises(Refused) as refusal:
        thermometer.read(address)
    assert refusal.value.sentence == str(wording.thermometer_silent())
