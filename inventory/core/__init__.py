"""Rules of the wood as pure functions: no tables, no clock.

Each error stands beside the function that raises it; its text is a full sentence that says what is wrong and
how to mend it. The family of those raised here:

    InventoryError
    ├── typed in            units      NotAnAmount, NotALength
    │                       sizes      NotSizes
    │                       hours      NotHours
    ├── measured            measure    BadSize, UnknownForm
    │                       heap_number  BadRestack
    ├── kinds of tree       species    UnknownWood, BadMix
    ├── water in the wood   moisture   ImpossibleMoisture
    │                       climate    BadClimate
    │                       drying     BadDrying
    │                       dry_call   BadFaces
    │                       without_meter  BadSign
    ├── weight              weighing   BadScaleTicket
    │                       lot_days   BadDay
    ├── stock               stock      BadMovement, TooLittleThere
    ├── standing trees      stand      BadPlots
    ├── what it cost        thinning   NoWoodMade
    │                       money      NothingToShareBy
    └── shipped figures     figures    BadFigure

Services of this app add their own beside themselves (`inventory/services/`), from the same base.
"""

from inventory.core.sentences import Refusal


class InventoryError(Refusal):
    """An anticipated failure of the wood's rules; its text is a full sentence fit for the reader."""
