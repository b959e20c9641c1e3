"""One round of all probes: begin every conversion, wait for the slowest, read each in time."""

import asyncio

RETRY_MS = 10
DEADLINE_MS = 400  # from the start of the conversions to the last reading


class Sensing:
    """`pit` and `stone` are converters (stone may be None), `probes` thermistors.

    `offsets_c` are added to what pit, stone and each probe read: found in ice or boiling water, 0
    where nobody has looked. `feedback` and `supply` tell the damper's place and the 12 V, or None.
    """

    def __init__(self, pit, stone, probes, uptime, offsets_c=(0.0,) * 5):
        self._chips = [chip for chip in (pit, stone) if chip is not None]
        self._pit = pit
        self._stone = stone
        self._probes = probes
        self._uptime = uptime
        self._offsets_c = offsets_c
        self.feedback = None
        self.supply = None
        self.takes_ms = max(chip.conversion_ms for chip in self._chips)

    def configure(self):
        """Set the converters up; a fault here shows again in every reading."""
        for chip in self._chips:
            chip.configure()

    async def fill(self, inputs):
        """Read everything into `inputs`; what could not be read has its fault there."""
        begun_ms = self._uptime.ms()
        for chip in self._chips:
            chip.start()
        await asyncio.sleep_ms(self.takes_ms)
        offsets_c = self._offsets_c
        value_c, inputs.pit_fault = await self._finish(self._pit, begun_ms)
        inputs.pit_c = None if value_c is None else value_c + offsets_c[0]
        inputs.board_c = self._pit.cold_c
        if self._stone is None:
            inputs.stone_c, inputs.stone_fault = None, "absent"
        else:
            value_c, inputs.stone_fault = await self._finish(self._stone, begun_ms)
            inputs.stone_c = None if value_c is None else value_c + offsets_c[1]
        for k in range(len(self._probes)):
            value_c, inputs.core_fault[k] = self._probes[k].read()
            inputs.core_c[k] = None if value_c is None else value_c + offsets_c[2 + k]
        if self.feedback is not None:
            inputs.damper_pos, inputs.damper_watched = self.feedback.read()
        if self.supply is not None:
            inputs.supply_v = self.supply.read()

    async def _finish(self, chip, begun_ms):
        """The chip's reading, asked again while it is 'late' and there is time."""
        value_c, fault = chip.read()
        while fault == "late" and self._uptime.ms() - begun_ms < DEADLINE_MS:
            await asyncio.sleep_ms(RETRY_MS)
            value_c, fault = chip.read()
        return value_c, fault
