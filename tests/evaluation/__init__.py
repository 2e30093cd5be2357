"""Designs with known truth, and how well passes and pieces are found in them.

Terms: a *situation* is one way in which designs are made in the trade; an *author* is a set of stitching
habits (lengths, densities, ties, laps, starts); a *case* is one situation stitched by one author and
read back from one format; the *truth* is what the author meant: regions, and the role of every stitch.

The stitching here shares nothing with the finder: it knows the designer's curve and sews it. Run
``python -m tests.evaluation --part development`` to see where the finder stands.
"""
