"""Which action each command is, so that a command given by another way asks for the same right."""

from collections.abc import Mapping
from types import MappingProxyType

from triage_app.domain.admission.commands import AnswerSign, DecideAdmission
from triage_app.domain.commands import (
    AddFinding,
    AddMark,
    AddPhoto,
    AnyCommand,
    DescribeIncident,
    DescribeVehicle,
    MoveMark,
    RemoveMark,
    ReshapeMark,
    RestoreFinding,
    TagFinding,
    WithdrawFinding,
)
from triage_app.domain.evidence_commands import (
    AcceptEvidence,
    DeclineEvidence,
    RecordEvidence,
    WithdrawEvidence,
)
from triage_app.domain.inspection.commands import InspectItems, PointAtPhotos
from triage_app.domain.permissions import Action
from triage_app.domain.photo_commands import (
    CompareClock,
    DrawImpactLine,
    JudgeOrangeArea,
    PairPhotos,
    PartPhotos,
    PinPhoto,
    SayNothingFound,
)
from triage_app.domain.plan.commands import GiveFigures, ImportPrices, TypePrice
from triage_app.domain.report_commands import RecordRelease, RecordReport
from triage_app.domain.review.commands import CorrectFinding, SignReviews
from triage_app.domain.safing.commands import (
    ChooseLayout,
    RecordHappening,
    RecordIsolation,
    RecordReading,
    RecordStep,
    RecordTemperature,
)
from triage_app.domain.scale_command import ScalePhoto

_COMMANDS: tuple[tuple[Action, tuple[type[AnyCommand], ...]], ...] = (
    (Action.MAKE_CASE, (DescribeVehicle, DescribeIncident)),
    (
        Action.ADD_PHOTO,
        (AddPhoto, ScalePhoto, JudgeOrangeArea, CompareClock, PinPhoto, PairPhotos, PartPhotos),
    ),
    (
        Action.MARK,
        (
            AddMark,
            AddFinding,
            ReshapeMark,
            RemoveMark,
            MoveMark,
            TagFinding,
            WithdrawFinding,
            RestoreFinding,
            SayNothingFound,
            DrawImpactLine,
        ),
    ),
    (Action.RECORD_EVIDENCE, (RecordEvidence, WithdrawEvidence)),
    (Action.ACCEPT_EVIDENCE, (AcceptEvidence, DeclineEvidence)),
    (
        Action.RECORD_MAKE_SAFE,
        (RecordStep, RecordReading, RecordTemperature, ChooseLayout, RecordIsolation),
    ),
    (Action.PLAN, (ImportPrices, TypePrice, GiveFigures)),
    (Action.VOID_MAKE_SAFE, (RecordHappening,)),
    (Action.ANSWER_SIGN, (AnswerSign,)),
    (Action.DECIDE_ADMISSION, (DecideAdmission,)),
    (Action.INSPECT, (InspectItems, PointAtPhotos)),
    (Action.REVIEW_FINDING, (SignReviews, CorrectFinding)),
    (Action.ISSUE_DRAFT, (RecordReport,)),
    (Action.RELEASE, (RecordRelease,)),
)

COMMAND_ACTIONS: Mapping[type[AnyCommand], Action] = MappingProxyType(
    {command: action for action, commands in _COMMANDS for command in commands}
)


def action_of(command: AnyCommand) -> Action:
    """Return what right the command asks for; KeyError is a command nobody put in the table."""
    return COMMAND_ACTIONS[type(command)]
