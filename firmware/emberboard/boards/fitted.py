"""Which thermocouple converter is wired to this board: max31856, max31855 or mcp9600 (also 9601).

It is a fact of the wiring, like a pin. `emberdraft board deploy --converter` writes this file and
leaves the other chips' drivers away.
"""

CONVERTER = "max31856"
