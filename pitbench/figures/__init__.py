"""Pure mathematics of motors on a bench: numbers and numpy arrays in, numbers and frozen dataclasses out; no I/O.

Closed forms: speed, timing, winding, losses, motor_model, uncertainty, warmth, quantiles. Statistics: mixed
(crossed factors), misfit, estimate (the engine). The ranking: criteria (its constants), conditions, comparison,
load_power, chances, foresight, ranking. The bench itself: tester (repeatability, control), repeats, sweep.
The track: gearing, laps, pace (day_curves), cooling, clock, heating (heat_cells, heat_fit), forecast,
spread.
Every formula has its source beside it and in docs/figures.md; none may stand anywhere else.
"""
