"""Headings in languages beyond the first seven: the usual columns are read, and what is no plain measurement is not."""

from pathlib import Path

import numpy as np
import pytest

from steadyhead.trace.reading import read_trace
from tests.unit.trace.flights import (
    CURRENT_A,
    DUTY,
    GEARING,
    HEAD_RPM,
    PLAIN,
    THROTTLE,
    TIME_S,
    USED_MAH,
    VOLTAGE_V,
    flight,
    heading_of,
)

CHANNELS = (
    "head_speed_rpm",
    "throttle_percent",
    "duty",
    "pack_voltage_v",
    "pack_current_a",
    "charge_used_mah",
    "controller_temperature_c",
    "motor_temperature_c",
)
WARM = 25.0 + TIME_S
VALUES = (HEAD_RPM, THROTTLE, DUTY, VOLTAGE_V, CURRENT_A, USED_MAH, WARM, WARM[::-1])
HEADINGS = {
    "Czech": "Čas (s);Otáčky hlavního rotoru (ot/min);Plyn (%);Střída (%);Napětí akumulátoru (V);Proud (A);"
    "Spotřeba (mAh);Teplota regulátoru (°C);Teplota motoru (°C)",
    "Finnish": "Aika (s);Pääroottorin nopeus (1/min);Kaasu (%);Pulssisuhde (%);Akun jännite (V);Akun virta (A);"
    "Kulutettu (mAh);Säätimen lämpötila (°C);Moottorin lämpötila (°C)",
    "Hungarian": "Idő (s);Forgószárny fordulat (1/perc);Gáz (%);Kitöltés (%);Akku feszültség (V);Akku áram (A);"
    "Fogyasztás (mAh);Szabályozó hőmérséklet (°C);Motor hőmérséklet (°C)",
    "Japanese": "時間 (s);メインローター回転数 (rpm);スロットル (%);デューティ比 (%);電池電圧 (V);電池電流 (A);"
    "消費電力量 (mAh);アンプ温度 (°C);モータ温度 (°C)",
    "Chinese": "时间 (s);旋翼转速 (转/分);油门 (%);占空比 (%);电池电压 (V);电池电流 (A);"
    "消耗容量 (mAh);电调温度 (°C);马达温度 (°C)",
    "Russian": "Время (с);Обороты несущего винта (об/мин);Газ (%);Заполнение ШИМ (%);Напряжение аккумулятора (В);"
    "Ток аккумулятора (А);Расход (мАч);Температура контроллера (°C);Температура мотора (°C)",
    "Swedish": "Tid (s);Huvudrotorvarvtal (varv/min);Gas (%);Pulskvot (%);Batterispänning (V);Ström (A);"
    "Förbrukat (mAh);Regulatortemperatur (°C);Motortemperatur (°C)",
    "Turkish": "Zaman (s);Ana rotor devri (dev/dak);Gaz (%);Doluluk oranı (%);Batarya gerilimi (V);Batarya akımı (A);"
    "Harcanan (mAh);Sürücü sıcaklığı (°C);Motor sıcaklığı (°C)",
    "short": "t (s);HS;THR%;PWM%;Ubat;Ibat;mAh;ESCT;MOTT",
}
ALL = tuple(PLAIN)


@pytest.mark.parametrize("language", HEADINGS)
def test_the_usual_columns_are_read(language: str, tmp_path: Path) -> None:
    time, *names = HEADINGS[language].split(";")
    columns = {time: TIME_S, **dict(zip(names, VALUES, strict=True))}
    trace = flight(tmp_path, first=columns, without=ALL)
    assert [heading_of(trace, channel) for channel in CHANNELS] == names
    assert trace.warnings == ()


@pytest.mark.parametrize(
    ("plain", "heading"),
    [
        ("head speed (rpm)", "Заданные обороты ротора (об/мин)"),
        ("head speed (rpm)", "Обороты хвостового винта (об/мин)"),
        ("head speed (rpm)", "Hedef rotor devri (dev/dak)"),
        ("head speed (rpm)", "Farkrotor fordulat (1/perc)"),
        ("head speed (rpm)", "Požadované otáčky rotoru (ot/min)"),
        ("head speed (rpm)", "尾桨转速 (rpm)"),
        ("head speed (rpm)", "目標回転数 (rpm)"),
        ("pack current (A)", "Макс. ток (А)"),
        ("pack current (A)", "Ortalama akım (A)"),
        ("pack current (A)", "最大电流 (A)"),
        ("pack voltage (V)", "Напряжение приемника (В)"),
        ("pack voltage (V)", "受信機電圧 (V)"),
        ("pack voltage (V)", "Raja-arvo jännite (V)"),
    ],
)
def test_what_is_no_plain_measurement_gives_no_channel(plain: str, heading: str, tmp_path: Path) -> None:
    values = {"head speed (rpm)": HEAD_RPM, "pack current (A)": CURRENT_A, "pack voltage (V)": VOLTAGE_V}[plain]
    trace = flight(tmp_path, instead={plain: {heading: values}})
    assert heading not in {column.heading for column in trace.columns}


def test_a_temperature_in_letters_beyond_ours_is_not_taken_for_a_bare_one(tmp_path: Path) -> None:
    trace = flight(tmp_path, last={"Температура двигателя (°C)": WARM})
    assert not trace.has("controller_temperature_c")
    assert heading_of(trace, "motor_temperature_c") == "Температура двигателя (°C)"


@pytest.mark.parametrize(
    ("highest", "offered"), [(70.0, "Xa=throttle_percent"), (18_000.0, "HEADING=throttle_percent")]
)
def test_a_column_is_offered_only_for_what_it_may_measure(highest: float, offered: str, tmp_path: Path) -> None:
    moving = np.linspace(0.0, highest, TIME_S.size)
    trace = flight(tmp_path, without=("throttle (%)",), last={"Xa": moving})
    assert any(f'--column "{offered}"' in word for word in trace.warnings)


def test_a_pulse_width_is_offered_for_the_throttle_channel(tmp_path: Path) -> None:
    trace = flight(tmp_path, without=("throttle (%)",), last={"CH3 (us)": 1000.0 + 10.0 * THROTTLE})
    assert any('--column "CH3 (us)=throttle_percent:us"' in word for word in trace.warnings)


def test_russian_words_in_their_old_encoding_are_read(tmp_path: Path) -> None:
    time, *names = HEADINGS["Russian"].split(";")
    flight(tmp_path, first={time: TIME_S, **dict(zip(names, VALUES, strict=True))}, without=ALL)
    path = tmp_path / "log.csv"
    path.write_bytes(path.read_text("utf-8").encode("cp1251"))
    trace = read_trace(path, gearing=GEARING, remember=False)
    assert [heading_of(trace, channel) for channel in CHANNELS] == names
