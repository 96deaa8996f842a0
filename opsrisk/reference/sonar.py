"""Absorption of sound in water as published, and what teams commonly say of imaging sonars."""

from datetime import date

from opsrisk.reference import sources
from opsrisk.reference.value import Published

CHECKED = date(2026, 11, 25)


def _absorption(value: str, unit: str, note: str) -> Published:
    return Published(
        value, unit, source=sources.ABSORPTION_SHORT, where="the formula", checked=CHECKED, status="read",
        note=f"{note}; read in public transcriptions that cite the paper, which was not seen",
    )  # fmt: skip


# dB/km = boric acid + magnesium sulphate + water, f in kHz, t in C, s salinity, z in km
BORIC = _absorption("0.106", "", "times f1 f^2 / (f1^2 + f^2) exp((pH - 8) / 0.56)")
BORIC_PH = _absorption("0.56", "", "in the exponent")
BORIC_FREQUENCY = _absorption("0.78", "kHz", "f1, times sqrt(s / 35) exp(t / 26)")
BORIC_FREQUENCY_WARMTH = _absorption("26", "", "in f1")
SULPHATE = _absorption("0.52", "", "times (1 + t / 43) (s / 35) f2 f^2 / (f2^2 + f^2) exp(-z / 6)")
SULPHATE_WARMTH = _absorption("43", "", "in the sulphate term")
SULPHATE_DEPTH = _absorption("6", "", "in the sulphate term, km")
SULPHATE_FREQUENCY = _absorption("42", "kHz", "f2, times exp(t / 17)")
SULPHATE_FREQUENCY_WARMTH = _absorption("17", "", "in f2")
WATER = _absorption("0.00049", "", "times f^2 exp(-(t / 27 + z / 17))")
WATER_WARMTH = _absorption("27", "", "in the water term")
WATER_DEPTH = _absorption("17", "", "in the water term, km; another transcription has lost the 17")


def _practice(value: str, unit: str, note: str) -> Published:
    return Published(
        value, unit, source=sources.COMMON_PRACTICE, where="imaging sonar", checked=None, status="memory", note=note
    )


OVERVIEW_FREQUENCY = _practice("1200", "kHz", "the lower mode, for overview")
FINGER_WIDTH_LOW = _practice("1", "cm", "detail that good close work tells apart at CLOSE_WORK_RANGE")
FINGER_WIDTH_HIGH = _practice("2", "cm", "detail that good close work tells apart at CLOSE_WORK_RANGE")
CLOSE_WORK_RANGE = _practice("30", "ft", "range of good close work in the higher mode")
LENGTH_ERROR_PERCENT = _practice("10", "", "percent: how good a length read off the picture is")
