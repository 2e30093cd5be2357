"""A second evaluation, by other hands: designs as commercial and hobby digitizers make them.

Nothing here is shared with the other parts but the values that are scored. Terms: a *hand* is the
habits of somebody who digitizes; a *bench* is where one design is made; a *mishap* is what an export
or a shop makes of it. The *open* half may be worked on. The *sealed* half has other situations,
shapes and habits and is only scored: its command prints totals, never a single design.
"""
