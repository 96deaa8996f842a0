"""The sheet as a PDF: laid out, tagged, the record inside it, sealed with the agency's certificate."""

import io
import json
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pikepdf
import segno
from django.conf import settings
from django.template.loader import render_to_string
from pikepdf import Array, Dictionary, Name, String
from weasyprint import HTML, Attachment, Document

from opsrisk.assessment.record import canonical
from opsrisk.briefing.sheet.blocks import Sheet

STATIC = Path(settings.BASE_DIR) / "opsrisk" / "static"
FIELD = "AgencySeal"
SEALED_BY = "Agency seal: shows any later change to this file"
HIDDEN_FROM_NOBODY = 4 + 128  # annotation flags: print, locked


def qr_code(sheet: Sheet) -> str:
    """The sheet's address as a QR code in a data address, for an <img>."""
    return str(segno.make(sheet.head.address or sheet.head.digest, error="m").svg_data_uri(border=2))


def laid_out(sheet: Sheet, paper: str) -> Document:
    """The pages of `sheet`."""
    context = {"sheet": sheet, "paper": paper, "qr": qr_code(sheet), "root": ""}
    html = render_to_string("briefing/paper.html", context)
    return HTML(string=html, base_url=f"{STATIC}/").render(pdf_tags=True, pdf_variant="pdf/a-3a")


def pages_of_front(document: Document) -> int:
    """How many pages the front takes; more than one means that it has to be squeezed."""
    return next(i for i, page in enumerate(document.pages) if "back" in page.anchors)


@dataclass(frozen=True)
class Inside:
    """A document inside the file, beside the pages; `relation` is what it is to them, in the words of PDF/A-3."""

    name: str
    data: bytes
    words: str
    relation: str


def inside(record: bytes) -> list[Inside]:
    """The record and, each on its own, the situation and the decision that stand in it, to the byte."""
    document = json.loads(record)
    return [
        Inside("record.json", record, "The record that was signed", "Source"),
        Inside("situation.json", canonical(document["situation"]), "What was known when it was decided", "Data"),
        Inside("decision.json", canonical(document["decision"]), "What was decided, and why", "Data"),
    ]


def written(document: Document, record: bytes, more: Sequence[Inside] = ()) -> bytes:
    """The pages as a tagged PDF with the signed record and its documents inside, and an empty field for the seal."""
    document.metadata.attachments = [
        Attachment(string=one.data, name=one.name, description=one.words, relationship=one.relation)
        for one in (*inside(record), *more)
    ]
    return with_empty_field(document.write_pdf(pdf_tags=True, pdf_variant="pdf/a-3a"))


def with_empty_field(data: bytes) -> bytes:
    """`data` with a signature field that is part of the tag tree.

    A signature made without it would add an untagged one, which breaks what readers for the blind rely on.
    """
    with pikepdf.open(io.BytesIO(data)) as pdf:
        page = pdf.pages[0].obj
        field = pdf.make_indirect(
            Dictionary(
                Type=Name.Annot,
                Subtype=Name.Widget,
                FT=Name.Sig,
                T=String(FIELD),
                TU=String(SEALED_BY),
                Rect=Array([0, 0, 0, 0]),
                F=HIDDEN_FROM_NOBODY,
                P=page,
            )
        )
        page.Annots = Array([*page.get("/Annots", ()), field])
        pdf.Root.AcroForm = pdf.make_indirect(Dictionary(Fields=Array([field]), SigFlags=0))
        _tag(pdf, page, field)
        _scopes(pdf)
        with pdf.open_metadata(set_pikepdf_as_editor=False, update_docinfo=False) as about:
            for name in [name for name in about if "pdfa/ns/id" in name]:
                del about[name]  # the layout aims at PDF/A-3a; nobody has validated it, so the file does not say so
        out = io.BytesIO()
        pdf.save(out, force_version="1.7")
        return out.getvalue()


def _scopes(pdf: pikepdf.Pdf) -> None:
    """Says of each header cell that it heads its column, which the layout leaves out; all of ours do."""
    for one in pdf.objects:
        if isinstance(one, Dictionary) and one.get("/S") == Name.TH and "/P" in one:
            about = one.get("/A", Dictionary(O=Name.Table))
            about.Scope = Name.Column
            one.A = about


def _tag(pdf: pikepdf.Pdf, page: Any, field: Any) -> None:
    """Hangs `field` into the structure tree as a form element."""
    root = pdf.Root.StructTreeRoot
    top = root.K if isinstance(root.K, Dictionary) else root.K[0]
    numbers = root.ParentTree.Nums
    key = max((int(numbers[i]) for i in range(0, len(numbers), 2)), default=-1) + 1
    reference = Dictionary(Type=Name.OBJR, Obj=field, Pg=page)
    element = pdf.make_indirect(
        Dictionary(Type=Name.StructElem, S=Name.Form, P=top, K=reference, Alt=String(SEALED_BY), Pg=page)
    )
    kids = top.get("/K", Array())
    top.K = Array([*(kids if isinstance(kids, Array) else [kids]), element])
    field.StructParent = key
    numbers.append(key)
    numbers.append(element)
    root.ParentTreeNextKey = key + 1
