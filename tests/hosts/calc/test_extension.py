"""The extension as a file: what stands in it, the same every time, and it is written over none."""

import json
import zipfile
from pathlib import Path
from xml.etree import ElementTree

import pytest

import xlcalc
from xlcalc.core.errors import FileError
from xlcalc.core.registry import functions
from xlcalc.hosts.calc.extension import IDENTIFIER, SETTINGS, extension
from xlcalc.hosts.calc.office import FOLDER
from xlcalc.hosts.commands.setup_calc import setup_calc


def test_the_extension_as_a_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(FOLDER, str(tmp_path))  # no office: every call goes to a worker
    file = tmp_path / "xlcalc.oxt"
    assert "Extensions, Add" in setup_calc(file, remove=False).next
    with zipfile.ZipFile(file) as oxt:
        told = ElementTree.fromstring(oxt.read("description.xml"))
        assert [each.get("value") for each in told][:2] == [IDENTIFIER, xlcalc.__version__]
        settings = json.loads(oxt.read(SETTINGS))
        assert settings["own_python"] is None
        assert list(settings["functions"]) == list(functions())
        for name in oxt.namelist():
            if name.endswith((".xml", ".xcu")):
                assert oxt.read(name).startswith(b'<?xml version="1.0" encoding="UTF-8"?>')
    assert extension() == extension()
    written = file.read_bytes()
    with pytest.raises(FileError, match="is there already and stays as it is"):
        setup_calc(file, remove=False)
    assert file.read_bytes() == written
