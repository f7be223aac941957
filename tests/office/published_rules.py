"""The schemas of UBL 2.1 and the business rules of EN 16931-1, as they were published: `published/README.md`."""

import html
import io
import re
import zipfile
from functools import cache
from hashlib import sha256
from pathlib import Path
from tempfile import TemporaryDirectory

from lxml import etree
from saxonche import PySaxonProcessor, PyXslt30Processor

FOLDER = Path(__file__).with_name("published")
SUMS = {
    "ubl-2.1-xsd.zip": "6f71607d4bcfcbc573218c0ab629e9f3e3beb41a257b3727460f685efd223089",
    "en16931-ubl-3.0.20.zip": "aebdfc415a76ffadbab1744e6497df956776b397b57a406d310c38be105fa63c",
}
RULES = "CEN-EN16931-UBL.xslt"
SVRL = "{http://purl.oclc.org/dsdl/svrl}"


def published(name: str) -> zipfile.ZipFile:
    content = (FOLDER / name).read_bytes()
    assert sha256(content).hexdigest() == SUMS[name], f"{name} is not as it was published"
    return zipfile.ZipFile(io.BytesIO(content))


@cache
def schema(document: str) -> etree.XMLSchema:
    """The schema of `Invoice` or `CreditNote`."""
    with TemporaryDirectory() as folder:
        published("ubl-2.1-xsd.zip").extractall(folder)
        return etree.XMLSchema(etree.parse(f"{folder}/maindoc/UBL-{document}-2.1.xsd"))


@cache
def rules_text() -> str:
    return published("en16931-ubl-3.0.20.zip").read(RULES).decode()


@cache
def saxon() -> tuple[PySaxonProcessor, PyXslt30Processor]:
    processor = PySaxonProcessor(license=False)
    return processor, processor.new_xslt30_processor().compile_stylesheet(stylesheet_text=rules_text())


def broken(xml: bytes) -> list[str]:
    """What a published schema and the published rules find wrong with a document: schema errors, numbers of rules."""
    document = etree.fromstring(xml)
    checked = schema(etree.QName(document).localname)
    checked.validate(document)
    processor, rules = saxon()
    report = etree.fromstring(rules.transform_to_string(xdm_node=processor.parse_xml(xml_text=xml.decode())).encode())
    assert report.find(f"{SVRL}fired-rule") is not None, "no rule looked at the document"
    found = [found.get("id") for found in report.iter(f"{SVRL}failed-assert")]
    return sorted({*(f"schema: {error.message}" for error in checked.error_log), *found})


def codes_of(rule: str) -> set[str]:
    """The list of codes that a rule allows."""
    [test, *_] = re.findall(rf'<svrl:failed-assert flag="fatal" id="{rule}" test="([^"]*)"', rules_text())
    return set(re.search(r"contains\( ?'([A-Z0-9 ]{100,})'", html.unescape(test))[1].split())
