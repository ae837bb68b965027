"""How long sound takes from the ball to the microphone.

Owns the speed of sound and the errors of distance and temperature.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp

from capturestation.records import NS_PER_S, ErrorPart

_PRESSURE_PA = 101_325.0
_CO2 = 0.0004
_KELVIN = 273.15
COLDEST_C, WARMEST_C = -20.0, 60.0
"""Of a bay, outdoor ones too: the source's 0 to 40 degrees, widened by 20."""
USUAL_DISTANCE_M = 3.0
# Cameras stand 1.8 m away and more, and their microphones with them.
UNKNOWN_DISTANCE_U_M = 1.0
TEMPERATURE_U_C = 5.0
# Nobody takes the temperature of a bay: typed once, it drifts by this over a day.


def speed_of_sound_m_s(temperature_c: float, *, humidity: float = 0.5) -> float:
    """Speed of sound in air at sea-level pressure and 0.04 % carbon dioxide.

    Args:
        temperature_c: `COLDEST_C` to `WARMEST_C`.
        humidity: Relative, 0..1.

    Raises:
        ValueError: Outside those ranges.

    Source:
        O. Cramer, The variation of the specific heat ratio and the speed of sound in air, JASA
        93(5):2510-2516, 1993, eq. 15.

    Example:
        >>> round(speed_of_sound_m_s(20.0, humidity=0.0), 1)
        343.4
    """
    if not COLDEST_C <= temperature_c <= WARMEST_C or not 0.0 <= humidity <= 1.0:
        msg = f"air at {temperature_c} C and humidity {humidity} isn't a bay's"
        raise ValueError(msg)
    t, p, xc = temperature_c, _PRESSURE_PA, _CO2
    xw = humidity * _vapour_share(t)
    return (
        331.5024
        + 0.603055 * t
        - 0.000528 * t**2
        + (51.471935 + 0.1495874 * t - 0.000782 * t**2) * xw
        + (-1.82e-7 + 3.73e-8 * t - 2.93e-10 * t**2) * p
        + (-85.20931 - 0.228525 * t + 5.91e-5 * t**2) * xc
        - 2.835149 * xw**2
        - 2.15e-13 * p**2
        + 29.179762 * xc**2
        + 0.000486 * xw * p * xc
    )


def _vapour_share(temperature_c: float) -> float:
    """Share of molecules that are water where the air holds all it can (same source)."""
    kelvin = temperature_c + _KELVIN
    pressure = exp(
        1.2811805e-5 * kelvin**2 - 1.9509874e-2 * kelvin + 34.04926034 - 6.3536311e3 / kelvin
    )
    swollen = 1.00062 + 3.14e-8 * _PRESSURE_PA + 5.6e-7 * temperature_c**2
    return swollen * pressure / _PRESSURE_PA


@dataclass(frozen=True, slots=True, kw_only=True)
class Microphone:
    """Where the sound was taken.

    Args:
        distance_m: From the ball to the microphone.
        u_distance_m: Standard uncertainty of it.
        temperature_c: Of the air between.
    """

    distance_m: float = USUAL_DISTANCE_M
    u_distance_m: float = UNKNOWN_DISTANCE_U_M
    temperature_c: float = 20.0

    def __post_init__(self) -> None:
        if self.distance_m < 0 or self.u_distance_m < 0:
            msg = f"a distance of {self.distance_m} +- {self.u_distance_m} m"
            raise ValueError(msg)

    @property
    def travel_ns(self) -> int:
        """From the ball to the microphone."""
        return round(self.distance_m / speed_of_sound_m_s(self.temperature_c) * NS_PER_S)

    @property
    def error_parts(self) -> tuple[ErrorPart, ErrorPart]:
        """What distance and temperature leave uncertain."""
        speed = speed_of_sound_m_s(self.temperature_c)
        share = 0.5 * TEMPERATURE_U_C / (self.temperature_c + _KELVIN)
        # Speed goes with the root of the absolute temperature.
        return (
            ErrorPart(
                cause="distance to the microphone",
                u_ns=round(self.u_distance_m / speed * NS_PER_S),
            ),
            ErrorPart(cause="temperature of the air", u_ns=round(self.travel_ns * share)),
        )
