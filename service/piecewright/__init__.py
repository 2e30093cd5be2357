"""Piecewright, the unattended cutting room for machine appliqué."""
