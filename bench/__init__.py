"""Speed, measured: `make bench` prints every figure as a ratio against a peer measured in the same run."""
