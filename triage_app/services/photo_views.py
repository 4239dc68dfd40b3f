"""What the stored photos say when looked at again: how well each mark is seen."""

from collections.abc import Callable
from functools import lru_cache

import numpy as np

from triage_app.domain.case import Case, Mark
from triage_app.domain.commands import finding_and_mark
from triage_app.domain.geometry import Outline
from triage_app.domain.ids import CaseId, MarkId, Sha256
from triage_app.domain.permissions import Action
from triage_app.domain.signed import Operator
from triage_app.imaging.decode import decode
from triage_app.imaging.mark_quality import MarkQuality, judge_mark
from triage_app.services.permission import needs
from triage_app.services.ports import BlobStore, CaseStore

_JUDGED_KEPT = 512


class PhotoViews:
    """Looks at originals; changes nothing. Answers are kept, since photos and outlines are too."""

    def __init__(self, *, cases: CaseStore, blobs: BlobStore) -> None:
        self._cases = cases
        self._blobs = blobs
        self._judge: Callable[[Sha256, Outline], MarkQuality] = lru_cache(maxsize=_JUDGED_KEPT)(
            self._judged
        )

    @needs(Action.READ)
    def mark_quality(
        self,
        case_id: CaseId,
        mark_id: MarkId,
        *,
        by: Operator,  # noqa: ARG002 - asked by 'needs'
    ) -> MarkQuality:
        """Return how well the damage is seen inside one mark; raises NotFoundError."""
        case = self._cases.get(case_id)
        _, mark = finding_and_mark(case, mark_id)
        return self.quality_of(case, mark)

    def quality_of(self, case: Case, mark: Mark) -> MarkQuality:
        """Return the same of a mark of a case that is at hand."""
        return self._judge(case.photo(mark.photo_id).sha256, mark.outline)

    def _judged(self, sha256: Sha256, outline: Outline) -> MarkQuality:
        return judge_mark(np.asarray(decode(self._blobs.get(sha256)).pixels), outline)
