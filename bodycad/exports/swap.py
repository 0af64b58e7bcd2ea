"""Two directories change names in one step, where the system and its file system have such a
step."""

from __future__ import annotations

import errno
import os
import sys
from pathlib import Path

_AT_FDCWD = -100
_EXCHANGE = 2
"""RENAME_EXCHANGE of Linux (`linux/fs.h`) and RENAME_SWAP of macOS (`sys/stdio.h`)."""
_LACKING = (errno.EINVAL, errno.ENOSYS, errno.ENOTSUP, errno.EOPNOTSUPP)


def exchange(one: Path, two: Path) -> bool:
    """Let two directories of one file system change names, so that each name always stands for a
    whole one; False where that cannot be done here.

    Raises OSError for whatever else is in the way."""
    import ctypes

    paths = os.fsencode(one), os.fsencode(two)
    if sys.platform == "linux":
        call = getattr(ctypes.CDLL(None, use_errno=True), "renameat2", None)
        given = (_AT_FDCWD, paths[0], _AT_FDCWD, paths[1], _EXCHANGE)
    elif sys.platform == "darwin":
        call = getattr(ctypes.CDLL(None, use_errno=True), "renamex_np", None)
        given = (*paths, _EXCHANGE)
    else:
        return False
    if call is None:
        return False
    if call(*given) == 0:
        return True
    number = ctypes.get_errno()
    if number in _LACKING:
        return False
    raise OSError(number, os.strerror(number), str(one), None, str(two))
