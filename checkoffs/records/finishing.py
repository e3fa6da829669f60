"""What the renderer leaves open for an archivable and accessible PDF, done before the trailer is written. Pure.

PDF/UA identifier with its extension schema (ISO 14289-1, clause 5; ISO 19005-3, clause 6.6.2.3), the scope of header
cells (ISO 14289-1, clause 7.5), and no file named twice as associated. Declared, and tested as far as the tools in
the tests go; nothing here proves conformance.
"""

from __future__ import annotations

from typing import Any

_UA = (
    b'<rdf:Description xmlns:pdfuaid="http://www.aiim.org/pdfua/ns/id/" rdf:about="">'
    b"<pdfuaid:part>1</pdfuaid:part></rdf:Description>"
)
_SCHEMA = (
    b'<rdf:Description xmlns:pdfaExtension="http://www.aiim.org/pdfa/ns/extension/"'
    b' xmlns:pdfaSchema="http://www.aiim.org/pdfa/ns/schema#" xmlns:pdfaProperty="http://www.aiim.org/pdfa/ns/property#"'
    b' rdf:about=""><pdfaExtension:schemas><rdf:Bag><rdf:li rdf:parseType="Resource">'
    b"<pdfaSchema:schema>PDF/UA identification</pdfaSchema:schema>"
    b"<pdfaSchema:namespaceURI>http://www.aiim.org/pdfua/ns/id/</pdfaSchema:namespaceURI>"
    b"<pdfaSchema:prefix>pdfuaid</pdfaSchema:prefix><pdfaSchema:property><rdf:Seq>"
    b'<rdf:li rdf:parseType="Resource"><pdfaProperty:name>part</pdfaProperty:name>'
    b"<pdfaProperty:valueType>Integer</pdfaProperty:valueType><pdfaProperty:category>internal</pdfaProperty:category>"
    b"<pdfaProperty:description>Part of ISO 14289 that the file follows</pdfaProperty:description></rdf:li>"
    b"</rdf:Seq></pdfaSchema:property></rdf:li></rdf:Bag></pdfaExtension:schemas></rdf:Description>"
)


def finish(document: Any, pdf: Any) -> None:
    """A finisher for ``weasyprint.Document.write_pdf``; ``pdf`` is its ``pydyf.PDF``."""
    files = pdf.catalog.get("AF")
    if files:
        named = list(dict.fromkeys(files))
        files.clear()
        files.extend(named)
    for item in pdf.objects:
        if getattr(item, "extra", {}).get("Subtype") == "/XML":
            item.stream = [part.replace(b"</rdf:RDF>", _UA + _SCHEMA + b"</rdf:RDF>") for part in item.stream]
        elif isinstance(item, dict) and item.get("S") == "/TH" and "A" in item:
            item["A"]["Scope"] = "/Column" if _within_head(item, pdf) else "/Row"


def _within_head(cell: Any, pdf: Any) -> bool:
    """Whether the row of a header cell belongs to a table's head."""
    return bool(_parent(_parent(cell, pdf), pdf).get("S") == "/THead")


def _parent(item: Any, pdf: Any) -> Any:
    reference = bytes(item.get("P", b"")).split()
    return pdf.objects[int(reference[0])] if reference else {}
