"""Sound's way through the air against published values."""

from __future__ import annotations

import pytest

from capturestation.timing.air import Microphone, speed_of_sound_m_s


@pytest.mark.parametrize(
    ("humidity", "published_m_s"), [(0.0, 343.359), (0.5, 343.987), (1.0, 344.614)]
)
def test_speed_in_humid_air_is_the_published_one(humidity: float, published_m_s: float) -> None:
    """O. Cramer, JASA 93(5):2510-2516, 1993, eq. 15, 20 degrees, 101.325 kPa; 0.05 m/s."""
    assert speed_of_sound_m_s(20.0, humidity=humidity) == pytest.approx(published_m_s, abs=0.05)


@pytest.mark.parametrize(
    ("temperature_c", "dry_m_s"), [(10.0, 337.296), (20.0, 343.2), (30.0, 349.005)]
)
def test_speed_in_dry_air_follows_the_root_of_temperature(
    temperature_c: float, dry_m_s: float
) -> None:
    """343.2 * sqrt(T / 293.15 K), the form of ISO 9613-1:1993; 0.2 %."""
    assert speed_of_sound_m_s(temperature_c, humidity=0.0) == pytest.approx(dry_m_s, rel=0.002)


def test_sound_takes_nearly_three_milliseconds_a_metre() -> None:
    """2.914 ms a metre in dry air at 20 degrees, arithmetic; 0.1 ms over three metres."""
    assert Microphone(distance_m=3.0).travel_ns == pytest.approx(3 * 2_914_000, abs=100_000)


def test_a_tenth_of_a_metre_is_worth_a_third_of_a_millisecond() -> None:
    distance, _ = Microphone(distance_m=2.0, u_distance_m=0.1).error_parts

    assert distance.u_ns == pytest.approx(290_000, abs=3_000)


def test_three_degrees_hardly_matter_but_are_named() -> None:
    _, temperature = Microphone(distance_m=3.0).error_parts

    assert 20_000 < temperature.u_ns < 150_000
    assert "temperature" in temperature.cause


@pytest.mark.parametrize("temperature_c", [-21.0, 61.0, float("nan")])
def test_air_that_no_bay_has_is_our_own_mistake(temperature_c: float) -> None:
    with pytest.raises(ValueError, match="isn't a bay's"):
        speed_of_sound_m_s(temperature_c)


def test_a_negative_distance_is_our_own_mistake() -> None:
    with pytest.raises(ValueError, match="-1"):
        Microphone(distance_m=-1.0)
