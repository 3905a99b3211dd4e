"""Ways in: the same pattern as text, web page, PDF and word-processor document."""

import io
import zipfile
from collections.abc import Callable
from pathlib import Path

import docx
import odfdo
import pytest
from fpdf import FPDF

from companion.pattern.files import MAX_BYTES, PatternFileError, text_of
from companion.pattern.reader import read_file

LINES = [
    "Rnd 1: 6 sc in magic ring [6]",
    "Rnd 2: inc × 6 [12]",
    "Rnd 3: (sc, inc) × 6 [18]",
    "Rnds 4–6: sc around [18]",
]
COUNTS = [(0, 6), (6, 12), (12, 18), (18, 18)]


def as_text(path: Path) -> None:
    path.write_text("\n".join(["Ways In", "Terms: US", "", "BALL (make 2)", *LINES]), encoding="utf-8")


def as_old_text(path: Path) -> None:
    path.write_bytes("\r\n".join(["Ways In", "Terms: US", "", "BALL (make 2)", *LINES]).encode("cp1252"))


def as_web_page(path: Path) -> None:
    body = "".join(f"<p>{line.replace(' ', '&nbsp;', 1)}</p>" for line in LINES)
    path.write_text(
        "<!DOCTYPE html><html><head><title>x</title><script>var a = 'Rnd 9: 9 sc';</script></head>"
        f"<body><nav>Home</nav><h1>Ways In</h1><p>Terms: US</p><h2>BALL (make 2)</h2>{body}</body></html>",
        encoding="utf-8",
    )


def as_pdf(path: Path) -> None:
    pdf = FPDF()
    for number, lines in enumerate((["Ways In", "Terms: US", "BALL (make 2)"], LINES[:2], LINES[2:]), 1):
        pdf.add_page()
        pdf.set_font("helvetica", size=12)
        for line in ("An invented header", *lines, f"Page {number} of 3"):
            pdf.cell(0, 8, line.replace("–", "-").replace("×", "x"), new_x="LMARGIN", new_y="NEXT")
    pdf.output(str(path))


def as_docx(path: Path) -> None:
    document = docx.Document()
    document.add_heading("Ways In", 0)
    document.add_paragraph("Terms: US")
    document.add_heading("BALL (make 2)", 2)
    for line in LINES:
        document.add_paragraph(line)
    document.save(str(path))


def as_odt(path: Path) -> None:
    document = odfdo.Document("text")
    document.body.clear()
    document.body.append(odfdo.Header(1, "Ways In"))
    document.body.append(odfdo.Paragraph("Terms: US"))
    document.body.append(odfdo.Header(2, "BALL (make 2)"))
    for line in LINES:
        document.body.append(odfdo.Paragraph(line))
    document.save(str(path))


WAYS = {
    "plain.txt": as_text,
    "plain.md": as_text,
    "old.txt": as_old_text,
    "page.html": as_web_page,
    "print.pdf": as_pdf,
    "office.docx": as_docx,
    "office.odt": as_odt,
}


@pytest.mark.parametrize("name", WAYS)
def test_the_same_pattern_comes_in_every_way(name: str, tmp_path: Path) -> None:
    WAYS[name](tmp_path / name)
    pattern = read_file(tmp_path / name)
    assert pattern.title == "Ways In"
    assert [(p.name, p.make) for p in pattern.pieces] == [("BALL", 2)]
    assert [(r.worked_into, r.stitches) for r in pattern.pieces[0].rounds] == COUNTS
    assert pattern.problems == ()


@pytest.mark.parametrize("name", WAYS)
def test_lines_of_problems_point_into_the_text_that_is_printed(name: str, tmp_path: Path) -> None:
    WAYS[name](tmp_path / name)
    for entry in read_file(tmp_path / name).pieces[0].rounds:
        line = text_of(tmp_path / name).replace("\r\n", "\n").split("\n")[entry.span.line - 1]
        assert line[entry.span.column - 1 :].startswith(entry.label)


def test_headers_and_page_numbers_of_a_pdf_are_left_out(tmp_path: Path) -> None:
    as_pdf(tmp_path / "print.pdf")
    text = text_of(tmp_path / "print.pdf")
    assert "header" not in text
    assert "Page" not in text


def test_numbered_lists_and_tables_of_a_document_are_rounds(tmp_path: Path) -> None:
    document = docx.Document()
    document.add_heading("Listed", 0)
    document.add_paragraph("Terms: US")
    document.add_heading("Ball", 2)
    for line in ("6 sc in magic ring (6)", "inc x 6 (12)"):
        document.add_paragraph(line, style="List Number")
    table = document.add_table(rows=0, cols=3)
    for cells in (("Rnd 3", "(sc, inc) x 6", "18"), ("Rnd 4", "sc around", "18")):
        row = table.add_row().cells
        for cell, text in zip(row, cells, strict=True):
            cell.text = text
    document.save(str(tmp_path / "listed.docx"))
    (ball,) = read_file(tmp_path / "listed.docx").pieces
    assert [(r.first, r.worked_into, r.stitches) for r in ball.rounds] == [
        (1, 0, 6),
        (2, 6, 12),
        (3, 12, 18),
        (4, 18, 18),
    ]
    assert [r.declared.stitches for r in ball.rounds if r.declared] == [6, 12, 18, 18]


def test_ordered_lists_of_a_web_page_keep_their_numbers(tmp_path: Path) -> None:
    items = "<ol><li>6 sc in MR (6)<li>inc x 6 (12)</ol>"
    page = f"<html><body><h1>Listed</h1><p>Terms: US</p><h2>Ball</h2>{items}</body></html>"
    (tmp_path / "listed.html").write_text(page, encoding="utf-8")
    (ball,) = read_file(tmp_path / "listed.html").pieces
    assert [(r.first, r.stitches) for r in ball.rounds] == [(1, 6), (2, 12)]


@pytest.mark.parametrize("cell", ["th", "td"])
def test_a_table_of_a_web_page_belongs_to_the_heading_above_it(cell: str, tmp_path: Path) -> None:
    head = "".join(f"<{cell}>{word}</{cell}>" for word in ("Rnd", "What to do", "Stitches"))
    rows = "".join(
        f"<tr><td>{n}</td><td>{do}</td><td>{made}</td></tr>"
        for n, do, made in [(1, "6 sc in MR", 6), (2, "inc x 6", 12)]
    )
    page = tmp_path / "turnip.html"
    page.write_text(
        f"<body><h1>Turnip</h1><p>Terms: US</p><h2>Root</h2><table><tr>{head}</tr>{rows}</table></body>", "utf-8"
    )
    pattern = read_file(page)
    assert not pattern.problems
    assert [(piece.name, [entry.stitches for entry in piece.rounds]) for piece in pattern.pieces] == [("Root", [6, 12])]


def test_soft_hyphens_and_invisible_marks_do_no_harm(tmp_path: Path) -> None:
    first = "Rnd 1: 6 sin\u00adgle cro\u00ad\nchet in magic\u00a0ring\u200b [6]"
    text = f"Soft\nTerms: US\n{first}\n\u202eRnd 2: inc x 6 [12]\u202c\n"
    (tmp_path / "soft.txt").write_text(text, encoding="utf-8")
    (piece,) = read_file(tmp_path / "soft.txt").pieces
    assert [(r.worked_into, r.stitches) for r in piece.rounds] == [(0, 6), (6, 12)]


def _pdf_with(stream: bytes, compressed: bool) -> bytes:
    """The smallest PDF with one page and one content stream."""
    filters = b"/Filter /FlateDecode " if compressed else b""
    objects = [
        b"<< /Type /Catalog /Pages 2 0 R >>",
        b"<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
        b"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 99 99] /Contents 4 0 R >>",
        b"<< " + filters + b"/Length %d >>\nstream\n" % len(stream) + stream + b"\nendstream",
    ]
    out = io.BytesIO(b"%PDF-1.4\n")
    out.seek(0, io.SEEK_END)
    offsets = []
    for number, body in enumerate(objects, 1):
        offsets.append(out.tell())
        out.write(b"%d 0 obj\n" % number + body + b"\nendobj\n")
    start = out.tell()
    out.write(b"xref\n0 5\n0000000000 65535 f \n" + b"".join(b"%010d 00000 n \n" % at for at in offsets))
    out.write(b"trailer << /Size 5 /Root 1 0 R >>\nstartxref\n%d\n%%%%EOF\n" % start)
    return out.getvalue()


def a_pdf_bomb(path: Path) -> None:
    import zlib

    path.write_bytes(_pdf_with(zlib.compress(b"\0" * 400_000_000, 9), compressed=True))


def a_damaged_pdf(path: Path) -> None:
    path.write_bytes(b"%PDF-1.7\n garbage" + bytes(range(256)) * 20)


def an_empty_pdf(path: Path) -> None:
    path.write_bytes(_pdf_with(b"", compressed=False))


def a_damaged_document(path: Path) -> None:
    with zipfile.ZipFile(path, "w") as packed:
        packed.writestr("word/document.xml", "<not xml")


def a_packed_bomb(path: Path) -> None:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("word/document.xml", b" " * 70_000_000)


def another_packed_file(path: Path) -> None:
    with zipfile.ZipFile(path, "w") as packed:
        packed.writestr("hello.txt", "hello")


def a_broken_zip(path: Path) -> None:
    path.write_bytes(b"PK\x03\x04" + b"x" * 100)


def nothing(path: Path) -> None:
    path.write_text("  \n \n", encoding="utf-8")


def too_much(path: Path) -> None:
    with path.open("wb") as file:
        file.truncate(MAX_BYTES + 1)


BAD: dict[str, Callable[[Path], object]] = {
    "missing.txt": lambda path: None,
    "folder": lambda path: path.mkdir(),
    "empty.txt": nothing,
    "large.txt": too_much,
    "bomb.pdf": a_pdf_bomb,
    "damaged.pdf": a_damaged_pdf,
    "pictures.pdf": an_empty_pdf,
    "wrong-name.pdf": as_text,
    "damaged.docx": a_damaged_document,
    "bomb.docx": a_packed_bomb,
    "other.zip": another_packed_file,
    "broken.odt": a_broken_zip,
}


@pytest.mark.parametrize("name", BAD)
def test_what_cannot_be_read_is_said_in_one_clear_sentence(name: str, tmp_path: Path) -> None:
    path = tmp_path / name
    BAD[name](path)
    with pytest.raises(PatternFileError) as caught:
        read_file(path)
    message = str(caught.value)
    assert str(path) in message
    assert message.endswith(".")
    assert "\n" not in message
