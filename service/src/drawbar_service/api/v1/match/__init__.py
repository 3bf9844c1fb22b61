"""Match: tractor, implement, soil, speed."""
