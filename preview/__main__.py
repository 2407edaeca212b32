"""The entry point of the command: whatever happens, it ends in an exit status and at most a sentence.

Nothing heavy is imported before ctrl-C is in hand.
"""

from __future__ import annotations

import errno
import gc
import os
import signal
import sys
from typing import Any

STOPPED = "Stopped. No half-written file is left."


def main() -> None:
    """Exit status 0 when done, 2 for what the user can mend (said on standard error), 130 for ctrl-C."""
    interrupted = False

    def stop_once(number: int, where: Any) -> None:
        """The first ctrl-C stops the work; a second must not break into the tidying up."""
        nonlocal interrupted
        interrupted = True
        signal.signal(signal.SIGINT, signal.SIG_IGN)
        raise KeyboardInterrupt

    # Where a shell has told a background job to ignore ctrl-C, it stays ignored.
    if signal.getsignal(signal.SIGINT) is signal.default_int_handler:
        signal.signal(signal.SIGINT, stop_once)
    try:
        try:
            status = _run()
        finally:
            signal.signal(signal.SIGINT, signal.SIG_IGN)
    except KeyboardInterrupt as stop:
        status = _stopped(str(stop))
    except OSError as error:
        status = _stopped("") if interrupted else _unprinted(error)
    except Exception:
        # A compiled module that is interrupted while it loads raises what it likes.
        if not interrupted:
            raise
        status = _stopped("")
    sys.exit(status)


def _run() -> int:
    # Reading in makes half a million objects and drops few: looked through seldom, they cost a tenth less.
    gc.set_threshold(50_000, 20, 50)
    from preview.cli import run

    for stream in (sys.stdout, sys.stderr):
        # Degree signs and fractions, wherever the output goes.
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8")
    status = run(sys.argv[1:])
    sys.stdout.flush()
    # Nor are they looked through once more on the way out.
    gc.freeze()
    return status


def _stopped(words: str) -> int:
    """Says that the work was stopped, on a line of its own after the terminal's ^C."""
    print(("\n" if sys.stderr.isatty() else "") + (words or STOPPED), file=sys.stderr)
    return 128 + signal.SIGINT


def _unprinted(error: OSError) -> int:
    """A reader who has seen enough (`| head`) needs no words; a full disk behind `>` does. Anything else is a bug."""
    words = {errno.EPIPE: "", errno.ENOSPC: "The answer cannot be printed: the disk is full."}
    if error.filename is not None or error.errno not in words:
        raise error
    # What is left in the buffer has nowhere to go: not even at exit.
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    if not words[error.errno]:
        return 1
    print(words[error.errno], file=sys.stderr)
    return 2


if __name__ == "__main__":
    main()
