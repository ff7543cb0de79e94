"""Odds of the causes after every answer, by pyAgrum on the network of single faults.

Usage: posteriors.py FOLDER. Reads FOLDER/model.json (weights of the causes, and by cause and
check the probability of each outcome) and FOLDER/sequences.json (lists of [check, outcome] in
the order of the answers); writes FOLDER/result.json: the odds after every answer, and the
seconds of all updates together.

The network: one node for the cause, and a child of it for every check. An update adds one
answer as evidence, makes inference (lazy propagation) and reads the odds of the cause.
"""

import json
import pathlib
import sys
import time

import pyagrum as gum


def network(model):
    """One cause, and the checks that it bears on."""
    net = gum.BayesNet()
    causes, checks = len(model["weights"]), len(model["rows"][0])
    net.add(gum.LabelizedVariable("cause", "", causes))
    net.cpt("cause")[:] = model["weights"]
    for check in range(checks):
        outcomes = len(model["rows"][0][check])
        name = f"k{check}"
        net.add(gum.LabelizedVariable(name, "", outcomes))
        net.addArc("cause", name)
        for cause in range(causes):
            net.cpt(name)[{"cause": cause}] = model["rows"][cause][check]
    return net


def weighed(engine, sequences):
    """The odds after every answer of every sequence."""
    odds = []
    for sequence in sequences:
        engine.eraseAllEvidence()
        for check, outcome in sequence:
            engine.addEvidence(f"k{check}", outcome)
            engine.makeInference()
            odds.append(engine.posterior("cause").toarray())
    return odds


def main():
    """All sequences; some once more beforehand, to be warm."""
    folder = pathlib.Path(sys.argv[1])
    net = network(json.loads((folder / "model.json").read_text()))
    sequences = json.loads((folder / "sequences.json").read_text())
    engine = gum.LazyPropagation(net)
    engine.setNumberOfThreads(1)
    engine.addTarget("cause")
    weighed(engine, sequences[:20])
    began = time.perf_counter()
    odds = weighed(engine, sequences)
    seconds = time.perf_counter() - began
    odds = [[float(p) for p in row] for row in odds]
    (folder / "result.json").write_text(json.dumps({"odds": odds, "seconds": seconds}))


main()
