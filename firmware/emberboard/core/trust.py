"""How well the observer's fire fits this cooker, and so how hard the loop may be closed.

At the end of full air the air is cut to a fraction at once, the largest step of a cook. Where the
observer's two lags fit, the fast disturbance `m` stays within a tenth of the air; on a cooker
whose pit follows its fire at once, `m` swings through several. From the cut until a while after
the arrival the widest swing of `m` is kept (its highest and lowest, each forgotten in minutes;
heat that the fire does not explain tells more than heat that is missing: walls take heat too):

    swing = LACK max(m) - HEAT min(m)
    value = 1 / (1 + GAIN max(swing - FREE, prior))    multiplies the gains
    quick = QUICK + (1 - QUICK) value^2      multiplies the fire's lags and the stone's coast

`prior` is some doubt at the cut, gone in minutes: by when a swing is seen it has been made.
Without it such cookers, all of other equations than the ones tuned on, swung with a period of
three minutes, and the swings blew the fire up (tests/bench_suite/strangers).
"""

FADE_S = 200.0
LACK = 0.6
HEAT = 1.5
FREE = 0.165
GAIN = 8.0
WATCH_S = 900.0
QUICK = 0.3
PRIOR = 0.05
PRIOR_S = 150.0


class Trust:
    """`value` and `quick` 0..1; 1 while nothing speaks against the observer."""

    def __init__(self):
        self.value = 1.0
        self.quick = 1.0
        self._left_s = 0.0
        self._high = 0.0
        self._low = 0.0
        self._odd = 0.0
        self._prior = 0.0

    def watch(self):
        """Full air was just cut: look from here on."""
        self._left_s = WATCH_S
        self._high = 0.0
        self._low = 0.0
        self._prior = PRIOR
        self._odd *= 0.5  # another fire may be another one

    def step(self, m, arrived, dt_s):
        """Take the fast disturbance (duty)."""
        if self._left_s <= 0.0:
            return
        if arrived:
            self._left_s -= dt_s
        fade = min(1.0, dt_s / FADE_S)
        self._high = max(m, self._high + (m - self._high) * fade)
        self._low = min(m, self._low + (m - self._low) * fade)
        self._odd = max(self._odd, LACK * self._high - HEAT * self._low - FREE)
        self._prior -= self._prior * dt_s / PRIOR_S
        self.value = 1.0 / (1.0 + GAIN * max(self._odd, self._prior))
        self.quick = QUICK + (1.0 - QUICK) * self.value * self.value
