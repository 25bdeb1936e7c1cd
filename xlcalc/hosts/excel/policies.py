"""What Excel's own settings, or a company's rules, forbid an add-in, and from where else Excel opens one."""

from collections.abc import Iterator
from pathlib import Path

from xlcalc.hosts.causes import Cause
from xlcalc.hosts.excel.machine import Machine
from xlcalc.workbook.formulas import ADDIN

OFFICE = r"HKCU\Software\Microsoft\Office"
RULES = r"HKCU\Software\Policies\Microsoft\Office"
_SWITCHES = (  # key under ...\16.0\Excel, value, what it means
    (r"Security\Trusted Locations", "AllLocationsDisabled", "no folder is trusted, so the add-in's macros do not run"),
    ("Security", "RequireAddinSig", "add-ins must carry a signature, and this one has none"),
    ("Security", "DisableAllAddins", "all add-ins are off"),
)
_IN_EXCEL = "In Excel choose File, Options, Trust Center, Trust Center Settings and switch it off"
_BY_RULE = "It is a rule of your company: ask those who look after the computers to allow it for XLSTART"


def versions(machine: Machine, root: str = OFFICE) -> list[str]:
    """Versions of Office that have settings here, or rules, e.g. `16.0`."""
    return [key for key in machine.keys(root) if key[:1].isdigit()]


def refusals(machine: Machine) -> Iterator[Cause]:
    """Settings that stop the add-in, each with who can change it."""
    for root, do in ((RULES, _BY_RULE), (OFFICE, _IN_EXCEL)):
        for version in versions(machine, root):
            for key, name, words in _SWITCHES:
                if machine.values(rf"{root}\{version}\Excel\{key}").get(name) == 1:
                    yield Cause("Setting of Excel", f"{words} ({name}, Excel {version})", do)
    for version in versions(machine):
        for held in machine.values(rf"{OFFICE}\{version}\Excel\Resiliency\DisabledItems").values():
            if isinstance(held, bytes) and ADDIN in held.decode("utf-16-le", "ignore").lower():
                do = "In Excel choose File, Options, Add-ins, Manage: Disabled Items, Go, enable " + ADDIN
                yield Cause("Disabled item", f"Excel {version} has switched {ADDIN} off after a crash", do)


def folders_opened(machine: Machine) -> Iterator[Path]:
    """Files of the add-in's name in the places from which Excel opens add-ins, whether or not they are there."""
    roaming = machine.setting("APPDATA")
    if roaming:
        yield Path(roaming) / "Microsoft" / "AddIns" / ADDIN
        yield Path(roaming) / "Microsoft" / "Excel" / "XLSTART" / ADDIN
    for variable in ("ProgramFiles", "ProgramFiles(x86)"):
        if programs := machine.setting(variable):
            for version in ("Office16", "Office15"):
                yield Path(programs) / "Microsoft Office" / "root" / version / "XLSTART" / ADDIN
                yield Path(programs) / "Microsoft Office" / version / "XLSTART" / ADDIN
    for version in versions(machine):
        for name, value in machine.values(rf"{OFFICE}\{version}\Excel\Options").items():
            said = str(value).removeprefix("/R ").strip('"')
            if name == "AltStartup":
                yield Path(said) / ADDIN
            elif name.startswith("OPEN") and said.lower().endswith(ADDIN):
                yield Path(said)
