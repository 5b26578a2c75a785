"""Spares: pieces without a sign that can be used for one. The domain decides which piece goes to which part."""

from __future__ import annotations

from ..domain.pieces import CUTTABLE, Piece
from .db import Connection
from .pieces import many
from .sql import read_pairs, scalar_or_none


def spares(db: Connection, stock: int | None = None) -> list[tuple[int, Piece]]:
    """Return the usable pieces that are for no part: (family, piece). With `stock` only those of that stock."""
    usable = f"""(p.state IN ('cut', 'ready') OR (p.state = 'nested' AND sh.state IN {CUTTABLE}))
                 AND a.part IS NULL AND (?1 IS NULL OR p.stock = ?1)"""
    unused = many(db, f"WHERE {usable} ORDER BY p.id", stock)
    families = read_pairs(
        db,
        f"""SELECT p.id, o.family FROM piece p JOIN outline o ON o.id = p.outline LEFT JOIN sheet sh ON sh.id = p.sheet
            LEFT JOIN assignment a ON a.piece = p.id AND a.ended_at IS NULL WHERE {usable}""",
        (stock,),
    )
    return [(families[piece.id], piece) for piece in unused]


def was_for(db: Connection, piece: int) -> str:
    """Return the sign that a spare was cut for, 'J-1042 A'; '' where it never was for one."""
    sign = scalar_or_none(
        db,
        str,
        """SELECT j.number || ' ' || s.mark AS sign FROM assignment a JOIN part pt ON pt.id = a.part
           JOIN sign s ON s.id = pt.sign JOIN job j ON j.id = s.job WHERE a.piece = ? ORDER BY a.id DESC LIMIT 1""",
        (piece,),
    )
    return sign or ""
