"""Writing a file whole or not at all."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path


def write_whole(path: str, content: bytes) -> None:
    """Put `content` in the place of the file at `path`; until all of it is on the disk, what was there stays.

    A file that is there keeps its permissions, a link stays a link. Raises OSError where the place cannot be written.
    """
    target = Path(os.path.realpath(path))
    if target.is_dir():
        raise IsADirectoryError(21, "it is a folder", path)
    handle, draft = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name}.")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(draft, target.stat().st_mode & 0o777 if target.exists() else 0o666 & ~_umask())
        os.replace(draft, target)
    except BaseException:
        os.unlink(draft)
        raise


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
