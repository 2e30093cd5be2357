"""The shell: folders, processes, clocks and logs around the pure core."""
