"""Counting out: questions that share no operation fall into clusters, each by itself."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from math import prod

from triage_app.domain.plan.space import (
    BATTERY,
    MOST_OUTCOMES,
    UNPRICED,
    Bounds,
    Choice,
    Cluster,
    Cost,
    Problem,
    Space,
)


def count_out(problem: Problem) -> Space:
    """Return the space of all outcomes of a problem."""
    return _Counter(problem).space()


class _Counter:
    def __init__(self, problem: Problem) -> None:
        self._problem = problem
        # What every outcome of a question adds is certain, such as after a test that was not met.
        certain = problem.certain.union(
            *(frozenset.intersection(*one.adds) for one in problem.choices)
        )
        possible = certain.union(*(one for each in problem.choices for one in each.adds))
        battery = {problem.whole_battery} if problem.whole_battery is not None else set()
        possible |= battery
        self._takers = {
            name: problem.replaced_by.get(name, frozenset()) & possible for name in possible
        }
        always = {name for name in certain if not self._takers[name]}
        self._stable_nodes = problem.brings(always)
        self._fixed = certain - always
        # Work whose place is taken for certain costs nothing, but may itself take another's place.
        self._closures = {
            name: frozenset()
            if self._takers[name] & always
            else problem.brings([name]) - self._stable_nodes
            for name in possible - always
        }
        self._stable_roots = always
        self._has_all_prices = None not in problem.weights.values()

    def space(self) -> Space:
        reduced = {one.id: self._reduced(one) for one in self._problem.choices}
        classes: dict[str, tuple[int, ...]] = {}
        distinct: dict[str, tuple[frozenset[str], ...]] = {}
        for name, adds in reduced.items():
            unique = tuple(dict.fromkeys(adds))
            classes[name] = tuple(unique.index(one) for one in adds)
            distinct[name] = unique
        clusters: list[Cluster] = []
        bounds: list[Bounds] = []
        stable = self._cost(self._stable_nodes).plus(self._flagged(self._stable_roots))
        for ids, fixed, battery in self._groups(distinct):
            sizes = [len(distinct[name]) for name in ids]
            if prod(sizes) > MOST_OUTCOMES:
                bounds.append(self._bounded(ids, fixed, distinct))
            elif ids or fixed or battery:
                clusters.append(self._counted(ids, fixed, distinct, battery=battery))
        return Space(stable=stable, clusters=tuple(clusters), bounds=tuple(bounds), classes=classes)

    def _reduced(self, choice: Choice) -> tuple[frozenset[str], ...]:
        """Return what each outcome adds that makes a difference."""
        idle = {
            name for name, nodes in self._closures.items() if not nodes and not self._takes(name)
        }
        given = self._stable_roots | self._fixed | (idle - {self._problem.whole_battery})
        return tuple(frozenset(adds - given) for adds in choice.adds)

    def _takes(self, name: str) -> bool:
        return any(name in takers for takers in self._takers.values())

    def _groups(
        self, distinct: Mapping[str, Sequence[frozenset[str]]]
    ) -> Iterator[tuple[tuple[str, ...], frozenset[str], bool]]:
        """Yield questions, certain work and the battery's own choice by what they share."""
        battery = self._problem.whole_battery
        items: dict[str, frozenset[str]] = {
            f"?{name}": frozenset().union(*adds) for name, adds in distinct.items() if len(adds) > 1
        }
        items |= {f"!{name}": frozenset([name]) for name in self._fixed}
        if battery is not None and battery not in self._stable_roots:
            items["*"] = frozenset([battery])
        links: dict[str, set[str]] = {}
        for item, roots in items.items():
            for token in self._touched(roots):
                links.setdefault(token, set()).add(item)
        for group in _connected(items, links.values()):
            yield (
                tuple(sorted(item[1:] for item in group if item[0] == "?")),
                frozenset(item[1:] for item in group if item[0] == "!"),
                "*" in group,
            )

    def _touched(self, roots: Iterable[str]) -> Iterator[str]:
        for root in roots:
            yield f"root {root}"
            yield from (f"root {taker}" for taker in self._takers[root])
            yield from (f"node {node}" for node in self._closures[root])

    def _counted(
        self,
        ids: tuple[str, ...],
        fixed: frozenset[str],
        distinct: Mapping[str, Sequence[frozenset[str]]],
        *,
        battery: bool,
    ) -> Cluster:
        bits = {name: 1 << at for at, name in enumerate(sorted(self._closures))}
        masks = [_mask(fixed, bits)]
        for name in ids:
            adds = [_mask(one, bits) for one in distinct[name]]
            masks = [mask | add for mask in masks for add in adds]
        own = bits.get(self._problem.whole_battery or "", 0) if battery else 0
        by_part = {mask: self._of_mask(mask, bits) for mask in set(masks)}
        if not own:
            costs = tuple([by_part[mask] for mask in masks])
            chosen, by_battery = costs, None
        else:
            whole = {mask: self._of_mask(mask | own, bits) for mask in by_part}
            better = {
                mask: whole[mask] if self._is_cheaper(mask, own, whole, by_part, bits) else part
                for mask, part in by_part.items()
            }
            chosen = tuple([better[mask] for mask in masks])
            by_battery = tuple([whole[mask] for mask in masks])
        return Cluster(
            ids=ids,
            sizes=tuple(len(distinct[name]) for name in ids),
            chosen=chosen,
            by_part=tuple([by_part[mask] for mask in masks]),
            by_battery=by_battery,
        )

    def _of_mask(self, mask: int, bits: Mapping[str, int]) -> Cost:
        roots = _unmasked(mask, bits)
        return self._cost(self._nodes(roots)).plus(self._flagged(roots))

    def _is_cheaper(
        self,
        mask: int,
        own: int,
        whole: Mapping[int, Cost],
        part: Mapping[int, Cost],
        bits: Mapping[str, int],
    ) -> bool:
        if whole[mask].net >= part[mask].net:
            return False
        return self._is_comparable(_unmasked(mask, bits), _unmasked(mask | own, bits))

    def _nodes(self, roots: frozenset[str]) -> frozenset[str]:
        kept = [name for name in roots if not self._takers[name] & roots]
        return frozenset().union(*(self._closures[name] for name in kept))

    def _is_comparable(self, one: frozenset[str], other: frozenset[str]) -> bool:
        """Tell whether everything in which two ways differ has a price."""
        if self._has_all_prices:
            return True
        return not self._cost(self._nodes(one) ^ self._nodes(other)).is_unpriced

    def _bounded(
        self,
        ids: tuple[str, ...],
        fixed: frozenset[str],
        distinct: Mapping[str, Sequence[frozenset[str]]],
    ) -> Bounds:
        roots = fixed.union(*(one for name in ids for one in distinct[name]))
        nodes = frozenset().union(*(self._closures[name] for name in roots))
        return Bounds(
            ids=ids,
            sizes=tuple(len(distinct[name]) for name in ids),
            least=Cost(net=0),
            most=self._cost(nodes).plus(self._flagged(roots)),
        )

    def _flagged(self, roots: Iterable[str]) -> Cost:
        return Cost(net=0, flags=BATTERY if self._problem.whole_battery in set(roots) else 0)

    def _cost(self, nodes: Iterable[str]) -> Cost:
        net, flags = 0, 0
        for node in nodes:
            weight = self._problem.weights[node]
            if weight is None:
                flags = UNPRICED
            else:
                net += weight
        return Cost(net=net, flags=flags)


def _mask(roots: Iterable[str], bits: Mapping[str, int]) -> int:
    return sum(bits[name] for name in roots)


def _unmasked(mask: int, bits: Mapping[str, int]) -> frozenset[str]:
    return frozenset([name for name, bit in bits.items() if mask & bit])


def _connected(items: Iterable[str], links: Iterable[Iterable[str]]) -> tuple[tuple[str, ...], ...]:
    """Return the items in groups that links hold together, sorted."""
    group = {item: {item} for item in items}
    for link in links:
        first, *others = sorted(link)
        for other in others:
            if group[first] is not group[other]:
                group[first] |= group[other]
                for member in group[other]:
                    group[member] = group[first]
    unique = {id(one): tuple(sorted(one)) for one in group.values()}
    return tuple(sorted(unique.values()))
