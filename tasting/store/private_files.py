"""Files and folders that nobody else on this computer may read; files that are whole or not there.

A database, a copy of it and an export hold the keys of sessions. On Windows modes mean little: a
user's folder is their own there anyway.
"""

import os
import stat
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

if sys.platform != "win32":
    import fcntl

_OWNERS_ALONE = 0o600
_PREFIX, _SUFFIX = ".tasting-", ".unfinished"


def private_folder(folder: Path) -> Path:
    """The folder; if it is missing it is made, and its parents, with the mode 0700."""
    for one in (*reversed(folder.parents), folder):
        if not one.is_dir():
            one.mkdir(mode=0o700, exist_ok=True)
    return folder


def make_private(file: Path) -> None:
    """Give a file the mode 0600, and make it with that where it is missing. Raises OSError."""
    with suppress(FileExistsError):
        os.close(os.open(file, os.O_RDWR | os.O_CREAT | os.O_EXCL, _OWNERS_ALONE))
    kept = file.stat()
    ours = stat.S_ISREG(kept.st_mode) and kept.st_uid == _own_user()
    if ours and kept.st_mode & 0o077:  # never a device's
        file.chmod(_OWNERS_ALONE)


def _own_user() -> int:
    return os.getuid() if hasattr(os, "getuid") else 0


@contextmanager
def new_file(file: Path) -> Iterator[Path]:
    """A file beside it to write to, which becomes the file when the block is left without a fault.

    Its mode is 0600. Raises OSError, FileExistsError where the file is there by then; nothing is
    left behind.
    """
    with unfinished_file(file.parent) as unfinished:
        yield unfinished
        put_in_place(unfinished, file)


@contextmanager
def unfinished_file(folder: Path) -> Iterator[Path]:
    """A hidden file with the mode 0600 that is gone after the block. Raises OSError.

    What killed programs left of the kind is removed first: it may hold keys.
    """
    remove_unfinished(folder)
    handle, unfinished = _begun(folder)
    if sys.platform == "win32":  # where an open file can be neither renamed nor removed
        os.close(handle)
    try:
        yield unfinished
    finally:
        _remove(unfinished)
        if sys.platform != "win32":
            os.close(handle)  # and its lock with it


def remove_unfinished(folder: Path) -> None:
    """Remove the hidden files there that no program writes to any more: nobody holds their lock.

    On Windows, where such a lock is another thing, they stay.
    """
    if sys.platform == "win32":
        return
    for left in folder.glob(f"{_PREFIX}*{_SUFFIX}"):
        with suppress(OSError):  # it is another user's, or gone
            handle = os.open(left, os.O_RDWR)
            try:
                if _locked(handle):
                    _remove(left)
            finally:
                os.close(handle)


def _begun(folder: Path) -> tuple[int, Path]:
    while True:
        handle, name = tempfile.mkstemp(prefix=_PREFIX, suffix=_SUFFIX, dir=folder)
        _locked(handle)
        if Path(name).exists():
            return handle, Path(name)
        os.close(handle)  # somebody took it for one that was left, before it had its lock


def _locked(handle: int) -> bool:
    """Whether this program now has the lock of this file, which ends with the program."""
    if sys.platform != "win32":
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            return False
    return True


def _remove(unfinished: Path) -> None:
    for ending in ("", "-journal", "-wal", "-shm"):
        unfinished.with_name(unfinished.name + ending).unlink(missing_ok=True)


def put_in_place(unfinished: Path, file: Path) -> None:
    """Give it its name; unlike by a mere rename, never over another file, if the disk can do it."""
    with unfinished.open("rb+") as whole:
        os.fsync(whole.fileno())
    try:
        os.link(unfinished, file)
    except FileExistsError:
        raise
    except OSError:  # a disk without links
        if file.exists():
            raise FileExistsError from None
        unfinished.replace(file)
