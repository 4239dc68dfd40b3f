"""A report comes out whole, the same each time, and opens in python-docx."""

import hashlib
from io import BytesIO

from docx import Document

from tests.builders import a_case, a_finding, a_jpeg, a_photo
from tests.unit.report.material import a_rulebook, material, photos_from, quiet
from triage_app.report import Layout, render_report


def test_the_same_case_gives_the_same_bytes() -> None:
    original = a_jpeg()
    photo = a_photo(sha256=hashlib.sha256(original).hexdigest())
    case = a_case(a_finding(marks=()), photos=(photo,))

    def render() -> bytes:
        return render_report(
            material(case), a_rulebook(), photos_from(original), layout=Layout(), progress=quiet
        )

    first = render()

    assert first == render()
    assert Document(BytesIO(first)).core_properties.title == "Underbody damage report R-0001"
