"""Stage: a hidden folder beside the one being written, so that files appear whole or not at all."""

from __future__ import annotations

import errno
import os
import secrets
import shutil
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from preview.faults import UserError

FULL_BELOW_BYTES = 64 * 1024
"""A disk with less than this left is taken as full when a library fails without giving the reason."""

REASONS = {
    errno.ENOSPC: "the disk is full",
    errno.EDQUOT: "the disk quota is used up",
    errno.EFBIG: "the file grew past the size allowed here",
    errno.EACCES: "it may not be written to",
    errno.EPERM: "it may not be written to",
    errno.EROFS: "the disk is read-only",
    errno.ENOENT: "no such folder can be made there",
    errno.ENOTDIR: "a file stands where a folder should be",
    errno.EEXIST: "a file stands where a folder should be",
    errno.EISDIR: "a folder stands where a file should be",
    errno.ENAMETOOLONG: "the name is too long",
    errno.EIO: "the disk gave an error",
}


@contextmanager
def staged(folder: Path) -> Iterator[Path]:
    """Yields an empty folder to write into; its files move to `folder` when the block ends well.

    Sub-folders keep their places. Until the end nothing in `folder` is touched; each file is then renamed
    over its predecessor, which is atomic, so no half file is ever seen under its own name. On any exception
    what was staged is removed, with the folders made for it.

    Raises UserError, in a sentence, when the folder cannot be written; KeyboardInterrupt with a sentence when
    the user stops the work. Other exceptions pass through as they are.
    """
    folder = Path(os.path.abspath(folder))
    # Known before anything is made, so that an interrupt at any moment finds what to take away.
    missing = [path for path in (folder, *folder.parents) if not os.path.exists(path)]
    stage = folder.parent / f".{folder.name}.{secrets.token_hex(4)}.part"
    moved: list[str] = []
    try:
        with _making(folder):
            folder.parent.mkdir(parents=True, exist_ok=True)
            stage.mkdir(mode=0o700)
        yield stage
        with _making(folder):
            folder.mkdir(exist_ok=True)
        _move(stage, folder, moved)
    except KeyboardInterrupt as stop:
        raise KeyboardInterrupt(f"Stopped. {_kept(folder, moved)}") from stop
    except OSError as error:
        reason = _reason(error, stage, folder)
        if reason is None:
            raise
        raise UserError(f"Cannot write to {folder}: {reason}. {_kept(folder, moved)}") from error
    except UserError:
        raise
    except Exception as error:
        # Some image libraries report a full disk as an error of their own, without its number.
        if _is_full(stage):
            raise UserError(f"Cannot write to {folder}: the disk is full. {_kept(folder, moved)}") from error
        raise
    finally:
        try:
            _tidy(stage, missing)
        except KeyboardInterrupt:
            _tidy(stage, missing)
            raise


@contextmanager
def _making(folder: Path) -> Iterator[None]:
    """Any failure in the block is the user's folder at fault, for whatever reason the system gives."""
    try:
        yield
    except OSError as error:
        said = error.strerror or type(error).__name__
        reason = REASONS.get(error.errno or 0, said[:1].lower() + said[1:])
        raise UserError(f"Cannot write to {folder}: {reason}. {_kept(folder, [])}") from error


def _tidy(stage: Path, missing: Iterable[Path]) -> None:
    """Takes away the stage and, innermost first, the folders that were `missing` and have stayed empty."""
    shutil.rmtree(stage, ignore_errors=True)
    for folder in missing:
        with suppress(OSError):  # it holds what was written
            folder.rmdir()


def _move(stage: Path, folder: Path, moved: list[str]) -> None:
    for source in sorted(path for path in stage.rglob("*") if not path.is_dir()):
        target = folder / source.relative_to(stage)
        target.parent.mkdir(parents=True, exist_ok=True)
        os.replace(source, target)
        moved.append(str(source.relative_to(stage)))


def _kept(folder: Path, moved: list[str]) -> str:
    if moved:
        return f"Written whole: {', '.join(moved)}; everything else in {folder} is as it was."
    return "No file was written or changed; what was there before is kept."


def _reason(error: OSError, stage: Path, folder: Path) -> str | None:
    """Why the folder could not be written, or None when the error is about some other file."""
    if error.errno not in REASONS or error.errno == errno.ENOENT:
        return None
    if error.filename is not None:
        named = Path(os.path.abspath(os.fsdecode(error.filename)))
        ours = (stage, folder, *folder.parents)
        if named not in ours and not any(place in named.parents for place in (folder, stage)):
            return None
    return REASONS[error.errno]


def _is_full(stage: Path) -> bool:
    with suppress(OSError):
        return shutil.disk_usage(stage).free < FULL_BELOW_BYTES
    return False
