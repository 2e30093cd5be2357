"""The accuracy of cut outlines on analytic shapes, beside plain polygon offsetting, in one command.

    python -m tests.benchmarks.outline_accuracy [--noise MM] [--quick] [--json]

Each shape is stitched at 1.5, 2.5 and 3.5 mm from several starts, rounded to 0.1 mm, outlined with
offsets of 0 and 1.5 mm and compared with the analytic outline moved by the same offset. Shapes that
bend with a radius under 1.2 stitch lengths are left out, as needle points cannot tell these from
corners.
"""
