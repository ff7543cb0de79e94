"""Solves explicit finite decision processes with quantecon.

Usage: explicit.py FOLDER. Reads FOLDER/cases.json and, for every case, the arrays beside it;
writes FOLDER/result.json.

quantecon refuses policy iteration without discounting (beta = 1), and a job is not discounted.
A process without cycles can be discounted without changing its values. Let every transition
lead from rank d to a higher rank d + k, and let W(s) = 2^d V(s) with d from the first state on.
V(s) = r + sum p V(s') is then W(s) = 2^d r + 1/2 sum p 2^(1-k) W(s'): the same process with
costs 2^d r, probabilities p 2^(1-k) and beta = 1/2; what is missing from 1 goes to an end of
value 0. All factors are powers of two, so nothing is rounded, and V = W in the first state.

A round of policy iteration settles at least one more rank, from the last to the first, so as many
rounds as there are ranks are enough; without that end, policies that cost the same but for
rounding may take turns for ever.

As a second witness the library's backward induction solves the process as it is, beta = 1.
"""

import json
import pathlib
import sys
import time
import warnings

import numpy as np
import scipy.sparse as sp
from quantecon.markov import DiscreteDP, backward_induction

REPEATS = 3


def arrays(folder, case):
    """The arrays of a case, by name."""
    kinds = {"ranks": "<u4", "from": "<u4", "costs": "<f8", "starts": "<u4", "to": "<u4",
             "chances": "<f8"}
    return {name: np.fromfile(folder / f"{case}.{name}", dtype=kind)
            for name, kind in kinds.items()}


def with_end(data, factor):
    """Rewards, transitions and indices with an end state that takes what is missing from 1.

    `factor`: by transition, what its probability is multiplied with.
    """
    states, steps = len(data["ranks"]), len(data["from"])
    starts, of = data["starts"].astype(np.int64), data["from"].astype(np.int64)
    step = np.repeat(np.arange(steps), np.diff(starts))
    chances = data["chances"] * factor
    missing = np.maximum(1.0 - np.bincount(step, weights=chances, minlength=steps), 0.0)
    ends = np.flatnonzero(missing > 0.0)
    rows = np.concatenate([step, ends, [steps]])
    columns = np.concatenate([data["to"].astype(np.int64), np.full(len(ends) + 1, states)])
    values = np.concatenate([chances, missing[ends], [1.0]])
    # Several outcomes may lead to one state: their probabilities are added here.
    transitions = sp.coo_matrix((values, (rows, columns)),
                                shape=(steps + 1, states + 1)).tocsr()
    first = np.searchsorted(of, np.arange(states))
    actions = np.append(np.arange(steps) - first[of], 0)
    return transitions, np.append(of, states), actions


def timed(solve):
    """The answer, and the least seconds of some repeats."""
    best = float("inf")
    for _ in range(REPEATS):
        began = time.perf_counter()
        answer = solve()
        best = min(best, time.perf_counter() - began)
    return answer, best


def solved(data):
    """The least cost of state 0, twice, and how long each took."""
    ranks, costs = data["ranks"].astype(np.int64), data["costs"]
    of, to = data["from"].astype(np.int64), data["to"].astype(np.int64)
    step = np.repeat(np.arange(len(of)), np.diff(data["starts"].astype(np.int64)))
    jump = ranks[to] - ranks[of[step]]
    if jump.size and jump.min() < 1:
        raise SystemExit("a transition does not lead to a higher rank")

    halved, s, a = with_end(data, np.exp2(1.0 - jump))
    scaled = np.append(-np.exp2(ranks[of].astype(float)) * costs, 0.0)
    horizon = int(ranks.max()) + 1
    by_policy, policy_s = timed(
        lambda: DiscreteDP(scaled, halved, 0.5, s, a).policy_iteration(max_iter=horizon))

    plain, s, a = with_end(data, 1.0)
    rewards = np.append(-costs, 0.0)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the library's remark that beta = 1
        (values, _), backward_s = timed(
            lambda: backward_induction(DiscreteDP(rewards, plain, 1.0, s, a), horizon))
    return {
        "by_policy": -float(by_policy.v[0]),
        "rounds": int(by_policy.num_iter),
        "policy_s": policy_s,
        "by_backward": -float(values[0, 0]),
        "backward_s": backward_s,
    }


def main():
    """All cases, in order; the first one once more beforehand, so that all is compiled."""
    folder = pathlib.Path(sys.argv[1])
    cases = json.loads((folder / "cases.json").read_text())
    if cases:
        solved(arrays(folder, cases[0]))
    results = [solved(arrays(folder, case)) for case in cases]
    (folder / "result.json").write_text(json.dumps(results))


main()
