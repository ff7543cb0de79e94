"""Makes a sheet of single faults from the published network win95pts.

Usage: faults.py FOLDER. Writes FOLDER/sheet.toml (the sheet) and FOLDER/model.json (the same
numbers for posteriors.py).

The network, 76 nodes, is the printer troubleshooting model of the Bayesian network repositories
(Breese and Heckerman, Microsoft Research); the file lies in the wheel of pgmpy. Its roots are
faults, each normal in its first state, but for four that say what is used. The causes are the
faults, with the odds that exactly one is there: P(i alone) is in proportion to p/(1 - p). The
checks are the nodes without children, what a user can see. P(outcome | i alone) is exact
inference with fault i there, every other fault absent, and what is used left open; "fine" has
every fault absent.
"""

import gzip
import importlib.util
import json
import pathlib
import re
import sys

import pyagrum as gum

# Not faults: kind of application, of graphic, of printer language and of connection.
USED = {"DSApplctn", "EPSGrphc", "PrtPScript", "NetPrint"}
NORMAL, FAULTY = 0, 1


def network(folder):
    """The network out of the wheel's file; the package itself is not loaded."""
    found = importlib.util.find_spec("pgmpy")
    place = pathlib.Path(found.submodule_search_locations[0])
    packed = next(place.rglob("win95pts.bif.gz"))
    plain = folder / "network.bif"
    plain.write_bytes(gzip.decompress(packed.read_bytes()))
    return gum.loadBN(str(plain))


def normed(values):
    """Values as shares of their sum: the file's numbers are single precision."""
    values = [float(value) for value in values]
    total = sum(values)
    return [value / total for value in values]


def word(name):
    """A name as a sheet's id."""
    return re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")


def rows(net, faults, checks):
    """P(outcome) of every check with one fault there, by fault; the last row has none."""
    engine = gum.LazyPropagation(net)
    for check in checks:
        engine.addTarget(check)
    table = []
    for there in faults + [None]:
        engine.setEvidence({f: FAULTY if f == there else NORMAL for f in faults})
        engine.makeInference()
        table.append([normed(engine.posterior(check).tolist()) for check in checks])
    return table


def sheet(faults, weights, checks, table):
    """The sheet; numbers are written so that they are read back the same."""
    lines = [
        "[sheet]", "format = 1", 'id = "single-faults"', 'title = "Single faults"',
        "version = 1", "codes = []", 'sources = ["win95pts, a published fault network"]', "",
        "[economy]", "labour_per_hour = 60.0", "comeback = 500.0", "pass_on = 500.0", ""]
    for fault, weight in zip(faults, weights):
        lines += ["[[suspect]]", f'id = "{word(fault)}"', f'title = "{fault}"',
                  f"weight = {weight!r}", ""]
    for at, check in enumerate(checks):
        row = lambda of: "{ " + ", ".join(
            f"o{o} = {p!r}" for o, p in enumerate(table[of][at])) + " }"
        outcomes = ", ".join(f'"o{o}"' for o in range(len(table[0][at])))
        lines += ["[[check]]", f'id = "{word(check)}"', f'title = "{check}"', "minutes = 1.0",
                  f"outcomes = [{outcomes}]", "[check.given]", f"fine = {row(-1)}"]
        lines += [f"{word(fault)} = {row(of)}" for of, fault in enumerate(faults)] + [""]
    lines += ["[[repair]]", 'id = "renew"', 'title = "Renew"', "minutes = 1.0",
              f"fixes = {{ {word(faults[0])} = 1.0 }}", ""]
    return "\n".join(lines)


def main():
    """The sheet and the same numbers."""
    folder = pathlib.Path(sys.argv[1])
    net = network(folder)
    names = sorted(net.names(), key=net.idFromName)
    faults = [n for n in names if not net.parents(n) and n not in USED]
    checks = [n for n in names if net.parents(n) and not net.children(n)]
    priors = [normed(net.cpt(fault).tolist())[FAULTY] for fault in faults]
    weights = normed([p / (1.0 - p) for p in priors])
    table = rows(net, faults, checks)
    (folder / "sheet.toml").write_text(sheet(faults, weights, checks, table))
    model = {"nodes": net.size(), "weights": weights, "rows": table[:-1]}
    (folder / "model.json").write_text(json.dumps(model))


main()
