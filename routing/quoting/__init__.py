"""The drive inside a price: one voice for a drive's miles, minutes and dollars, booked days included.

`prices` is the way in; `spots` finds the place, `drives` the road there, `days` what coming on a day adds,
`door_prices` what the first page shows for a town.
"""
