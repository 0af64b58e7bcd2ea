"""A single file put in place whole or not at all."""

from __future__ import annotations

import os
import tempfile
from contextlib import suppress
from pathlib import Path

from bodycad.errors import InputError


def write_whole(
    path: Path, data: bytes, thing: str, remedy: str = "", read: bytes | None = None
) -> None:
    """Put `data` in the place of a file (where a link leads) or of none, on the disk before it has
    the name. `read`: what the file held when `data` was made of it. Raises InputError where it
    cannot be, or holds something else by now; what stood there stands then."""
    path = path.resolve()
    kept = ""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.NamedTemporaryFile(dir=path.parent, suffix=".part", delete=False) as out:
            kept = out.name
            out.write(data)
            out.flush()
            os.fsync(out.fileno())
        os.chmod(kept, path.stat().st_mode & 0o777 if path.exists() else 0o644)
        if read is not None and path.read_bytes() != read:
            allowed = "one that nobody else writes to meanwhile: it was changed since it was read"
            raise InputError(thing, path.name, allowed, "run the same once more")
        os.replace(kept, path)
        kept = ""
    except OSError as error:
        allowed = f"a place that can be written to ({error.strerror})"
        raise InputError(thing, str(path), allowed, remedy) from None
    finally:
        if kept:
            with suppress(OSError):
                os.unlink(kept)
