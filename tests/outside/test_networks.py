"""What single breaks darken, in random networks, against graph theory (networks.py says how it is read)."""

from __future__ import annotations

import collections
import functools

import networkx as nx
import pytest

import networks
import program
import reading

SEEDS = range(330)


@functools.cache
def held(seed: int, folder):
    """Of one network: its graphs, what they say of each break, and what the program says."""
    path = folder / f"network-{seed}.harness"
    path.write_text(networks.plan(seed), encoding="utf-8")
    network = networks.Network(reading.plan_of(path))
    theirs = [((b["what"], b["of"]), b["dark"]) for b in program.full(path)["breaks"]]
    assert len(dict(theirs)) == len(theirs), f"a break is listed twice in {path}"
    return network, network.breaks(), dict(theirs)


@pytest.fixture(scope="session")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("networks")


@pytest.mark.parametrize("seed", SEEDS)
def test_breaks(seed, folder):
    """The same breaks, and of each the same lights in the order of the plan."""
    _, ours, theirs = held(seed, folder)
    wrong = [
        f"{key}: {theirs.get(key)}, wanted {ours.get(key)}" for key in sorted(set(ours) | set(theirs))
        if ours.get(key) != theirs.get(key)
    ]
    assert not wrong, "\n".join(wrong)


def beyond(network: networks.Network, plain: nx.Graph) -> set[str]:
    """Lights whose end is in a part of this side that has no supply."""
    out: set[str] = set()
    for part in nx.connected_components(plain):
        if not any((supply, "point") in part for supply in network.supplies):
            out |= {light for light in network.lights if (light, "end") in part}
    return out


@pytest.mark.parametrize("seed", SEEDS)
def test_breaks_are_bridges_and_articulation_points(seed, folder):
    """A leg darkens lights exactly where it is a bridge with lights beyond, a joint where it is an articulation point."""
    network, _, theirs = held(seed, folder)
    if network.one_way:  # bridges are a matter of graphs without direction
        return
    for side, what in ((network.plus, "plus leg"), (network.minus, "minus leg")):
        bridges = network.bridges(side)
        for (kind, name), dark in theirs.items():
            if kind != what:
                continue
            key = ("leg" if name in network.plan.items else "link", name)
            wanted: set[str] = set()
            if key in bridges:
                plain, _ = network.plain(side)
                plain.remove_edges_from([(u, v) for u, v, k in side.edges(keys=True) if k == key])
                wanted = beyond(network, plain)
            assert set(dark) == wanted, f"{what} of {name}"
    parting = network.joints_that_part()
    for (kind, name), dark in theirs.items():
        if kind == "joint":
            wanted = set()
            if name in parting:
                for side in (network.plus, network.minus):
                    plain, _ = network.plain(side)
                    plain.remove_node((name, "point"))
                    wanted |= beyond(network, plain)
            assert set(dark) == wanted, f"joint {name}"


def test_the_networks_hold_what_they_should(folder):
    """Enough of each: plans, breaks that darken nothing, wires side by side, bridges, one-way parts."""
    count: collections.Counter = collections.Counter()
    for seed in SEEDS:
        network, ours, _ = held(seed, folder)
        for (what, _), dark in ours.items():
            count[what] += 1
            count["darkens none" if not dark else "darkens one" if len(dark) == 1 else "darkens more"] += 1
        keys = network.plain(network.plus)[1].values()
        count["plans with wires side by side"] += any(len(k) > 1 for k in keys)
        count["plans with one-way parts"] += network.one_way
        count["plans without"] += not network.one_way
        count["plans of several circuits"] += len(network.supplies) > 1
        count["plans with another way back"] += any(i.back not in (None, i.source) for i in network.plan.items.values())
        count["plans with a ring"] += len(network.plan.links) > 0
        if not network.one_way:
            count["bridges"] += len(network.bridges(network.plus)) + len(network.bridges(network.minus))
            count["joints that part"] += len(network.joints_that_part())
    print(dict(count))
    for what, least in {
        "item": 3000, "plus leg": 3000, "minus leg": 3000, "joint": 1000, "tape": 500, "plus contact": 150, "minus contact": 150,
        "darkens none": 3000, "darkens one": 2000, "darkens more": 2000, "plans with wires side by side": 60,
        "plans with one-way parts": 80, "plans without": 210, "plans of several circuits": 120,
        "plans with another way back": 200, "plans with a ring": 200, "bridges": 4000, "joints that part": 500,
    }.items():
        assert count[what] >= least, f"{what}: {count[what]}"
