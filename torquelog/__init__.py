"""torquelog keeps the record of tightening on aircraft, offline, exact and signed."""

__version__ = "0.1.0"
