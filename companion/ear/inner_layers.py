"""Lets the encoder's file give more than its last states: those after its inner layers, which hold more of the sound.

A file of onnxruntime's own format is a flatbuffer (https://flatbuffers.dev): tables of offsets that point further on in
the file. The names of what the network gives are one list of it. A longer list is put at the end of the file, and the
offset is made to point there; nothing else changes, and nothing is written to disk.
"""

from __future__ import annotations

import struct
from collections.abc import Sequence

from flatbuffers.table import Table

# Where these fields stand in the tables of the format, from its schema (ort.fbs in onnxruntime's source).
_MODEL_OF_SESSION, _GRAPH_OF_MODEL, _OUTPUTS_OF_GRAPH = 6, 18, 16
_OFFSET = 4  # bytes


def giving(file: bytes, outputs: Sequence[str]) -> bytes:
    """The same network with these values, each of which it must know by name, as what it gives."""
    session = Table(file, _number(file, 0))
    model = _inside(session, _MODEL_OF_SESSION)
    graph = _inside(model, _GRAPH_OF_MODEL)
    pointer = graph.Pos + graph.Offset(_OUTPUTS_OF_GRAPH)
    changed = bytearray(file) + bytes(-len(file) % _OFFSET)
    _point(changed, pointer)
    changed += struct.pack("<I", len(outputs))
    first = len(changed)
    changed += bytes(_OFFSET * len(outputs))
    for place, name in enumerate(outputs):
        _point(changed, first + _OFFSET * place)
        text = name.encode()
        changed += struct.pack("<I", len(text)) + text + bytes(_OFFSET - len(text) % _OFFSET)
    return bytes(changed)


def _inside(table: Table, field: int) -> Table:
    return Table(table.Bytes, table.Indirect(table.Pos + table.Offset(field)))


def _number(file: bytes | bytearray, at: int) -> int:
    return int(struct.unpack_from("<I", file, at)[0])


def _point(file: bytearray, pointer: int) -> None:
    """Let an offset point to the end of the file."""
    struct.pack_into("<I", file, pointer, len(file) - pointer)
