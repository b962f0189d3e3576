"""Parts files are as strict as project files, and figures that cannot belong together are listed."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace

from core.catalogue.parts_check import check_motor, check_parts, winding_constants
from core.catalogue.parts_file import (
    PartsFile,
    decode_parts,
    encode_parts,
    load_demo_parts,
    parts_schema,
    read_parts,
    write_parts,
)
from core.errors import NewerVersionError, ProjectFileError
from core.project.feedback import Encoder
from core.project.motor import ContinuousPoint, DataSheetHeat, GeometryHeat, Motor, Variant, Winding


def one_motor() -> Motor:
    return load_demo_parts().motor("38 mm frame")


def with_winding(motor: Motor, change: Callable[[Winding], Winding], index: int = 1) -> Motor:
    windings = list(motor.windings)
    windings[index] = change(windings[index])
    return replace(motor, windings=tuple(windings))


def with_variant(motor: Motor, change: Callable[[Variant], Variant]) -> Motor:
    return replace(motor, variants=(change(motor.variants[0]), *motor.variants[1:]))


SHEET = DataSheetHeat(
    winding_housing_resistance=2.9,
    housing_ambient_resistance=10.0,
    winding_time_constant=15.0,
    motor_time_constant=330.0,
    stated_mounting="plate",
    continuous_point=ContinuousPoint(speed=600.0, shaft_torque=0.085, winding_temp=120.0),
)


def with_heat(motor: Motor, **figures: Any) -> Motor:
    """Return the motor with a data sheet without dimensions, some of its figures changed."""
    return with_variant(motor, lambda variant: replace(variant, heat=replace(SHEET, **figures)))


def with_figures(motor: Motor, **figures: Any) -> Motor:
    """Return the motor with figures beside its dimensions."""

    def change(variant: Variant) -> Variant:
        assert isinstance(variant.heat, GeometryHeat)
        return replace(variant, heat=replace(variant.heat, **figures))

    return with_variant(motor, change)


def codes(motor: Motor) -> list[str]:
    return [finding.code for finding in check_motor(motor)]


# --- reading and writing --------------------------------------------------------------------------


def test_parts_survive_saving_and_loading(tmp_path: Path) -> None:
    path = tmp_path / "parts.json"
    write_parts(path, load_demo_parts())
    assert read_parts(path) == load_demo_parts()
    assert path.read_bytes() == encode_parts(load_demo_parts())


def test_lists_that_this_version_does_not_know_are_kept() -> None:
    raw = json.loads(encode_parts(PartsFile()))
    raw["lubricants"] = [{"name": "cold grease", "viscosity_mm2_s": 30.0}]
    assert json.loads(encode_parts(decode_parts(json.dumps(raw).encode()))) == raw


@pytest.mark.parametrize(
    ("change", "place"),
    [
        ({"format": "ampturn project"}, "$.format"),
        ({"version": 0}, "$.version"),
        ({"motors": [{}]}, "$.motors[0]"),
        ({"motors": [{"name": "m", "pole_pairs": 0}]}, "$.motors[0].pole_pairs"),
        ({"motors": [{"name": "m", "pole_pairs": 1}] * 2}, "$.motors"),
        ({"drives": [{"name": "d"}, {"name": "d"}]}, "$.drives"),
        ({"drives": [{"name": "d", "peak_current_A": -1.0}]}, "$.drives[0].peak_current_A"),
    ],
)
def test_bad_parts_are_refused_with_their_place(change: dict[str, Any], place: str) -> None:
    raw = json.loads(encode_parts(PartsFile())) | change
    with pytest.raises(ProjectFileError) as caught:
        decode_parts(json.dumps(raw).encode())
    assert caught.value.place == place


def test_windings_of_one_motor_need_names_of_their_own() -> None:
    motor = with_winding(one_motor(), lambda winding: replace(winding, name="24 V"))
    with pytest.raises(ProjectFileError, match=r"motors \(38 mm frame\).windings: each entry .* '24 V'"):
        PartsFile(motors=(motor,))


def test_parts_of_a_later_version_are_refused_as_such() -> None:
    with pytest.raises(NewerVersionError):
        decode_parts(b'{"format": "ampturn parts", "version": 2}')


def test_a_part_that_is_not_there_is_answered_with_those_that_are() -> None:
    with pytest.raises(ProjectFileError, match=r"there are: 23 mm frame, .*got 'frame 99'"):
        load_demo_parts().motor("frame 99")
    with pytest.raises(ProjectFileError, match=r"there are: electronics for 4 A.*got 'none'"):
        load_demo_parts().drive("none")


def test_schema_names_units_and_allows_unknown_keys() -> None:
    schema = parts_schema()
    assert schema["$ref"] == "#/$defs/PartsFile"
    assert set(schema["$defs"]["PartsFile"]["properties"]) == {
        "format", "version", "origin", "motors", "drives", "transmissions", "feedback", "brakes",
        "designation",
    }  # fmt: skip
    resistance = schema["$defs"]["Resistance"]
    assert resistance["properties"]["value_ohm"]["exclusiveMinimum"] == 0.0
    assert all(part.get("additionalProperties", True) is True for part in schema["$defs"].values())
    json.dumps(schema)


# --- plausibility ---------------------------------------------------------------------------------


def test_demo_parts_have_no_finding() -> None:
    assert check_parts(load_demo_parts()) == ()


def test_a_resistance_read_between_the_wrong_points_is_noticed() -> None:
    """A phase value taken for line-to-line is half: the motor constant rises by sqrt(2)."""

    def change(winding: Winding) -> Winding:
        return replace(winding, resistance=replace(winding.resistance, convention="line-to-line"))

    findings = check_motor(with_winding(one_motor(), change))
    by_code = {finding.code: finding for finding in findings}
    assert set(by_code) == {"motor_constant_uneven", "resistance_uneven"}
    constant, resistance = by_code["motor_constant_uneven"], by_code["resistance_uneven"]
    assert constant.values["highest"] / constant.values["lowest"] == pytest.approx(2**0.5, rel=0.01)
    assert resistance.values["highest"] / resistance.values["lowest"] == pytest.approx(2.0, rel=0.02)
    assert "38 mm frame" in str(constant.text)
    assert "winding 18 V" in str(constant.text)


def test_constants_of_different_conventions_that_disagree_are_noticed() -> None:
    """A torque constant per peak ampere written as per rms ampere is sqrt(2) too small."""

    def change(winding: Winding) -> Winding:
        assert winding.torque_constant is not None
        less = winding.torque_constant.value / 2**0.5
        return replace(
            winding,
            torque_constant=replace(winding.torque_constant, value=less),
        )

    findings = check_motor(with_winding(one_motor(), change))
    assert [finding.code for finding in findings] == ["constants_disagree"]
    assert "winding 18 V" in str(findings[0].text)


def test_turns_that_do_not_fit_are_noticed() -> None:
    motor = with_winding(one_motor(), lambda winding: replace(winding, turns_per_coil=30))
    assert codes(motor) == ["resistance_uneven", "inductance_uneven"]


def test_an_inductance_of_another_unit_is_noticed() -> None:
    def change(winding: Winding) -> Winding:
        return replace(winding, inductance=replace(winding.inductance, value=1e3 * winding.inductance.value))

    assert codes(with_winding(one_motor(), change)) == ["inductance_uneven"]


def test_a_delta_counts_as_the_star_it_equals() -> None:
    """Turns over sqrt(3): without it the frame's delta winding would stand out three times."""
    motor = load_demo_parts().motor("31 mm frame")
    assert [winding.connection for winding in motor.windings].count("delta") == 1
    as_star = tuple(replace(winding, connection="star") for winding in motor.windings)
    assert codes(motor) == []
    assert codes(replace(motor, windings=as_star)) == ["resistance_uneven", "inductance_uneven"]


def test_a_winding_without_any_constant_is_named() -> None:
    def change(winding: Winding) -> Winding:
        return replace(winding, torque_constant=None, back_emf_constant=None, speed_constant=None)

    findings = check_motor(with_winding(one_motor(), change))
    assert [finding.code for finding in findings] == ["constants_unusable"]
    assert findings[0].severity == "serious"
    assert "winding 18 V" in str(findings[0].text)


@pytest.mark.parametrize(
    ("change", "code"),
    [
        (lambda m: replace(m, magnet_limit=None), "magnet_limit_missing"),
        (lambda m: replace(m, thermal_class=None), "winding_limit_missing"),
        (lambda m: replace(m, windings=()), "no_winding"),
        (lambda m: replace(m, variants=()), "no_variant"),
        (lambda m: with_heat(m, continuous_point=None), "continuous_point_missing"),
        (lambda m: with_heat(m, winding_time_constant=900.0), "time_constants_swapped"),
        (lambda m: with_heat(m, motor_time_constant=45.0), "housing_without_capacity"),
        (lambda m: with_heat(m, housing_ambient_resistance=0.01), "heat_figure_implausible"),
        (lambda m: with_figures(m, housing_ambient_resistance=0.01), "heat_figure_implausible"),
        (
            lambda m: with_figures(m, winding_time_constant=900.0, motor_time_constant=300.0),
            "time_constants_swapped",
        ),
        (
            lambda m: with_figures(m, winding_time_constant=50.0, motor_time_constant=60.0),
            "housing_without_capacity",
        ),
        (lambda m: replace(m, hall_limit=90.0), "hall_limit_low"),
        (
            lambda m: with_winding(m, lambda w: replace(w, second_demagnetisation_current=1.0)),
            "demagnetisation_falls_when_cold",
        ),
        (
            lambda m: with_winding(m, lambda w: replace(w, saturated_torque=1.0)),
            "saturation_point_impossible",
        ),
        (lambda m: with_winding(m, lambda w: replace(w, linear_current=None)), "saturation_point_incomplete"),
        (lambda m: with_variant(m, lambda v: replace(v, heat=None)), "heat_missing"),
        (lambda m: with_variant(m, lambda v: replace(v, no_load=())), "drag_missing"),
        (
            lambda m: with_variant(m, lambda v: replace(v, length_with_fittings=0.01)),
            "length_with_fittings_short",
        ),
        (lambda m: with_variant(m, lambda v: replace(v, rotor_inertia=7.6e-3)), "rotor_inertia_implausible"),
        (lambda m: with_variant(m, lambda v: replace(v, rotor_inertia=0.0)), "rotor_inertia_implausible"),
    ],
)  # fmt: skip
def test_one_fault_gives_its_finding(change: Callable[[Motor], Motor], code: str) -> None:
    findings = check_motor(change(one_motor()))
    assert code in [finding.code for finding in findings]
    assert all("38 mm frame" in str(finding.text) for finding in findings)


def test_a_drag_that_falls_with_speed_is_noticed() -> None:
    motor = load_demo_parts().motor("47 mm frame")

    def change(variant: Variant) -> Variant:
        slow, middle, fast = variant.no_load
        return replace(variant, no_load=(slow, replace(middle, drag_torque=0.1), fast))

    findings = check_motor(with_variant(motor, change))
    assert [finding.code for finding in findings] == ["drag_falls"]
    assert "open rotor" in str(findings[0].text)


def test_resistances_at_two_temperatures_are_compared_at_one() -> None:
    """20 degC against 25 degC is 2 % of resistance; 100 degC is 29 %: neither may stand out."""
    motor = load_demo_parts().motor("73 mm frame")
    cold, _ = winding_constants(motor, motor.windings[0])

    def change(winding: Winding) -> Winding:
        warm = winding.resistance.value * (235.0 + 100.0) / (235.0 + 25.0)
        return replace(winding, resistance=replace(winding.resistance, value=warm, temp=100.0))

    changed = with_winding(motor, change, 0)
    warm, _ = winding_constants(changed, changed.windings[0])
    assert warm.resistance > 1.2 * cold.resistance
    assert codes(changed) == []


# --- electronics, feedback, brakes, transmissions --------------------------------------------------


def one_of_each(**changes: Any) -> PartsFile:
    """Return the demo parts with a change to the first of a list."""
    parts = load_demo_parts()
    changed = {name: (change(getattr(parts, name)[0]),) for name, change in changes.items()}
    return replace(parts, motors=(), **changed)


@pytest.mark.parametrize(
    ("name", "change", "code"),
    [
        ("drives", lambda d: replace(d, peak_current=1.0), "peak_below_continuous"),
        ("drives", lambda d: replace(d, trip_voltage=25.0), "trip_below_supply"),
        ("drives", lambda d: replace(d, pwm_frequency=50.0), "pwm_frequency_implausible"),
        ("drives", lambda d: replace(d, bus_capacitance=470.0), "bus_capacitance_implausible"),
        ("drives", lambda d: replace(d, commutations=(), feedback_kinds=("sensorless",)), None),
        ("feedback", lambda f: replace(f, edge_error=4.0), "edge_error_implausible"),
        ("brakes", lambda b: replace(b, engage_delay=12.0), "brake_delay_implausible"),
        ("brakes", lambda b: replace(b, inertia=3e-3), "brake_inertia_implausible"),
        ("transmissions", lambda t: replace(t, ratio=4.5), "ratio_not_available"),
        ("transmissions", lambda t: replace(t, intermittent_torque=1.0), "gear_torques_swapped"),
        (
            "transmissions",
            lambda t: replace(t, back_driving_efficiency=0.99),
            "back_driving_above_driving",
        ),
    ],
)  # fmt: skip
def test_a_fault_of_what_goes_with_a_motor_is_named(
    name: str, change: Callable[[Any], Any], code: str | None
) -> None:
    parts = one_of_each(**{name: change})
    findings = check_parts(parts)
    assert [finding.code for finding in findings] == ([] if code is None else [code])
    assert all(getattr(parts, name)[0].name in str(finding.text) for finding in findings)


def test_an_encoder_whose_signal_is_too_fast_for_its_own_speed_is_noticed() -> None:
    parts = load_demo_parts()
    encoder = next(device for device in parts.feedback if isinstance(device, Encoder))
    # 4096 counts are 1024 periods: 12000 rpm give 204.8 kHz
    changed = replace(parts, motors=(), feedback=(replace(encoder, largest_signal_frequency=204.7e3),))
    assert [finding.code for finding in check_parts(changed)] == ["encoder_speed_beyond_signal"]
    kept = replace(parts, motors=(), feedback=(replace(encoder, largest_signal_frequency=204.9e3),))
    assert check_parts(kept) == ()
