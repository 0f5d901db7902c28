"""At the booth: what the clocks of the day and the log of the passes mean.

The page keeps a journal: what was pressed, and when by the clock of the device. Everything else follows from it here:
`journal` reads it, `clocks` has the arithmetic of the clocks, `log` the passes, `board` what is shown and judged,
`into_record` what of it goes into the record of the day. Limits are those of the reader's test and of the calculators
of the stages; none stands here.
"""

from calc.later import later

BOOTH_DO = later("calc.booth.web", ("booth-board", "booth-record"))
