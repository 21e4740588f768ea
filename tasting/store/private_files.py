"""Files and folders that nobody else on this computer may read; files that are whole or not there.

A database, a copy of it and an export hold the keys of sessions. On Windows modes mean little: a
user's folder is their own there anyway.
"""

import os
import stat
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

_OWNERS_ALONE = 0o600


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
    handle, name = tempfile.mkstemp(prefix=".tasting-", suffix=".unfinished", dir=file.parent)
    os.close(handle)
    unfinished = Path(name)
    try:
        yield unfinished
        _put_in_place(unfinished, file)
    finally:
        for ending in ("", "-journal", "-wal", "-shm"):
            unfinished.with_name(unfinished.name + ending).unlink(missing_ok=True)


def _put_in_place(unfinished: Path, file: Path) -> None:
    """Rename it; unlike a mere rename, never over another file, where the disk can do that."""
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
