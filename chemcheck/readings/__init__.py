"""Readings as intervals."""

from chemcheck.readings.record import Coded, FileRead, ReadingColumn, Readings

__all__ = ["Coded", "FileRead", "ReadingColumn", "Readings"]
