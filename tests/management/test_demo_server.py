"""The demo's server is bound to this computer alone."""

import pytest

from tracker.management.demo.server import LOOPBACK, PortTaken, server


def application(environ, start_response):
    raise AssertionError("nobody asks in this test")


def test_server_listens_on_loopback_only():
    with server(0, application) as made:
        assert made.server_address == ("127.0.0.1", made.server_port)
        assert LOOPBACK == made.socket.getsockname()[0] == "127.0.0.1"


def test_port_in_use_is_named():
    with server(0, application) as made, pytest.raises(PortTaken, match=str(made.server_port)):
        server(made.server_port, application)
