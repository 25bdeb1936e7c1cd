"""Say in words what a file is that is not a workbook of this kind."""

import codecs
from collections.abc import Sequence

OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
SAVE_AS = "Open it in the spreadsheet and save it as an Excel workbook (.xlsx)."
STRICT = "http://purl.oclc.org/ooxml/"  # relationship types of Strict Open XML

STARTS = (
    (b"", "empty (0 bytes). Copy it again from where it came, or take the last good copy."),
    (OLE, f"a workbook of the old kind (.xls). {SAVE_AS}"),
    (b"%PDF", "a PDF, not a workbook. Take the workbook that it was printed from."),
    (b"{\\rtf", "a text document, not a workbook."),
    (b"\x1f\x8b", "a gzip archive. Unpack it first."),
    (b"7z\xbc\xaf", "a 7z archive. Unpack it first."),
    (b"Rar!", "a RAR archive. Unpack it first."),
    (b"\x89PNG", "a picture, not a workbook."),
    (b"\xff\xd8\xff", "a picture, not a workbook."),
    (b"<!doctype html", f"a web page with a table, not a workbook. {SAVE_AS}"),
    (b"<html", f"a web page with a table, not a workbook. {SAVE_AS}"),
    (b"<table", f"a web page with a table, not a workbook. {SAVE_AS}"),
)
CONTENTS = (
    ("addin.macroEnabled.main", "is an add-in, not a workbook."),
    ("sheet.binary", f"is a binary workbook (.xlsb). {SAVE_AS}"),
    ("workbook.bin", f"is a binary workbook (.xlsb). {SAVE_AS}"),
    ("META-INF/manifest.xml", f"is an OpenDocument file (.ods). {SAVE_AS}"),
    ("mimetype", f"is an OpenDocument file (.ods). {SAVE_AS}"),
    ("wordprocessingml", "is a text document, not a workbook."),
    ("presentationml", "is a presentation, not a workbook."),
    (".xlsx", "is a ZIP archive with workbooks in it. Unpack it first."),
)
OURS = ("sheet.main", "template.main", "sheet.macroEnabled.main", "template.macroEnabled.main")


def not_a_container(data: bytes) -> str:
    """What a file is that does not begin like a ZIP container; the sentence follows the file's name."""
    if data.startswith(OLE) and "EncryptedPackage".encode("utf-16-le") in data:
        return "is locked with a password. Take the password off in the spreadsheet and save it again."
    head = data[:2000].lstrip(b"\xef\xbb\xbf \t\r\n")
    if data.startswith(codecs.BOM_UTF16_LE):
        head = data[:2000].decode("utf-16-le", "ignore").encode()
    for start, words in STARTS:
        if data.startswith(start) if start else not data:
            return f"is {words}"
        if start.startswith(b"<") and head.lower().startswith(start):
            return f"is {words}"
    if b"urn:schemas-microsoft-com:office:spreadsheet" in head:
        return f"is an XML table of the 2003 kind. {SAVE_AS}"
    if b"\0" not in head and any(sign in head for sign in (b",", b";", b"\t")):
        return f"is a text table (CSV), not a workbook. {SAVE_AS}"
    return f"is not a workbook. {SAVE_AS}"


def not_this_workbook(names: Sequence[str], content_types: str) -> str:
    """What a ZIP container is that holds no workbook of ours; empty when it may well be one."""
    if any(f"{kind}+xml" in content_types for kind in OURS):
        return ""
    listing = "\n".join([content_types, *names])
    for sign, words in CONTENTS:
        if sign in listing:
            return words
    missing = "the part [Content_Types].xml is missing or names no workbook"
    return f"is a ZIP archive, not a workbook: {missing}. If the workbook is inside, unpack it first."
