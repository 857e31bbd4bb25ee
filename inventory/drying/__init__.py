"""How wood dries, day by day, from weather: pure, no tables.

weather         several possible weathers for a run of days, from files or monthly normals
weather_files   what sellers have: hourly or daily CSV, EPW, TMY3
normals         twelve months made into days; a table of cities
parameters      figures of drying.toml, drawn for the members of an ensemble
engine          one heap through its weather: core and surface water
start           what wood holds when its clock starts
forecast        the ensemble: band, readings, dry dates
options         what covering, splitting, spreading or moving would gain
calibration     how often later readings fell inside the band
dry_call        what a lot may be called
chart           the curve and the calendar, drawn
"""
