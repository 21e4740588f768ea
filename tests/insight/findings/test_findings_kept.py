"""A finding that was reached once is not worked out again."""

from tasting.insight.findings.finding import finding
from tests.ui.workshop import closed, planned


def test_the_finding_of_a_session_that_is_read_again_is_the_kept_one() -> None:
    session = closed(planned("acid"), 10, 2)
    again = type(session).model_validate(dict(session))

    assert finding(session) is finding(again)


def test_another_alpha_is_another_finding() -> None:
    one, other = (closed(planned("acid", alpha=alpha), 10, 2) for alpha in (0.05, 0.01))

    assert finding(one) is not finding(other)
