"""Published values, and what this program computes for each of them on this machine.

One table a file: its source and a status in every row. `seen`: read in print; `memory`: recalled
and not verified; `computed`: computed beforehand by another program. Where a printed or recalled
value is known to differ from an exact computation, the column `differs` says by how much.
"""
