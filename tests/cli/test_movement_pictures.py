"""Drawing movements from the command line."""

from __future__ import annotations

from PIL import Image

from cuetrack.cli.main import main


def test_all_that_fits_is_drawn_on_one_sheet(tmp_path, capsys):
    """A search with a file for its pictures writes them all on one sheet."""
    sheet = tmp_path / "neck.png"
    assert main(["movements", "neck", "--pictures", str(sheet)]) == 0
    with Image.open(sheet) as picture:
        assert picture.width > 1000
    assert "drawn" in capsys.readouterr().out


def test_a_folder_gets_each_drawing(tmp_path):
    """Named a folder, each position of each movement is an SVG of its own."""
    folder = tmp_path / "pictures"
    assert main(["movements", "heel dig", "--pictures", str(folder)]) == 0
    assert sorted(p.name for p in folder.iterdir()) == [
        "heel dig 1.svg",
        "heel dig 2.svg",
    ]


def test_pages_come_as_pdf(tmp_path):
    """A file ending in .pdf becomes pages to print."""
    pages = tmp_path / "neck.pdf"
    assert main(["movements", "neck", "--pictures", str(pages)]) == 0
    assert pages.read_bytes().startswith(b"%PDF")


def test_pictures_that_are_there_are_kept(tmp_path, capsys):
    """A file is replaced only when asked, and another ending is refused."""
    sheet = tmp_path / "neck.png"
    sheet.write_text("mine")
    assert main(["movements", "neck", "--pictures", str(sheet)]) == 1
    assert sheet.read_text() == "mine"
    assert main(["movements", "neck", "--pictures", str(sheet), "--overwrite"]) == 0
    assert main(["movements", "neck", "--pictures", str(tmp_path / "a.gif")]) == 2
    assert ".png" in capsys.readouterr().err
