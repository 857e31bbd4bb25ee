"""Every number the planner was tuned by, and what was tuned on what.

Nothing here is a rule of the trade: changing any of it changes how fast a plan gets good or a proof gets
done, never what a plan may do. "Tuned" names the instances (`fixtures/instances`) on which nearby values were
tried; "from the paper" was taken over as published; "a guard" only keeps a bad case from taking all memory
or time. Named tuples, because compiled loops read them as constants.
"""

from typing import NamedTuple


class SearchParams(NamedTuple):
    """The large neighborhood search (`search/`). Shares are of 1, heat is a share of the best plan's cost."""

    # The way a step ruins the plan: one draw, these are the upper ends of the shares (tuned on fw-060-e
    # and -li, fw-100-f).
    exchange_runs: float = 0.04  # before a string removal, let two rigs alike change days
    remove_strings: float = 0.72
    remove_loads: float = 0.88
    remove_run: float = 0.94  # above it: a few orders from anywhere

    longest_string: int = 10  # stops; from the paper (Christiaens and Vanden Berghe 2020)
    split_string: float = 0.5  # chance that a string keeps stops in its midst; from the paper
    keep_no_more: float = 0.01  # from the paper
    most_kept: int = 3  # stops kept in a string's midst; a load has few stops anyway
    most_out: float = 10.0  # stops a step takes out on average; from the paper
    least_out: float = 3.0  # small days: fewer would never empty a load
    out_share: float = 0.25  # of the parts of a small day (tuned on fw-006 to fw-020)
    most_loads: int = 3  # whole loads a step takes out (tuned on fw-060)
    stops_beside_run: int = 5  # up to one less than this, out with a whole run

    left_out_tried: int = 24  # orders the plan leaves out that a step tries to bring (tuned on fw-200)
    # Twelve equal chances: by chance, biggest, farthest, nearest, dearest, tightest (see `repair`); after the
    # paper's 4 : 4 : 2 : 1, with prize and tightness added.
    sorts: tuple[int, ...] = (0, 0, 0, 0, 1, 1, 1, 2, 2, 3, 4, 5)
    blink: float = 0.02  # chance of passing over a run; from the paper 0.01, twice that with few runs
    sober: float = 0.9  # share of steps in which an order must pay for itself ...
    eager: float = 1.4  # ... and what it may cost of its worth in the others (tuned on fw-060, fw-200)
    move_loads: float = 0.3  # chance of trying other yards for the loads of a changed run
    yard_detour_s: int = 36_000  # a yard farther than the wage of this long is not tried

    runs_tried: int = 4  # for a part, while the estimate of its insertion proves too fair
    # Runs that share a truck or a driver are tried in every order up to so many (720 orders of 6 would cost
    # more than a step); more go by their times.
    most_permuted: int = 5

    hot: float = 0.01  # heat at the start (tuned on fw-060-e, fw-100-f at 10 s)
    cold: float = 0.0002  # and at the end
    warm: float = 0.3  # of the hot one, when the search goes on after a proof or a set partition

    # Where runs share a truck or a driver: rounds with one or two runs of the best plan closed (tuned on
    # fr-025-all).
    closed_steps: int = 60  # of a choice's first round, for each part; twice that in its second, and so on
    closed_from: float = 0.15  # share of a search's time at which the rounds begin ...
    closed_until: float = 0.85  # ... and end
    pool_rows_closed: int = 1 << 10

    pool_within: int = 50  # runs of plans within 1/50 of the best are kept for the set partition
    pool_rows: int = 1 << 15  # a guard: 32,768 runs
    pool_index: int = 1 << 17  # four slots of the hash table per row
    longest_pooled: int = 64  # tokens; a guard


SEARCH = SearchParams()


class ProofParams(NamedTuple):
    """The exact layer (`exact/`). Counts are guards of memory and time unless something else is said."""

    # What fits whole numbers of 64 bits: parts as bits, and two bits per part for its yard where wood is
    # short.
    coded_parts: int = 31
    coded_yards: int = 3
    most_parts: int = 40  # above it a proof never closed within a minute (fw-060)

    sequences: int = 150_000  # load sequences of one run
    neighbors_compared: int = 24  # in a dominance test; more removed hardly any (fw-020-li)
    labels: int = 300_000  # of one generation
    labels_by_steps: int = 60_000  # the same where only steps stop a plan
    quick_labels: int = 2_000  # to begin with: runs that pay are found long before pricing is complete
    more_labels: int = 8  # times as many when few are found
    pairs_per_label: int = 50
    pairs_at_once: int = 400_000  # of labels and loads held in memory
    runs: int = 60_000  # offered to CP-SAT
    turns: int = 60  # of column generation
    runs_per_turn: int = 150  # taken from one pricing (tuned on fw-015 and fw-020-li)
    few_runs: int = 10  # fewer found than this: price harder, or raise the caps

    # Prices of the heads of a run, by GLOP over the load sequences that bind.
    price_rounds: int = 12
    price_rows: int = 120
    price_slack: float = 50_000.0  # cost units, a seventieth of a cent
    hour_prices: tuple[float, ...] = (0.0, 0.5, 1.0, 2.0, 4.0)  # of the wage, tried on the first turn
    hour_step: float = 1.6  # and tried around the last best one later

    slack_units: float = 2000.0  # cost units left for rounding in GLOP: under a thousandth of a cent
    close_enough: float = 1e-6  # share of the cost at which bound and plan are one
    first_cap: float = 4.0  # prizes are capped at so many times the mean cost of an order ...
    cap_step: int = 3  # ... and raised so much where the master would leave the order out
    capped_share: float = 1e-6

    most_recombined: int = (
        4000  # runs offered to the set partition (tuned on fw-100: more took CP-SAT too long)
    )
    least_gap: float = 1e-5  # a smaller gap is not worth a set partition


PROOF = ProofParams()


class BoundParams(NamedTuple):
    """The bounds for weeks (`exact/load_bound`, `exact/run_bound`, `exact/run_pricing`)."""

    # By loads.
    bins: int = 72  # sizes of a load told apart: 72 divides by halves, thirds and quarters of a cord
    smooth: float = 0.5  # weight of the master's prices against the best ones yet (tuned on fw-100 at 10 s)
    unsmoothed_turn: int = 4  # every so many turns the master's own prices are asked, so that it may end
    new_loads: int = 60  # per yard, class and turn
    first_runs: int = 400  # runs of the search whose loads begin the master
    cap: float = 8.0  # prizes are capped at so many times the mean cost of an order: steadier prices
    few_runs: int = 20  # up to here runs of one rig on different dates are told apart
    most_columns: int = 5000  # a guard; half of them are kept then
    label_from: float = 0.02  # gap of master and bound from which only drivable loads are priced
    loads_of_stop: int = 4  # of those with the same first stop
    most_load_tails: int = 60_000  # a guard
    tight_enough: float = 2e-4  # share of the master's value at which the bound is as good as it gets
    slack_units: float = 1000.0  # cost units: a load must pay more than rounding
    turns: int = 300
    turns_by_steps: int = 30  # where only steps stop a plan

    # By whole runs (tuned on fw-030-d, fw-060-e, fw-060-li and fr-012-all, in seconds of one core).
    most_stops: int = 128  # two words of 64 bits
    remembered: int = 16  # parts a partial row remembers at each (ng-routes; 8 to 12 in the paper, for stops)
    rounding_units: float = 2000.0
    new_runs: int = 8  # per run, time to leave in, and turn
    step_s: int = 30  # time of day is rounded down to this where what may come before a load is looked up
    coarse_s: int = 300  # the same in what a run with a load left out costs at least
    below_s: float = 120.0  # loads are left out that lose more than so many seconds' wage ...
    least_below: float = 8.0  # ... and where they are too many, that gain less than so many times that
    most_tails: int = 800_000  # guards
    most_loads: int = 200_000
    most_rows: int = 120_000
    dominance_looks: int = 60  # at others of a list, before a tail is kept
    row_looks: int = 200  # the same for loads and rows
    first_share: float = 0.7  # of what a row may gain at most is asked for first ...
    next_share: float = 0.6  # ... less each time there is none ...
    least_share: float = 0.08  # ... until all that pay are
    wider_share: float = 0.2  # more at first in the next turn where rows were too many
    narrower_share: float = 0.9  # less than what was found where they were not
    first_columns: int = 2000
    radius: float = 0.03  # of the prices' box (Marsten, Hogan and Blankenship 1975)
    wider: float = 1.25
    narrower: float = 0.8
    reopened: float = 3.0  # where the box alone keeps the prices from going on
    widest: float = 0.6
    least_fraction: float = 0.02  # of an order left out from which plans are parted by whether they bring it
    run_turns: int = 400


BOUND = BoundParams()


class StageParams(NamedTuple):
    """When `solve` turns from one layer to the next. Shares are of the stop rule's seconds (or steps)."""

    chunk_seconds: float = 0.03  # between two looks at the clock: progress and cancel feel immediate
    chunk_steps: int = 50  # the same where only steps stop a plan
    thread_seed: int = 7919  # between the seeds of searches side by side; any prime

    # Small days: search, bound, proof, and the rest of the time search again.
    proof_at_seconds: float = 0.6  # the search is rarely bettered later (fw-006 to fw-020)
    proof_at_share: float = 0.05
    proof_at_most: float = 0.3
    proof_at_steps: float = 0.3
    steps_before_proof: int = 20_000  # a slow machine searches on until it has had so many ...
    latest_proof: float = 0.35  # ... but no longer than this
    proof_until: float = 0.85
    # Where runs share a truck, a proof of more parts never closed within a minute and the search still gains
    # (fr-025-all); on fw-030-d, which shares none, the proof's bound gains half a point.
    shared_parts: int = 30
    shared_proof_until: float = 0.5

    # Weeks: (parts at most, share) at which the search makes way for the bound (tuned on fw-030 to fw-200
    # at 10 s).
    bound_at: tuple[tuple[int, float], ...] = ((45, 0.45), (85, 0.45), (10**9, 0.65))
    shared_bound_at: float = 0.6  # where runs share a truck the search gains for longer (fr-060-all)
    bound_until: float = 0.9
    seconds_per_pair: float = (
        4e-4  # of parts: the bound by whole runs is not begun with less time (fw-060, fw-100)
    )
    polish_share: float = 0.4  # of what is left, for the set partition
    solver_effort: float = 60.0  # CP-SAT's own count of work, so that equal steps give equal plans


STAGES = StageParams()


class InsertionParams(NamedTuple):
    """What one more order adds to booked runs (`insertion`); bars: 150 ms against 18 booked runs."""

    exact_runs: int = 3  # cheapest runs that are also put in their best order
    sequences: int = 6_000  # load sequences and labels of one such run: about 12 stops
    labels: int = 2_000
    runs: int = 50  # tried in turn until one keeps to the stock
    few_parts: int = 6  # up to here a plain search is done before a bound is
    sure_cents: int = 10_000_000  # what leaving out a booked part would cost


INSERTION = InsertionParams()
