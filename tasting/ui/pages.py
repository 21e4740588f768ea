"""Every page and its address: the one table that the router and every link read."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class AppPage:
    """A page of the app.

    address: what stands in the URL; title: on its tab; script: its file, seen from the router
    """

    address: str
    title: str
    script: str

    @property
    def label(self) -> str:
        """Its name in the menu."""
        return self.title.removesuffix(" a session")


def _page(address: str, title: str, script: str) -> AppPage:
    return AppPage(address, title, f"tasting/ui/{script}")


DASHBOARD = _page("dashboard", "Dashboard", "dashboard/page.py")
FORMULAS = _page("formulas", "Formulas", "drinks/formulas_page.py")
REFERENCES = _page("references", "References", "drinks/references_page.py")
PLAN = _page("plan", "Plan a session", "tastings/planning/page.py")
RUN = _page("run", "Run a session", "tastings/running/page.py")
FINDINGS = _page("findings", "Findings", "tastings/finding/page.py")
HISTORY = _page("history", "History", "history/page.py")
SIGN_IN = _page("signin", "Sign in", "sign_in_page.py")

OF_THE_HOST = (DASHBOARD, FORMULAS, REFERENCES, PLAN, RUN, FINDINGS, HISTORY)
"""The host's pages, in the order of the work; the first one opens where no page is named."""

DRINKS, NEW, TASTING = FORMULAS, PLAN, FINDINGS
