"""Labels for a label printer, read back by another library: size of the page, words within it.

Expected sizes: the tapes' and labels' own, as the trade names them.
"""

import pytest

from domain.cable.cut_list import cut_list
from storage.errors import TransferError
from storage.pack.contents import LABEL_STOCKS
from storage.pack.pack import pack_files
from tests.storage.pack.builds import plan, result
from tests.storage.pack.measuring import MM, open_pdf
from tests.storage.pack.test_pack_pages import squeezed

LABELS = frozenset({"labels"})


@pytest.mark.parametrize("stock", LABEL_STOCKS)
@pytest.mark.parametrize("name", ["estate_car", "odd"])
def test_each_label_is_a_page_of_its_stocks_size_with_all_its_words_inside(
    name: str, stock: str
) -> None:
    files = pack_files(plan(name), result(name), paper="a4", only=LABELS, labels_on=stock)
    (tape,) = [content for file, content in files.items() if file.endswith(f"{stock}mm.pdf")]
    assert len(files) == 2
    document = open_pdf(tape)
    wanted = cut_list(plan(name).build, result(name).sheet).labels
    # conservation: a page for each label, in their order
    assert document.page_count == len(wanted)
    # by name: "62x29" is 62 mm by 29 mm, "12" a tape 12 mm wide
    *long, high = map(float, stock.split("x"))
    for page, label in zip(document, wanted, strict=True):
        assert page.rect.height * MM == pytest.approx(high, abs=0.01)
        assert not long or page.rect.width * MM == pytest.approx(long[0], abs=0.01)
        assert page.rect.width * MM <= 140.1
        words = squeezed(page.get_text())
        if name == "estate_car":
            # gauge and colour stay where a name is cut short; on tape nothing is
            _, size, colour = label.lines[0].rsplit(", ", 2)
            assert squeezed(f"{size}, {colour}") in words
            if not long:
                assert all(squeezed(line) in words for line in label.lines)
        for block in page.get_text("dict")["blocks"]:
            for line in block["lines"]:
                for span in line["spans"]:
                    x0, _, x1, _ = span["bbox"]
                    base = span["origin"][1] * MM
                    assert x0 * MM >= 1.9
                    assert x1 * MM <= page.rect.width * MM - 1.9
                    assert 1.0 + 0.5 * span["size"] * MM <= base <= high - 1.0
                    # 5 pt is still read at arm's length: common practice
                    assert span["size"] >= 5.0


def test_labels_are_made_for_what_there_is_alone() -> None:
    # by hand: the sizes that stand in the names, of tape and of a die-cut label
    tapes = {width: f"{width} mm tape" for width in ("9", "12", "18", "24")}
    assert tapes | {"62x29": "62 x 29 mm labels"} == LABEL_STOCKS
    given = {"paper": "a4", "only": frozenset({"summary"})}
    files = pack_files(plan("estate_car"), result("estate_car"), **given, labels_on="12")  # type: ignore[arg-type]
    assert [name.count("labels") for name in files] == [0]
    with pytest.raises(TransferError, match="no labels 13"):
        pack_files(plan("estate_car"), result("estate_car"), paper="a4", labels_on="13")
