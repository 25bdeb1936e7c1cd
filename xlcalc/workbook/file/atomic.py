"""Write a whole file or nothing: the old file stays whole until the new one is on the disk.

The new bytes go into a file beside the old one, onto the disk, and then take its name in one step. Whatever fails
before that step leaves the old file as it was, whatever fails after it leaves the new one; the message says which.
"""

import contextlib
import errno
import os
import secrets
import stat
import time
import zlib
from collections.abc import Callable
from functools import partial
from pathlib import Path

from xlcalc.core.errors import FileBusy, FileError
from xlcalc.workbook.file.done import tell_written
from xlcalc.workbook.file.interrupt import Held
from xlcalc.workbook.file.locks import SHARING_VIOLATION, holder

NEW_FILE_MODE, OWN_FILE_MODE = 0o666, 0o600
WRITABLE = 0o222
STALE_AFTER = 2 * 24 * 3600  # seconds after which nobody is still writing a file
AT_ONCE = 2**20  # bytes written between two looks for Ctrl-C
FLAGS = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0) | getattr(os, "O_CLOEXEC", 0)
NOT_OFFERED = {errno.EINVAL, errno.ENOSYS, errno.ENOTSUP}  # a disk that knows no such call
NO_FOLDER_SYNC = NOT_OFFERED | {errno.EBADF, errno.EACCES, errno.EPERM}
NO_PERMISSION = "there is no permission to write there, or another program keeps the file to itself"
REASONS = {
    errno.ENOSPC: "the disk is full. Free some space or use --to with a path on another disk",
    errno.EDQUOT: "your share of the disk is used up. Free some space or use --to with another path",
    errno.EFBIG: "the file is larger than it may be there. Use --to with a path on another disk",
    errno.EACCES: f"{NO_PERMISSION}. Give a path that you may write; for a workbook that is there with --to",
    errno.EPERM: f"{NO_PERMISSION}. Give a path that you may write; for a workbook that is there with --to",
    errno.EROFS: "the disk can only be read. Use --to with a path on another disk",
    errno.EIO: "the disk reports a fault. Copy your files to another disk",
    errno.ENOENT: "the folder is gone or the path is wrong. Look at its spelling, or make the folder first",
    errno.ENOTDIR: "the folder is not a folder",
    errno.ENAMETOOLONG: "the path is too long for this disk",
    errno.ELOOP: "the link leads round in a circle",
}
INSTEAD = "Give another name, or replace it with --force."


def write_whole(
    target: Path,
    data: bytes,
    *,
    mode_of: Path | None = None,
    before_replace: Callable[[], None] | None = None,
    words: str = "",
) -> None:
    """Put `data` in place of `target`, or make it. A link is followed: the file it points to is replaced.

    Mode and owner are kept: those of the target where there is one; a new file gets the mode of `mode_of`. Where the
    disk has the file under a second name, that name keeps the old content, and a remark says so (`workbook/file/done`).
    `before_replace` runs last of all before the change and may raise. Ctrl-C before the change leaves everything as
    it was; after it KeyboardInterrupt says what is there: `words`, or that the target is written.

    Raises FileBusy (open in a spreadsheet) and FileError (anything the disk refuses); both say what is whole.
    """
    refuse_locked(target)
    with Held() as held:
        whole = f"{target.name} is untouched."
        try:
            place = Path(os.path.realpath(target))
            old = found(place)
            whole = whole if old else f"Nothing was written to {target.name}."
            refuse_unwritable(target, old)
            model = old or (found(mode_of) if mode_of else None)
            replace(place, data, model, old is not None, held, lambda: last_look(target, place, before_replace))
        except OSError as fault:
            raise said(fault, target, whole) from fault
        held.done = words or f"{target} is written"
        tell_written(held.done, parted(place, old) if old else "")
        sweep(place)
        sync_folder(place.parent, target)


def replace(
    place: Path, data: bytes, model: os.stat_result | None, keep_owner: bool, held: Held, look: Callable[[], None]
) -> None:
    """Write a file beside `place` and give it that name. Raises OSError, FileError and KeyboardInterrupt."""
    temporary = place.parent / f"{temporary_start(place)}{secrets.token_hex(8)}.tmp"
    handle = os.open(temporary, FLAGS, OWN_FILE_MODE)
    try:
        try:
            write(handle, data, held)
        finally:
            os.close(handle)
        dress(temporary, model, keep_owner)
        look()
        held.obey()
        try:
            os.replace(temporary, place)  # noqa: PTH105 - the tests make this very call fail
        except OSError:
            # Over a network it may have happened although it is reported as failed; or the file held this before.
            if not (holds(place, data) and discard(temporary)):
                raise
    except BaseException as fault:
        if not discard(temporary):
            raise with_words(fault, f"A file {temporary.name} is left beside it and may be deleted.") from fault
        raise


def write(handle: int, data: bytes, held: Held) -> None:
    """Write all bytes and have them put onto the disk."""
    waiting = memoryview(data)
    while waiting:
        waiting = waiting[os.write(handle, waiting[:AT_ONCE]) :]
        held.obey()
    try:
        os.fsync(handle)
    except OSError as fault:
        if fault.errno not in NOT_OFFERED:
            raise


def dress(temporary: Path, model: os.stat_result | None, keep_owner: bool) -> None:
    """Give the new file owner and mode of the old one; the owner only where this user may."""
    own = os.stat(temporary)  # noqa: PTH116
    if model and keep_owner and (own.st_uid, own.st_gid) != (model.st_uid, model.st_gid):
        with contextlib.suppress(PermissionError):
            os.chown(temporary, model.st_uid, model.st_gid)
    mode = stat.S_IMODE(model.st_mode) if model else NEW_FILE_MODE & ~umask()
    if stat.S_IMODE(own.st_mode) != mode:
        os.chmod(temporary, mode)  # noqa: PTH101


def discard(temporary: Path) -> bool:
    """Take the unfinished file away again, by a second try if need be; False where it stays."""
    for _ in range(2):
        try:
            os.unlink(temporary)  # noqa: PTH108
        except FileNotFoundError:
            return True
        except OSError:
            continue
        return True
    return False


def temporary_start(place: Path) -> str:
    """How the names of the unfinished files of one target begin; a mark stands for its name, which may be too long."""
    return f".xlcalc-{zlib.crc32(os.fsencode(place.name)):08x}-"


def sweep(place: Path) -> None:
    """Take away unfinished files of this target that a run left which was killed; any that cannot be is left.

    Only those of days ago: another run may be writing one now.
    """
    start = temporary_start(place)
    with contextlib.suppress(OSError), os.scandir(place.parent) as folder:
        for each in folder:
            if each.name.startswith(start):
                with contextlib.suppress(OSError):
                    if time.time() - each.stat(follow_symlinks=False).st_mtime > STALE_AFTER:
                        os.unlink(each.path)  # noqa: PTH108


def parted(place: Path, old: os.stat_result) -> str:
    """What became of the other names of a file that had several on the disk; empty where it had none."""
    if old.st_nlink < 2:
        return ""
    others, there = ("another name", "that name") if old.st_nlink == 2 else ("other names", "those names")
    return (
        f"{place.name} had {others} on this disk (hard links). Only {place.name} holds the new content, what stands "
        f"under {there} is as it was. Copy {place.name} there where all are to be the same."
    )


def with_words(fault: BaseException, words: str) -> BaseException:
    """The same fault with a further sentence for the person."""
    if isinstance(fault, OSError):
        fault.add_note(words)
        return fault
    if isinstance(fault, KeyboardInterrupt):
        return KeyboardInterrupt(f"the file is as it was. {words.removesuffix('.')}")
    return type(fault)(f"{fault} {words}") if isinstance(fault, FileError) else fault


def last_look(target: Path, place: Path, before_replace: Callable[[], None] | None) -> None:
    """What must still be true right before the change. Raises FileBusy where it is not."""
    if Path(os.path.realpath(target)) != place:
        raise FileBusy(f"{target.name} became a link to another file meanwhile. {target.name} is untouched.")
    if before_replace:
        before_replace()


def found(place: Path) -> os.stat_result | None:
    """What the disk says of a file; None where there is none."""
    try:
        return os.stat(place)  # noqa: PTH116
    except (FileNotFoundError, NotADirectoryError):
        return None


def holds(place: Path, data: bytes) -> bool:
    """True when a file holds just these bytes; one that cannot be read is taken for another."""
    try:
        return os.stat(place).st_size == len(data) and place.read_bytes() == data  # noqa: PTH116
    except OSError:
        return False


def looked_at(target: Path) -> os.stat_result | None:
    """What `found` finds. Raises FileError when the disk does not say."""
    try:
        return found(target)
    except PermissionError as fault:
        words = f"{target} cannot be looked at: its folder is closed to you. Ask its owner for a copy."
        raise FileError(words) from fault
    except OSError as fault:
        raise FileError(f"{target} cannot be looked at: {reason(fault)}.") from fault


def there(target: Path) -> bool:
    """True where something of that name is there. Raises FileError when the disk does not say."""
    return looked_at(target) is not None


def refuse_there(target: Path, instead: str = INSTEAD) -> None:
    """Raise FileError where something of that name is there; `instead` says what to do."""
    if there(target):
        raise FileError(f"{target} is there already and stays as it is. {instead}")


def kept_free(target: Path | None, *, force: bool, instead: str = INSTEAD) -> Callable[[], None] | None:
    """What refuses a copy where something of its name is there, now and once more before it is written; None: nothing.

    Raises FileError where something is there already.
    """
    if target is None or force:
        return None
    refuse_there(target, instead)
    return partial(refuse_there, target, instead)


def same_file(one: Path, other: Path) -> bool:
    """True when two paths lead to one file. Raises FileError when the disk does not say."""
    first, second = looked_at(one), looked_at(other)
    return first is not None and second is not None and os.path.samestat(first, second)


def refuse_unwritable(target: Path, old: os.stat_result | None) -> None:
    """Raise FileError for what is no file or is write-protected, for all or for this user."""
    if old and not stat.S_ISREG(old.st_mode):
        what = "a folder" if stat.S_ISDIR(old.st_mode) else "not a file"
        raise FileError(f"{target} is {what}; give the name of a file.")
    if old and not (old.st_mode & WRITABLE and os.access(target, os.W_OK)):
        raise FileError(f"{target} is write-protected and stays as it is. Use --to copy.xlsx.")


def refuse_locked(target: Path) -> None:
    """Raise FileBusy when a spreadsheet has the target open, or the file that it is a link to.

    Raises FileError when the disk does not say: in a folder that may not be entered nothing tells of a lock.
    """
    looked_at(target)
    try:
        for path in {target, Path(os.path.realpath(target))}:
            if who := holder(path):
                raise FileBusy(
                    f"{target.name} is open: {who}. Close it there, or write a copy with --to copy.xlsx. If it is open "
                    f"nowhere, a program that crashed left the lock file: delete it. {target.name} is untouched."
                )
    except OSError as fault:
        raise said(fault, target, f"{target.name} is untouched.") from fault


def said(fault: OSError, target: Path, whole: str) -> FileError:
    """A fault of the disk in words: what it means, what to do, what is whole, and what is left to be deleted."""
    left = " ".join(["", *getattr(fault, "__notes__", ())])
    if getattr(fault, "winerror", None) in SHARING_VIOLATION:
        return FileBusy(f"{target.name} is open in another program. Close it there. {whole}{left}")
    return FileError(f"{target} cannot be written: {reason(fault)}. {whole}{left}")


def umask() -> int:
    """The permissions that a new file of this user does not get."""
    mask = os.umask(0)
    os.umask(mask)
    return mask


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
                f"{target.name} is written, but the disk did not confirm it: {reason(fault)}."
            ) from fault
