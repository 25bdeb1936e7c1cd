"""The stamp of a workbook: which version of the program and its data made it, and a check over both."""

import hashlib
from typing import NamedTuple

from xlcalc.workbook.file.package import Package

PART = "docProps/custom.xml"
VERSION, DATA, SEAL = "xlcalc version", "xlcalc data", "xlcalc seal"


class Stamp(NamedTuple):
    """Version and fingerprint of the data as they stand in the file's properties, and the check over both."""

    version: str
    data: str
    seal: str

    @property
    def whole(self) -> bool:
        """True where nobody changed one of them by itself."""
        return self.seal == seal(self.version, self.data)


def seal(version: str, data: str) -> str:
    """The check over a version and a fingerprint."""
    return hashlib.sha256(f"xlcalc {version} {data}".encode()).hexdigest()[:8]


def stamp_of(package: Package) -> Stamp | None:
    """The stamp of a file; None where it carries none at all. Raises FileRefused where the part is no XML."""
    part = next((name for name in package.names if name.casefold() == PART.casefold()), None)
    if part is None:
        return None
    found = {each.get("name", ""): "".join(each.itertext()).strip() for each in package.tree(part)}
    if not any(name in found for name in (VERSION, DATA, SEAL)):
        return None
    return Stamp(found.get(VERSION, ""), found.get(DATA, ""), found.get(SEAL, ""))
