"""A real office for tests: installed by the real setup into a profile of its own, driven over UNO, ended for sure.

The office refuses to install an add-in as root, so that root borrows another user for that one program.
"""

import contextlib
import json
import os
import select
import shutil
import signal
import subprocess
import tempfile
from pathlib import Path
from typing import Any, Self

from xlcalc.hosts.calc import install
from xlcalc.hosts.calc.office import Office, offices

NOBODY = 65534
PATIENCE = 120.0  # seconds for one request
MISSING = "LibreOffice Calc with its unopkg and Python is not on this machine"
DRIVER = Path(__file__).with_name("driver.py")
AS_NOBODY = f"setpriv --reuid={NOBODY} --regid={NOBODY} --clear-groups "
MANAGER = """#!/bin/bash
words=()
for word in "$@"; do
    if [ -f "$word" ]; then
        cp "$word" "{shared}/given.oxt"
        chmod 644 "{shared}/given.oxt"
        word="{shared}/given.oxt"
    fi
    words+=("$word")
done
{given}
cd "{shared}"  # the other user may not be let into the folder that this is run in
exec {borrowed}env HOME="{shared}" XDG_CONFIG_HOME="{shared}" "{manager}" "${{words[@]}}"
"""
LOCALE = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry">
<item oor:path="/org.openoffice.Setup/L10N">
<prop oor:name="ooSetupSystemLocale" oor:op="fuse"><value>{}</value></prop>
</item>
</oor:items>
"""


def real_office() -> Office | None:
    """The office of this machine, if it is one that tests can drive."""
    found = next(iter(offices()), None)
    return found if found and found.manager and found.python else None


class Place:
    """A program folder and a settings folder of their own, in front of the real office.

    `program` goes into the environment variable that names the office, `shared` into the one that names the folder
    of a person's settings.
    """

    def __init__(self, real: Office, locale: str = "") -> None:
        self.folder = folder = Path(tempfile.mkdtemp(prefix="xlcalc-office-"))  # pytest's own is closed to others
        self.real, self.shared, self.program = real, folder / "settings", folder / "program"
        profile = self.shared / "libreoffice/4/user"
        profile.mkdir(parents=True)
        self.program.mkdir()
        if locale:
            (profile / "registrymodifications.xcu").write_text(LOCALE.format(locale), encoding="utf-8")
        root = os.geteuid() == 0
        folder.chmod(0o711)
        for name in ("soffice", "bootstraprc"):
            (self.program / name).symlink_to(real.program / name)
        manager = self.program / "unopkg"
        borrowed = AS_NOBODY if root else ""
        given = f'chown -R {NOBODY}:{NOBODY} "{self.shared}"' if root else ""  # root's office left files there
        told = MANAGER.format(shared=self.shared, borrowed=borrowed, given=given, manager=real.manager)
        manager.write_text(told, encoding="utf-8")
        manager.chmod(0o755)

    def add(self, oxt: bytes) -> None:
        """Install a ready extension."""
        install.add(Office(self.program), oxt)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        shutil.rmtree(self.folder, ignore_errors=True)

    def started(self) -> "Running":
        """The office, running in this place."""
        return Running(self.real, (self.shared / "libreoffice/4").as_uri())


class Running:
    """A running office: `with place.started() as office: office.ask("book", path=...)`."""

    def __init__(self, real: Office, profile: str) -> None:
        self._command = [str(real.python), str(DRIVER), str(real.program / "soffice"), profile]

    def __enter__(self) -> Self:
        kept = {name: value for name, value in os.environ.items() if not name.startswith(("PYTHON", "VIRTUAL_ENV"))}
        self.process = subprocess.Popen(
            self._command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, start_new_session=True,
            env={**kept, "PATH": os.defpath},
        )  # fmt: skip
        try:
            assert self._answer() == "ready"
        except BaseException:
            self.end()
            raise
        return self

    def __exit__(self, *_: object) -> None:
        self.end()

    def ask(self, what: str, **given: Any) -> Any:
        """Answer of a method of the driver. Raises RuntimeError with what the office said against it."""
        assert self.process.stdin
        self.process.stdin.write(json.dumps([what, given]).encode() + b"\n")
        self.process.stdin.flush()
        answer = self._answer()
        if "fault" in answer:
            raise RuntimeError(answer["fault"])
        return answer["answer"]

    def _answer(self) -> Any:
        assert self.process.stdout
        ready, _, _ = select.select([self.process.stdout], [], [], PATIENCE)
        line = self.process.stdout.readline() if ready else b""
        if not line:
            raise RuntimeError("the office does not answer")
        return json.loads(line)

    def children(self, sign: str) -> list[int]:
        """Processes of this office whose command line holds `sign`."""
        found = []
        for folder in Path("/proc").glob("[0-9]*"):
            try:
                session = folder.joinpath("stat").read_text().rpartition(")")[2].split()[3]
                words = folder.joinpath("cmdline").read_bytes().decode(errors="replace")
            except OSError:
                continue  # it has ended
            if session == str(self.process.pid) and sign in words:
                found.append(int(folder.name))
        return found

    def end(self) -> None:
        """End the office and everything that it started."""
        with contextlib.suppress(ProcessLookupError):
            os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait(PATIENCE)
        for pipe in (self.process.stdin, self.process.stdout):
            if pipe is not None:
                pipe.close()


def tools() -> bool:
    """Whether this machine can run the office for tests at all."""
    return real_office() is not None and (os.geteuid() != 0 or shutil.which("setpriv") is not None)
