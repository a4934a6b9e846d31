"""Spores under the microscope: calibration, detection, statistics. The desk shows, a person decides."""
