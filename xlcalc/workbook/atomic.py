"""Write a whole file or nothing: the old file stays whole until the new one is on the disk."""

import contextlib
import errno
import os
import stat
import tempfile
from collections.abc import Callable
from pathlib import Path

from xlcalc.core.errors import FileBusy, FileError
from xlcalc.workbook.locks import holder

NEW_FILE_MODE = 0o666
SHARING_VIOLATION = {32, 33}  # Windows: another program has the file open
NO_FOLDER_SYNC = {errno.EINVAL, errno.EBADF, errno.EACCES, errno.EPERM, errno.ENOTSUP}  # not offered there
REASONS = {
    errno.ENOSPC: "the disk is full. Free some space or use --to with a path on another disk",
    errno.EDQUOT: "your share of the disk is used up. Free some space or use --to with another path",
    errno.EACCES: "there is no permission to write in the folder. Use --to with a path that you may write",
    errno.EPERM: "there is no permission to write in the folder. Use --to with a path that you may write",
    errno.EROFS: "the disk can only be read. Use --to with a path on another disk",
    errno.EIO: "the disk reports a fault. Copy your files to another disk",
    errno.ENOENT: "the folder is gone or the path is wrong",
    errno.ENOTDIR: "the folder is not a folder",
    errno.ENAMETOOLONG: "the path is too long for this disk",
}


def write_whole(
    target: Path,
    data: bytes,
    *,
    mode_of: Path | None = None,
    before_replace: Callable[[], None] | None = None,
) -> None:
    """Put `data` in place of `target`, or make it. A link is followed: the file it points to is replaced.

    The mode is kept: that of the target where there is one, else that of `mode_of`. `before_replace` runs
    last of all before the change and may raise.

    Raises FileBusy (open in a spreadsheet) and FileError (anything the disk refuses); both say what is whole.
    """
    place = Path(os.path.realpath(target))
    refuse_locked(target)
    exists = place.exists()
    if exists and not place.is_file():
        raise FileError(f"{target} is not a file; give a file name after --to.")
    if exists and not place.stat().st_mode & 0o222:
        raise FileError(f"{target} is write-protected and stays as it is. Use --to copy.xlsx.")
    whole = f"{target.name} is untouched." if exists else f"Nothing was written to {target.name}."
    temporary: Path | None = None
    try:
        handle, name = tempfile.mkstemp(prefix=".xlcalc-", suffix=".tmp", dir=place.parent)
        temporary = Path(name)
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        temporary.chmod(wanted_mode(place if exists else mode_of))
        if before_replace:
            before_replace()
        os.replace(temporary, place)  # noqa: PTH105 - the tests make this very call fail
        temporary = None
    except OSError as fault:
        if getattr(fault, "winerror", None) in SHARING_VIOLATION:
            raise FileBusy(f"{target.name} is open in another program. Close it there. {whole}") from fault
        raise FileError(f"{target} cannot be written: {reason(fault)}. {whole}") from fault
    finally:
        if temporary is not None:
            with contextlib.suppress(OSError):
                temporary.unlink()
    sync_folder(place.parent, target)


def refuse_locked(target: Path) -> None:
    """Raise FileBusy when a spreadsheet has the target open, or the file that it is a link to."""
    for path in {target, Path(os.path.realpath(target))}:
        if who := holder(path):
            raise FileBusy(
                f"{target.name} is open: {who}. Close it there, or write a copy with --to copy.xlsx. "
                f"{target.name} is untouched."
            )


def wanted_mode(model: Path | None) -> int:
    """The permission bits of the model file, or those a new file gets."""
    if model is not None and model.exists():
        return stat.S_IMODE(model.stat().st_mode)
    mask = os.umask(0)
    os.umask(mask)
    return NEW_FILE_MODE & ~mask


def reason(fault: OSError) -> str:
    """What a fault of the disk means and what to do."""
    return REASONS.get(fault.errno or 0, fault.strerror or str(fault))


def sync_folder(folder: Path, target: Path) -> None:
    """Make the new name last through a power cut, where the system offers that.

    Raises FileError when the disk reports a fault; the new file is then in place.
    """
    if os.name == "nt":
        return
    try:
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
    except OSError as fault:
        if fault.errno not in NO_FOLDER_SYNC:
            raise FileError(
                f"{target.name} holds the new values, but the disk did not confirm it: {reason(fault)}."
            ) from fault
