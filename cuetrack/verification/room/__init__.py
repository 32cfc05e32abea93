"""Checking a track in its room, by a recording made where people sit."""

from cuetrack.verification.room.check import check_room
from cuetrack.verification.room.report import RoomReport, room_lines, to_json

__all__ = ["RoomReport", "check_room", "room_lines", "to_json"]
