"""What every figure is, in the words a racer gets when asking: formula, source, and what it is good for.

docs/figures.md says the same at length; constants stand in figures and are not repeated here.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Explained:
    """One figure: its name on screen, how it is worked out, where that comes from, what it tells."""

    name: str
    formula: str
    source: str
    good_for: str


EXPLAINED = (
    Explained(
        "power at load",
        "Shaft power (V - i·R)·(i - I0) at the working current, or at the working speed where gearing is capped; in "
        "percent of the mean of the motors compared.",
        "Three-constant motor model (Drela, First-Order DC Electric Motor Model, MIT, 2007).",
        "The score: what the car gets. KV, current and resistance are in it already.",
    ),
    Explained(
        "chance of being best",
        "Every figure of every motor is drawn, thousands of times, from what it may be after all runs; what the bench "
        "cannot see is drawn too. This is how often the motor comes out on top.",
        "What is believed before the first run is ours; it stands in docs/figures.md, 3.",
        "How sure the ranking is. 50 in 100 of two motors is a coin toss.",
    ),
    Explained(
        "side by side",
        "As the ranking, drawn thousands of times: one motor less the other, the range of nine in ten, and how often "
        "the better one is better. From 90 in 100 on a difference is called real, from 70 on the likelier motor is "
        "named.",
        "What is believed before the first run is ours; it stands in docs/figures.md, 3.",
        "Whether a difference is more than luck. What both share, the mood of an evening, takes no part in it.",
    ),
    Explained(
        "KV",
        "Speed ÷ voltage without load, brought to 25 °C and to equal timing where that can be done for all.",
        "Definition; the warmth follows from magnets losing flux (IEC 60404-8-1), its slope is learned.",
        "Pace where rollout is capped. Alone it says little where gearing is free.",
    ),
    Explained(
        "no-load current",
        "Current while spinning free, at the test voltage, brought to equal timing.",
        "Read off the tester.",
        "Drag of bearings, iron and timing. Rising at equal timing and equal KV: look at the bearings.",
    ),
    Explained(
        "motor model",
        "Speed = Kv·(V - i·R), torque = (i - I0)/Kv, power = torque times speed. KV no-load is speed ÷ voltage "
        "spinning free; by back-EMF the drop in the winding is put back; under load it is what a load log saw.",
        "Three-constant motor model (Drela, First-Order DC Electric Motor Model, MIT, 2007).",
        "What gearing asks of a motor: where it works, how much is left above, how much of it heats.",
    ),
    Explained(
        "speed per amp",
        "KV ÷ no-load current, its uncertainty from both.",
        "Common practice; uncertainty by JCGM 100:2008 (GUM), 5.1 to 5.2.",
        "A glance at the bench, without load. It is not the score.",
    ),
    Explained(
        "winding resistance",
        "Phase to phase, brought to 20 °C: R ÷ (1 + 0.00393·(T - 20)).",
        "Copper, IEC 60028.",
        "Power at load where gearing is free: no other figure tells more. Measure it cold. Shown is the best guess: "
        "what was read, drawn towards its class while readings are few. Runs shows each as it was read.",
    ),
    Explained(
        "sensor spread",
        "Largest minus smallest of the three sensor timings.",
        "Definition.",
        "A board that sits askew: rough commutation. A change means that the board moved.",
    ),
    Explained(
        "pole imbalance, Hall level spread",
        "As the tester states them.",
        "The tester; compared within one tester only.",
        "Unevenness of the rotor and of the sensors' signals. No weight unless you give it one.",
    ),
    Explained(
        "± and nine in ten",
        "The 5 and 95 % points of what the figure may be, given all runs.",
        "The model of docs/figures.md, 2; Student's t where one motor stands alone.",
        "Two motors whose bars overlap much cannot be told apart yet.",
    ),
    Explained(
        "runs to settle",
        "The least number of further runs of both leaders after which the verdict is clear at least half the time, "
        "worked out by simulating those runs.",
        "Textbook decision theory, docs/figures.md, 3.",
        "Whether another evening at the bench pays.",
    ),
    Explained(
        "what to test next",
        "The test within your time whose readings, simulated, raise the highest chance most a minute.",
        "Textbook decision theory, docs/figures.md, 3.",
        "Half an hour at the bench. Clips off and on: a winding read again without tells next to nothing.",
    ),
    Explained(
        "worth of a part",
        "What a part adds to a figure beside the average part of its kind. Only the rotor has the magnets, only the "
        "stator the winding, only the end bell the sensors: so what motors differ by is shared out beforehand, and "
        "anew as parts are moved and tested.",
        "The same model with parts in place of motors; the shares are ours, docs/figures.md, 2b.",
        "Which part is worth keeping. It is wide for parts that were never moved: only a swap tells them apart.",
    ),
    Explained(
        "builds, tested or not",
        "Every build the class sheet allows is scored as the ranking scores motors: its parts' worths and what is the "
        "build's own, which no part explains. Most even: sensor spread and pole imbalance together, in margins.",
        "The same model; the next swap by knowledge gradient (Frazier, Powell, Dayanik 2008), a minute.",
        "Which swap to try next, and beside what: alone on another evening a build tells next to nothing.",
    ),
    Explained(
        "rollout",
        "π × tyre diameter ÷ (spur ÷ pinion × internal ratio): how far the car goes in one turn of the motor.",
        "Definition.",
        "Compares gearing, worn tyres included; teeth alone do not. Longer is faster and hotter.",
    ),
    Explained(
        "comes in at, half of them, nine in ten",
        "The can one minute after the finish: ambient, and a rise learned from your readings by motor, event, rollout, "
        "timing and length.",
        "Newton's law of cooling and lumped heating; what is believed beforehand is ours, docs/figures.md.",
        "Gearing before it costs a motor. A tight bearing or a stopped fan it does not know.",
    ),
    Explained(
        "now, cool by",
        "The can's warmth over ambient fades, fast at first and then slowly; how, second readings tell. Cool is "
        "within 3 °C of ambient, and nine motors in ten are by the time shown.",
        "Cooling of two bodies; how it is learned stands in docs/figures.md.",
        "When a motor may run again. An estimate: read a can before you touch it.",
    ),
    Explained(
        "pace",
        "The better half of a run's laps against what its day gave the mean motor at that hour and rollout; s a lap.",
        "Runs of one race day held against each other; what is believed beforehand is ours, docs/figures.md.",
        "Below 0 is faster. Runs of different days are never compared.",
    ),
    Explained(
        "bench and track",
        "Skill: how much smaller the error inside an event left out of the line through all others, than that of its "
        "mean. Luck: motors' figures change places, all figures tried counted.",
        "Leave one out; permutation by whole motors (Westfall & Young, 1993).",
        "Which bench figure to trust for the main. No skill means anything before luck is ruled out.",
    ),
    Explained(
        "clips left on, clamped anew",
        "What one reading usually scatters by (σ: two of three lie within it), pooled over repeats; beside it, what is "
        "added when the clips come off and on, as from one session to the next.",
        "ISO 5725-6; restricted likelihood.",
        "Two runs differ by up to 2.8 times that by luck; more runs with the clips left on mend only the first.",
    ),
)
