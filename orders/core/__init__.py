"""Rules of the sale as pure functions: no tables, no clock, no road engine.

The family of errors, each beside the function that raises it:

OrdersError
  x BadDrive            drives     miles or minutes that cannot be
  x NoDrive             drives     no yard that holds the wood has a known drive
  x BadPriceSheet       sheets     a sheet that contradicts itself
  x PriceMissing        pricing    the sheet has no price for this wood, market and dryness
  x BadAmount           pricing    an amount of wood that cannot be priced
  x BelowMinimum        pricing    too little wood to deliver there
  x TooFar              pricing    beyond the miles the seller drives
  x CarryTooFar         pricing    stacking asked beyond the carry in the price
  x ImpossibleRequest   order_request  a request that contradicts itself
  x NoSuchWood          picking    no lot of this wood at all
  x NothingDryEnough    picking    enough wood, but not dry by the day
  x NotEnoughWood       picking    not enough open wood, dry or not
  x WrongStep           lifecycle  an order cannot take this step from where it stands
  x NotCorrectable      corrections  this part cannot change where the order stands
  x TooLateToChange     lifecycle  the customer's cut-off has passed
  x BadEntry            payments   a line of money that cannot be
  x BadMeasurement      makegood   a stack that cannot be, or wood that was never promised
  x UnknownPlace        places     no wording is kept for this place
  x ForbiddenWord       places     words for an amount that the place does not allow
  x DryClaim            typed_words  a name that says how dry wood is, whatever was read
  x TicketIncomplete    tickets    a field the place asks for is missing
  x MissingWords        phrases    a letter lacks something it has to say
"""

from inventory.core.sentences import Refusal


class OrdersError(Refusal):
    """An anticipated failure of the sale; its text is a full sentence fit for the reader."""


class CustomerRefusal(OrdersError):
    """A failure a customer may meet: its sentence is in the catalog of every language."""
