"""What a machine can check of PDF/A-3 (ISO 19005-3) and PDF/UA-1 (ISO 14289-1), with pikepdf, on our own files.

No validator is at hand, so this is no statement of conformance: it holds fast what our files could break.
"""

import io
from dataclasses import dataclass

import pikepdf
from pikepdf import Dictionary, Name, Stream

SHOWN = (("usual", "letter"), ("crowded", "a4"))
RELATIONS = {"/Source", "/Data", "/Alternative", "/Supplement", "/Unspecified"}
FORBIDDEN_ACTIONS = {"/Launch", "/Sound", "/Movie", "/ResetForm", "/ImportData", "/JavaScript", "/Hide", "/SetOCGState"}
CONTENT_TYPES = ("/H1", "/H2", "/H3", "/P", "/Table", "/L", "/Figure", "/Form")


@dataclass(frozen=True)
class Check:
    what: str
    faults: tuple[str, ...]

    @property
    def words(self):
        return "; ".join(self.faults) or "holds"


def checks(data):
    """Every check of one file, in a fixed order."""
    with pikepdf.open(io.BytesIO(data)) as pdf:
        objects = [one for one in pdf.objects if isinstance(one, Dictionary | Stream)]
        return [check(data, pdf, objects) for check in CHECKS]


def header(data, pdf, objects):
    """The file begins with its version, then a line of bytes above 127; its end is the end."""
    faults = [] if data.startswith(b"%PDF-1.7\n%") else ["the header"]
    faults += [] if all(byte > 127 for byte in data[10:14]) else ["no bytes above 127 in line two"]
    faults += [] if data.rstrip(b"\r\n").endswith(b"%%EOF") else ["something behind the end"]
    return Check("header, and nothing behind the end", tuple(faults))


def identified(data, pdf, objects):
    faults = [] if "/ID" in pdf.trailer and len(pdf.trailer.ID) == 2 else ["no file identifier"]
    faults += ["encrypted"] if "/Encrypt" in pdf.trailer else []
    return Check("file identifier; not encrypted", tuple(faults))


def embedded_fonts(data, pdf, objects):
    described = [one for one in objects if one.get("/Type") == "/FontDescriptor"]
    outside = [str(one.FontName) for one in described if "/FontFile2" not in one and "/FontFile3" not in one]
    used = [one for one in objects if one.get("/Type") == "/Font"]
    bare = [str(one.get("/BaseFont")) for one in used if one.get("/Subtype") == "/Type0" and "/ToUnicode" not in one]
    faults = [f"{name} is not embedded" for name in outside] + [f"{name} has no /ToUnicode" for name in bare]
    return Check("every font embedded, every character has its Unicode", tuple(faults))


def colours(data, pdf, objects):
    intents = pdf.Root.get("/OutputIntents", [])
    good = [one for one in intents if one.get("/S") == "/GTS_PDFA1" and "/DestOutputProfile" in one]
    return Check("an output intent with a profile", () if good else ("no output intent",))


def no_scripts(data, pdf, objects):
    bad = {str(one.S) for one in objects if isinstance(one.get("/S"), Name) and str(one.S) in FORBIDDEN_ACTIONS}
    bad |= {key for key in ("/AA", "/OpenAction") if key in pdf.Root and key == "/AA"}
    return Check("no script, no launching, no forms that act", tuple(sorted(bad)))


def streams(data, pdf, objects):
    faults = [
        "a stream with LZW or with its data elsewhere"
        for one in objects
        if isinstance(one, Stream) and ("/F" in one or "/LZWDecode" in str(one.get("/Filter", "")))
    ]
    return Check("no LZW, no data outside the file", tuple(faults[:1]))


def metadata(data, pdf, objects):
    faults = []
    with pdf.open_metadata() as about:
        title = str(pdf.docinfo.get("/Title", ""))
        if about.get("dc:title") != title or not title:
            faults.append("title of XMP and document information differ")
    viewer = pdf.Root.get("/ViewerPreferences", {})
    faults += [] if viewer.get("/DisplayDocTitle") is True or viewer.get("/DisplayDocTitle") else ["title not shown"]
    faults += [] if "/Lang" in pdf.Root else ["no language"]
    return Check("title in XMP and shown; language", tuple(faults))


def files_inside(data, pdf, objects):
    specifications = [one for one in objects if one.get("/Type") == "/Filespec"]
    listed = {one.objgen for one in pdf.Root.get("/AF", [])}
    faults = [] if specifications else ["none"]
    for one in specifications:
        name, inside = str(one.get("/UF", "?")), one.EF.F
        faults += [f"{name}: not in /AF of the catalogue"] if one.objgen not in listed else []
        faults += (
            [f"{name}: relation {one.get('/AFRelationship')}"]
            if str(one.get("/AFRelationship")) not in RELATIONS
            else []
        )
        faults += [f"{name}: no /F"] if "/F" not in one else []
        faults += [f"{name}: no description"] if "/Desc" not in one else []
        faults += [f"{name}: no MIME type"] if "/Subtype" not in inside else []
        faults += [f"{name}: no date"] if "/ModDate" not in inside.get("/Params", {}) else []
    return Check("files inside: named, related, typed, dated, listed", tuple(faults))


def tagged(data, pdf, objects):
    faults = [] if pdf.Root.get("/MarkInfo", {}).get("/Marked") else ["not marked"]
    kinds = {
        str(one.S)
        for one in objects
        if one.get("/Type") == "/StructElem" or ("/P" in one and "/S" in one and "/K" in one)
    }
    faults += [] if {"/H1", "/H2", "/Table"} <= kinds else [f"kinds of tags: {', '.join(sorted(kinds))}"]
    faults += ["a page without /StructParents"] if any("/StructParents" not in page.obj for page in pdf.pages) else []
    faults += (
        ["tab order is not that of the tags"]
        if any(page.obj.get("/Tabs") != "/S" for page in pdf.pages if "/Annots" in page.obj)
        else []
    )
    return Check("tagged: headings, tables; pages tied to the tags", tuple(faults))


def figures(data, pdf, objects):
    elements = [one for one in objects if one.get("/S") == "/Figure" and "/P" in one]
    bare = sum("/Alt" not in one and "/ActualText" not in one for one in elements)
    return Check("every figure in words", (f"{bare} figures without words",) if bare else ())


def header_cells(data, pdf, objects):
    """Each header cell says what it heads."""
    heads = [one for one in objects if one.get("/S") == "/TH" and "/P" in one]
    silent = sum("Scope" not in str(one.get("/A", "")) for one in heads)
    return Check("header cells with a scope", (f"{silent} of {len(heads)} without",) if silent else ())


def annotations(data, pdf, objects):
    faults = []
    for one in (note for page in pdf.pages for note in page.obj.get("/Annots", [])):
        kind = str(one.get("/Subtype"))
        faults += [f"{kind} is not tagged"] if "/StructParent" not in one else []
        faults += [f"{kind} is not printed"] if not int(one.get("/F", 0)) & 4 else []
        faults += [f"{kind} has no words"] if kind == "/Link" and "/Contents" not in one else []
        faults += [f"{kind} has no words"] if kind == "/Widget" and "/TU" not in one else []
    return Check("links and the seal's field: tagged, printed, in words", tuple(sorted(set(faults))))


def claims_nothing(data, pdf, objects):
    with pdf.open_metadata() as about:
        said = [name for name in about if "pdfa" in name or "pdfuaid" in name]
    return Check("the file claims no conformance that nobody validated", tuple(said))


CHECKS = (
    header, identified, embedded_fonts, colours, no_scripts, streams, metadata, files_inside, tagged, figures,
    header_cells, annotations, claims_nothing,
)  # fmt: skip
