"""Every form of stringer has its entry in each table that is kept by form."""

from typing import get_args

import pytest

from cutpath.job.form_values import FORM_KINDS, Form
from cutpath.job.keys import JOB
from cutpath.plan.forms import DRAWN
from tests.form_jobs import drawn

BRACKET = "{diameter = 12, at = [60, 40], spacing = 80}"
JOBS = {
    "notched": "",
    "housed": '[stringer]\nform = "housed"\nmargin = 40\nhousing = {depth = 15}\n',
    "plate": f'[stringer]\nform = "plate"\nplate = {{profile = "straight", bracket = {BRACKET}}}\n',
}


def test_the_tables_name_the_same_forms() -> None:
    (stringer,) = (key.kind for key in JOB.keys if key.name == "stringer")
    (form,) = (key.kind for key in stringer.keys if key.name == "form")
    assert set(FORM_KINDS) == set(DRAWN) == set(get_args(Form)) == set(form.words) == set(JOBS)


@pytest.mark.parametrize("name", JOBS)
def test_checks_go_by_the_form_s_entry(name: Form) -> None:
    kind = FORM_KINDS[name]
    _, design = drawn(JOBS[name])
    ids = {check.id: check for check in design.checks}
    assert (design.built.wood is not None) is kind.notched
    assert ("span" in ids) is bool(kind.span)
    if design.part.throat is not None:
        assert ids["throat"].note == kind.throat
    if name == "housed":
        # 915 between the faces, and one thickness of 45 to the centres.
        assert ids["spacing"].value == pytest.approx(960)
