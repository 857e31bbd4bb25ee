"""The one toolkit for charts: axes with units, text at the page's own size, a table and CSV behind each.

Text is never scaled: marks stand in percent across and in pixels down, on drawings without a view box;
lines and bands lie in an inner drawing that stretches. Names and values of bars are text of the page, so
that they wrap instead of meeting. What is drawn from which figures is told by the caller.
"""
