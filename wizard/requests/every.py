"""Every request and every answer there is, as the journal reads them back."""

from __future__ import annotations

from wizard.requests.answers import (
    Chosen,
    Confirmed,
    Connected,
    Done,
    Felt,
    HeightChanged,
    HeightKept,
    ReadingTaken,
    Seen,
    Skipped,
    Thickness,
    Touched,
    Turned,
)
from wizard.requests.machine import (
    Connect,
    CoolDown,
    FollowAgain,
    FollowGrid,
    Home,
    LeaveGrid,
    Lift,
    Lower,
    MoveMotors,
    Park,
    ReadHeight,
    Reconnect,
    SetGrid,
    SetHeight,
    Soak,
    Store,
    TouchGrid,
    TouchPoint,
    TouchTest,
    Warm,
)
from wizard.requests.person import (
    AskSheet,
    ChangeHeightByMenu,
    Choose,
    Confirm,
    EnterGrid,
    Feel,
    LookForDaylight,
    MoveByHand,
    ShowChange,
    ShowResult,
    ShowTouches,
    TakeReading,
    Turn,
    TurnEndstop,
)
from wizard.requests.printing import (
    AskFilament,
    Filament,
    JudgePad,
    PadMeasured,
    PadSeen,
    PrintLayer,
    ShowPrint,
)

AnyRequest = (
    Confirm
    | Choose
    | LookForDaylight
    | TakeReading
    | Feel
    | Turn
    | TurnEndstop
    | AskSheet
    | ChangeHeightByMenu
    | MoveByHand
    | ShowResult
    | ShowChange
    | Connect
    | Warm
    | Soak
    | Home
    | Park
    | Lower
    | Lift
    | SetHeight
    | Store
    | ReadHeight
    | Reconnect
    | SetGrid
    | FollowGrid
    | FollowAgain
    | LeaveGrid
    | EnterGrid
    | ShowTouches
    | TouchTest
    | TouchPoint
    | TouchGrid
    | MoveMotors
    | CoolDown
    | AskFilament
    | JudgePad
    | ShowPrint
    | PrintLayer
)
"""Whatever a procedure can ask for: of a person, or of the machine."""

AnyAnswer = (
    Done
    | Connected
    | Confirmed
    | Chosen
    | Seen
    | ReadingTaken
    | Felt
    | Turned
    | HeightChanged
    | Thickness
    | HeightKept
    | Touched
    | Filament
    | PadMeasured
    | PadSeen
    | Skipped
)
"""Whatever it can be answered."""
