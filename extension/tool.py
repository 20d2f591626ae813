"""What every tool of the menu shares: read the document, do the work, write the whole result or nothing."""

from __future__ import annotations

import contextlib
import os
import stat
import sys
from typing import TYPE_CHECKING

from extension.document import MOST_BYTES, Document, read_document
from geometry.errors import DocumentError, OutputError, QuiltError

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

LONGEST_SENTENCE = 600

DONE, FOUND, REFUSED = 0, 1, 2
"""Exit codes: done; a check found something; bad input or bad usage."""


def load(path: str) -> Document:
    """Read a document from a file.

    Raises:
        DocumentError: it cannot be opened, or not safely.
    """
    try:
        with open(path, "rb") as file:  # noqa: PTH123 - paths take time to load; most documents go to standard output
            large = os.fstat(file.fileno()).st_size > MOST_BYTES
            data = b"" if large else file.read()
    except (OSError, ValueError) as error:
        raise DocumentError(
            f"“{path}” cannot be opened ({_reason(error)}); it must be an SVG document: please check its name and place."
        ) from None
    if large:
        raise DocumentError(
            f"“{path}” is very large; it must be at most {MOST_BYTES >> 20} MB: please link pictures instead of embedding "
            "them."
        )
    return read_document(data)


def _reason(error: Exception) -> str:
    return (getattr(error, "strerror", None) or str(error)).lower()


def write(data: bytes, path: str | None, source: str | None = None) -> None:
    """Write a result whole to a file, or to standard output when `path` is None.

    Raises:
        OutputError: it is the input file, or cannot be written.
    """
    if path is None:
        sys.stdout.buffer.write(data)
        sys.stdout.buffer.flush()
        return
    from pathlib import Path  # noqa: PLC0415 - see `load`

    target = Path(path)
    try:
        if source is not None and target.exists() and target.samefile(source):
            raise OutputError(
                f"The output “{path}” is the input file; it must be another one, so that nothing is lost: "
                "please give a different name."
            )
        if target.exists() and not stat.S_ISREG(target.stat().st_mode):
            target.write_bytes(data)
            return
        _replace(target.resolve(), data)
    except OSError as error:
        raise OutputError(
            f"“{path}” cannot be written ({_reason(error)}); it must be in a folder that exists and is yours: "
            "please choose another place."
        ) from None


def _replace(target: Path, data: bytes) -> None:
    """Write beside the target, then put it in its place in one step."""
    import tempfile  # noqa: PLC0415 - see `load`

    handle, name = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name[:40]}.")
    beside = target.parent / name
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
        mode = stat.S_IMODE(target.stat().st_mode) if target.exists() else 0o666 & ~_umask()
        beside.chmod(mode)
        beside.replace(target)
    except BaseException:
        with contextlib.suppress(OSError):
            beside.unlink()
        raise


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def guarded(work: Callable[[], int]) -> int:
    """Run a tool; whatever it refuses becomes one sentence on standard error and exit code 2."""
    try:
        return work()
    except QuiltError as refusal:
        _say(str(refusal))
    except BrokenPipeError:
        # whoever read our output has stopped; nothing is left to say
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except MemoryError:
        _say("The document is too large for this computer's memory; please draw in a simpler one.")
    except RecursionError:
        _say("The document is nested too deep to be read; please ungroup it and try again.")
    except Exception as fault:  # noqa: BLE001 - whatever it is, the designer gets a sentence and nothing is written
        _say(
            f"Something went wrong inside Cornerwise ({type(fault).__name__}: {fault}); nothing was changed: please report it."
        )
    return REFUSED


def _say(sentence: str) -> None:
    """One line on standard error, whatever was typed into it."""
    plain = " ".join("".join(char if char.isprintable() else " " for char in sentence).split())
    sys.stderr.write((plain if len(plain) <= LONGEST_SENTENCE else plain[: LONGEST_SENTENCE - 1] + "…") + "\n")
