"""Serves the demo to this computer only, with nothing that one system has and another lacks."""

import signal
from collections.abc import Callable
from types import FrameType
from typing import Any
from wsgiref.types import WSGIApplication

from django.core.servers.basehttp import ThreadedWSGIServer, WSGIRequestHandler

LOOPBACK = "127.0.0.1"


class PortTaken(OSError):
    """Another program listens on that port."""


class QuietHandler(WSGIRequestHandler):
    """Only what failed is worth a line on the screen."""

    def log_message(self, format: str, *args: Any) -> None:
        status = str(args[1]) if len(args) > 1 else ""
        if status.startswith("5"):
            super().log_message(format, *args)


def server(port: int, application: WSGIApplication) -> ThreadedWSGIServer:
    """A server that is bound and not yet running; port 0 takes a free one."""
    try:
        made = ThreadedWSGIServer((LOOPBACK, port), QuietHandler)
    except OSError as taken:
        raise PortTaken(f"Port {port} is taken by another program; choose one with --port.") from taken
    made.set_app(application)
    return made


def serve_until_stopped(made: ThreadedWSGIServer, *, ready: Callable[[str], object]) -> None:
    """Ends with Ctrl-C or with a polite signal to stop, without a trace of errors."""
    signal.signal(signal.SIGTERM, _stop)
    try:
        ready(f"http://{LOOPBACK}:{made.server_port}/")
        made.serve_forever()
    except KeyboardInterrupt:
        pass
    finally:
        made.server_close()


def _stop(number: int, frame: FrameType | None) -> None:
    raise KeyboardInterrupt
