import pytest

from steadyhead.words.errors import InputError
from tests.unit.machine.sample import instead, machine


@pytest.mark.parametrize(
    ("more", "place", "right"),
    [
        (
            '[rotor]\nradius = "130 mm"\nblade_length = "100 mm"\nchord = "140 mm"\n',
            "line 15, rotor.chord",
            "less than the radius",
        ),
        ('[rotor]\nradius = "0.5 m"\nblade_length = "0.6 m"\n', "line 14, rotor.blade_length", "less than the radius"),
        ('[tail]\nradius = "40 mm"\nroot_cutout = "50 mm"\n', "line 14, tail.root_cutout", "less than the radius"),
        (
            '[rotor]\nradius = "0.2 m"\nblade_length = "0.18 m"\n[tail]\nradius = "0.3 m"\narm = "1 m"\n',
            "line 16, tail.radius",
            "less than the main rotor",
        ),
        ('[tail]\narm = "300 mm"\n', "line 13, tail.arm", "more than the main rotor's radius"),
        ('[rotor]\nradius = "125 mm"\n', "line 13, rotor.radius", "more than the tail rotor's radius"),
        (
            '[rotor]\ncollective_min = "4 deg"\ncollective_max = "3 deg"\n',
            "line 13, rotor.collective_min",
            "less than rotor.collective_max",
        ),
        ('[channel]\ncut_off = "30 %"\nstart = "20 %"\n', "line 13, channel.cut_off", "at most channel.start"),
        (
            '[channel]\npulse_low = "1900 us"\npulse_high = "1100 us"\n',
            "line 13, channel.pulse_low",
            "less than channel.pulse_high",
        ),
        ('[channel]\npulse_high = "900 us"\n', "line 13, channel.pulse_high", "more than channel.pulse_low"),
        ('[channel]\nlearned_low = "1.9 ms"\nlearned_high = "1.1 ms"\n', "line 13, channel.learned_low", "less than"),
        (
            '[controller]\ncurrent_continuous = "200 A"\ncurrent_burst = "160 A"\n',
            "line 13",
            "at most controller.current_burst",
        ),
        ("[limits]\nhover_duty_low = 0.9\n", "line 13, limits.hover_duty_low", "less than limits.hover_duty_high"),
        ('[limits]\nsoft_spool_high = "5 s"\n', "line 13, limits.soft_spool_high", "more than limits.soft_spool_low"),
        (
            '[governor]\nquick_spool = "20 s"\nsoft_spool = "10 s"\n',
            "line 13, governor.quick_spool",
            "at most governor.soft_spool",
        ),
        (
            '[[flight_mode]]\nname = "A"\nhead_speed = "2000 rpm"\n'
            '[[flight_mode]]\nname = "a"\nhead_speed = "1900 rpm"\n',
            "line 16, flight_mode.2.name",
            "a name of its own",
        ),
        (
            '[[pack_choice]]\nname = "A"\ncells = 6\ncapacity = "1 Ah"\n'
            '[[pack_choice]]\nname = "A"\ncells = 6\ncapacity = "2 Ah"\n',
            "line 17, pack_choice.2.name",
            "a name of its own",
        ),
        (
            '[rotor]\nblade_mass = "1.4 kg"\n[airframe]\nmass = "2.8 kg"\n',
            "line 13, rotor.blade_mass",
            "less for 2 blades",
        ),
        ('[airframe]\nmass = "0.25 kg"\n', "line 13, airframe.mass", "more than 2 blades alone"),
        (
            '[airframe]\nmass = "3 kg"\n[[pack_choice]]\nname = "A"\ncells = 6\ncapacity = "1 Ah"\nmass = "3.1 kg"\n',
            "line 18, pack_choice.1.mass",
            "less for the pack than the flying mass",
        ),
    ],
)
def test_two_keys_that_cannot_both_be_true_are_refused_at_the_one_the_owner_wrote(more, place, right):
    with pytest.raises(InputError) as caught:
        machine(more)
    assert place in caught.value.place
    assert right in str(caught.value)


def test_half_a_second_stage_is_refused():
    with pytest.raises(InputError, match=r"gears\.second_pinion_teeth: read .* both keys of the second stage"):
        machine(least=instead("[motor]", "second_pinion_teeth = 17\n[motor]"))


def test_a_second_stage_that_gears_up_is_refused():
    with pytest.raises(InputError, match="second_pinion_teeth: read 70; right would be fewer teeth"):
        machine(least=instead("[motor]", "second_pinion_teeth = 70\nsecond_gear_teeth = 68\n[motor]"))


def test_start_and_cut_off_may_be_the_same_value():
    assert machine('[channel]\ncut_off = "20 %"\nstart = "20 %"\n').value("channel.start").si == 0.2
