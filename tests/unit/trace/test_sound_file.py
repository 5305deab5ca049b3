"""Recordings of every kind are read; what cannot be heard is refused in one sentence."""

import struct

import numpy as np
import pytest
import soundfile

from steadyhead.trace.heard import heard_trace, listened
from steadyhead.trace.sound_file import opened
from steadyhead.words.errors import InputError
from tests.heard_rotor import lines_of_rotor, written
from tests.naive.rotor_sound import ROTORS, made

ROTOR = ROTORS[0]


@pytest.fixture(scope="module")
def given():
    return made("modes", rotor=ROTOR, blades_on=False, snr_db=12.0, seconds=3.0, rate_hz=24000, seed=77)


def median_error(path, given):
    heard = listened(path, lines_of_rotor(ROTOR), ROTOR.top_rpm)
    claimed = heard.claimed
    assert claimed.mean() > 0.5
    truth = np.interp(heard.frames.time_s, given.time_s, given.head_rpm)
    return float(np.median(np.abs(heard.frames.head_speed_rpm[claimed] / truth[claimed] - 1.0))), heard


@pytest.mark.parametrize(
    ("name", "subtype"),
    [("a.wav", "PCM_U8"), ("a.wav", "PCM_24"), ("a.wav", "DOUBLE"), ("a.flac", None), ("a.ogg", "VORBIS")],
)
def test_every_kind_of_file_is_heard(given, tmp_path, name, subtype):
    error, _ = median_error(written(given, tmp_path / name, subtype), given)
    assert error < 0.001


@pytest.mark.parametrize("rate_hz", [8000, 11025, 96000, 192000])
def test_every_rate_is_heard(tmp_path, rate_hz):
    given = made("modes", rotor=ROTOR, blades_on=True, snr_db=12.0, seconds=3.0, rate_hz=rate_hz, seed=78)
    error, heard = median_error(written(given, tmp_path / "a.wav"), given)
    assert error < 0.002
    assert heard.rate_hz == rate_hz


def test_a_speed_in_the_second_channel_is_not_heard_as_sound(given, tmp_path):
    tacho = np.interp(np.arange(given.sound.size) / given.rate_hz, given.time_s, given.head_rpm) / 4000.0
    soundfile.write(tmp_path / "a.wav", np.stack([given.sound, tacho], axis=1), given.rate_hz)
    error, heard = median_error(tmp_path / "a.wav", given)
    assert error < 0.001
    assert any("channel 2 holds no sound" in warning for warning in heard.warnings)


def test_a_copy_turned_over_is_heard_once(given, tmp_path):
    soundfile.write(tmp_path / "a.wav", np.stack([given.sound, -given.sound], axis=1), given.rate_hz)
    error, heard = median_error(tmp_path / "a.wav", given)
    assert error < 0.001
    assert any("channel 2 is a copy of channel 1" in warning for warning in heard.warnings)


def test_six_channels_are_heard(given, tmp_path):
    soundfile.write(tmp_path / "a.wav", np.stack([given.sound] * 6, axis=1), given.rate_hz)
    assert median_error(tmp_path / "a.wav", given)[0] < 0.001


def test_samples_that_are_no_numbers_are_silence_and_said(given, tmp_path):
    sound = given.sound.astype(np.float32)
    sound[1000:1100], sound[2000] = np.nan, np.inf
    soundfile.write(tmp_path / "a.wav", sound, given.rate_hz, subtype="FLOAT")
    error, heard = median_error(tmp_path / "a.wav", given)
    assert error < 0.001
    assert any("101 samples are no numbers" in warning for warning in heard.warnings)


def test_a_recording_that_breaks_off_is_read_and_said(given, tmp_path):
    whole = written(given, tmp_path / "a.wav").read_bytes()
    (tmp_path / "a.wav").write_bytes(whole[: len(whole) // 2])
    _, heard = median_error(tmp_path / "a.wav", given)
    assert any("the header promises" in warning for warning in heard.warnings)
    assert 1.3 < heard.duration_s < 1.6


@pytest.mark.parametrize(("share", "chunk", "told"), [(0.5, b"", True), (1.0, b"LIST", False), (1.0, b"", False)])
def test_samples_behind_those_that_the_header_promises_are_said(tmp_path, share, chunk, told):
    body = (1000.0 * np.sin(np.arange(22050))).astype("<i2").tobytes()
    behind = chunk + struct.pack("<I", 8000) + bytes(8000) if chunk else b""
    head = struct.pack("<4sI4s4sIHHIIHH", b"RIFF", 36 + len(body), b"WAVE", b"fmt ", 16, 1, 1, 22050, 44100, 2, 16)
    promised = struct.pack("<4sI", b"data", int(share * len(body)))
    (tmp_path / "a.wav").write_bytes(head + promised + body + behind)
    with opened(tmp_path / "a.wav") as recording:
        assert any("stand behind them that were not heard" in said for said in recording.warnings) is told


def test_a_header_that_promises_gigabytes_reserves_none(tmp_path):
    body = np.zeros(11025, np.int16).tobytes()
    head = struct.pack(
        "<4sI4s4sIHHIIHH4sI",
        b"RIFF",
        1_800_000_036,
        b"WAVE",
        b"fmt ",
        16,
        1,
        1,
        22050,
        44100,
        2,
        16,
        b"data",
        1_800_000_000,
    )
    (tmp_path / "a.wav").write_bytes(head + body)
    with opened(tmp_path / "a.wav") as recording:
        assert recording.count == 11025
        assert "promises 1800000000 bytes" in recording.warnings[0]


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "an empty file"),
        (b"time_s,rpm\n0,1\n", "bytes that are no sound"),
        (b"PK\x03\x04" + bytes(60), "a zip archive"),
        (b"RIFF\x00\x00\x00\x00WAVE" + bytes(20), "a WAV file with a broken header"),
        (bytes(range(256)) * 8, "bytes that are no sound"),
    ],
)
def test_what_is_no_sound_is_refused_in_one_sentence(tmp_path, content, says):
    (tmp_path / "a.wav").write_bytes(content)
    with pytest.raises(InputError, match=says) as caught, opened(tmp_path / "a.wav"):
        pass
    assert str(caught.value).startswith("a.wav: read ")
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    ("rate_hz", "seconds", "says"), [(1, 600.0, "a sample rate of 1 Hz"), (22050, 0.2, "0.2 s of sound")]
)
def test_a_rate_that_carries_no_line_and_a_moment_are_refused(tmp_path, rate_hz, seconds, says):
    soundfile.write(tmp_path / "a.wav", np.zeros(int(rate_hz * seconds)), rate_hz)
    with pytest.raises(InputError, match=says), opened(tmp_path / "a.wav"):
        pass


def test_only_noise_that_is_no_number_is_refused(tmp_path):
    soundfile.write(tmp_path / "a.wav", np.full(22050, np.nan, np.float32), 22050, subtype="FLOAT")
    with pytest.raises(InputError, match="no numbers"):
        listened(tmp_path / "a.wav", lines_of_rotor(ROTOR), ROTOR.top_rpm)


@pytest.mark.parametrize("kind", ["folder", "nothing"])
def test_a_folder_and_nothing_are_refused(tmp_path, kind):
    with pytest.raises(InputError, match="a folder" if kind == "folder" else "no such file"):
        listened(tmp_path if kind == "folder" else tmp_path / "b.wav", lines_of_rotor(ROTOR), ROTOR.top_rpm)


def test_a_rise_first_heard_under_way_began_at_rest(tmp_path):
    given = made("spool", rotor=ROTOR, blades_on=False, snr_db=12.0, seconds=8.0, rate_hz=24000, seed=6)
    trace = heard_trace(listened(written(given, tmp_path / "a.wav"), lines_of_rotor(ROTOR), ROTOR.top_rpm))
    speed = trace.channels["head_speed_rpm"]
    start_s = float(trace.time_s[np.flatnonzero(speed > 1.0)[0]])
    true_start_s = float(given.time_s[np.flatnonzero(given.head_rpm > 1.0)[0]])
    assert abs(start_s - true_start_s) < 0.3
    assert any("taken as a start from rest" in step for step in trace.history)


def test_a_packed_recording_with_holes_says_nothing_on_the_terminal(tmp_path, capfd):
    rng = np.random.default_rng(1)
    path = tmp_path / "holes.mp3"
    wave = 0.3 * np.sin(np.arange(44_100 * 20) * 0.05) + 0.05 * rng.standard_normal(44_100 * 20)
    with path.open("wb") as file:
        soundfile.write(file, wave, 44_100, format="MP3")
    data = bytearray(path.read_bytes())
    for at in (len(data) // 3, len(data) * 3 // 4):
        data[at : at + 3000] = rng.bytes(3000)
    path.write_bytes(data)
    with opened(path) as recording:
        read = sum(block.size for block in recording.blocks(1.0))
    assert 3 * 44_100 < read < 20 * 44_100
    assert "damaged or breaks off at" in recording.warnings[0]
    assert capfd.readouterr() == ("", "")


@pytest.mark.parametrize("channels", [1, 2])
def test_half_a_packed_recording_is_read_as_far_as_it_goes_with_a_warning(tmp_path, channels):
    given = made("hover", rotor=ROTOR, blades_on=False, snr_db=12.0, seconds=8.0, rate_hz=24000, seed=6)
    noise = 0.01 * np.random.default_rng(2).standard_normal(given.sound.size)
    sound = np.stack([given.sound, given.sound + noise][:channels], axis=1)
    soundfile.write(tmp_path / "a.flac", sound, 24000)
    whole = (tmp_path / "a.flac").read_bytes()
    (tmp_path / "half.flac").write_bytes(whole[: len(whole) // 2])
    heard = listened(tmp_path / "half.flac", lines_of_rotor(ROTOR), ROTOR.top_rpm)
    assert heard.is_heard
    assert 3.0 < heard.frames.time_s[-1] < 5.0
    assert heard.duration_s == pytest.approx(heard.frames.time_s[-1], abs=0.3), "what was read, not what was promised"
    assert any("breaks off at" in warning for warning in heard.warnings)
    (tmp_path / "none.flac").write_bytes(whole[:100])
    with pytest.raises(InputError, match="sound"):
        listened(tmp_path / "none.flac", lines_of_rotor(ROTOR), ROTOR.top_rpm)


def test_a_cut_ogg_is_told_from_a_whole_one(tmp_path):
    given = made("hover", rotor=ROTOR, blades_on=False, snr_db=12.0, seconds=8.0, rate_hz=24000, seed=6)
    soundfile.write(tmp_path / "a.ogg", given.sound, 24000)
    whole = (tmp_path / "a.ogg").read_bytes()
    (tmp_path / "half.ogg").write_bytes(whole[: len(whole) // 2])
    for name, warned in (("a.ogg", False), ("half.ogg", True)):
        heard = listened(tmp_path / name, lines_of_rotor(ROTOR), ROTOR.top_rpm)
        assert heard.is_heard
        assert any("before its last page" in warning for warning in heard.warnings) == warned


def test_a_header_that_promises_no_samples_before_many_is_told(given, tmp_path):
    path = written(given, tmp_path / "open.wav")
    data = bytearray(path.read_bytes())
    at = data.index(b"data") + 4
    data[at : at + 4] = bytes(4)
    path.write_bytes(data)
    with pytest.raises(InputError, match="stand behind them that were not heard"), opened(path):
        pass


def test_many_copies_and_many_loud_channels_are_one_warning_each(given, tmp_path):
    loud = np.clip(20.0 * given.sound, -1.0, 1.0)
    soundfile.write(tmp_path / "many.wav", np.repeat(loud[:, None], 20, axis=1), given.rate_hz)
    with opened(tmp_path / "many.wav") as recording:
        assert recording.channels == (0,)
        copies = [said for said in recording.warnings if "copies of channel 1" in said]
        assert len(copies) == 1
        assert copies[0].startswith("channels 2, 3, 4")
    noise = np.random.default_rng(2).standard_normal(loud.shape)
    two = np.stack([loud, np.clip(20.0 * noise, -1.0, 1.0)], axis=1)
    soundfile.write(tmp_path / "two.wav", two, given.rate_hz)
    with opened(tmp_path / "two.wav") as recording:
        list(recording.blocks(1.0))
        assert sum("full scale" in said for said in recording.warnings) == 1
