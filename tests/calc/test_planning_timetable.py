"""The timetable of a class: it could be lived, it keeps its bound, and OR-tools finds none that ends much earlier.

The exact model is written for CP-SAT from the rules as the module's head tells them, and shares no code with it but the
description of the shop. Lengths are compared in minutes of work, so that a night makes no difference.
"""

from __future__ import annotations

import random
from itertools import pairwise

import pytest
from hypothesis import given, settings, strategies as st

from calc.planning.timetable import (
    DAY, Hours, Plate, Shop, Station, Step, Timetable, TooLong, better_plans, first_plan, lower_bound,
)

ALL_DAY = Hours(((0, DAY),))
SHIFT = Hours(((420, 570), (585, 720), (750, 930)))
OVER = 1.05
"""So much longer than the shortest a timetable may be."""


def class_of(seed: int, trainees: int = 14) -> Shop:
    """A class with one or two plates for each trainee, by a seed; times and places as shops have them."""
    chance = random.Random(f"timetable/{seed}")
    hours = chance.choice((SHIFT, Hours(((480, 600), (615, 720), (765, 960))), Hours(((420, 720), (750, 960)))))
    inspection = hours.within(chance.choice((0, 480, 510)), chance.choice((DAY, 930, 900)))
    places = (
        chance.randint(1, 3), chance.randint(2, 4), chance.randint(3, 7), chance.choice((1, 1, 2)), chance.randint(1, 3),
        chance.choice((1, 1, 2)),
    )
    stations = tuple(
        Station(f"{number}", count, inspection if number == 3 else hours) for number, count in enumerate(places)
    )
    cut, fit, weld, look, saw, bend = (
        chance.randint(*ends) for ends in ((3, 12), (8, 25), (25, 80), (3, 8), (10, 30), (6, 16))
    )
    passes = chance.randint(3, 7)
    plates = []
    for trainee in range(trainees):
        for _ in range(chance.choice((1, 1, 2, 2)) if seed % 3 else 2):
            long = weld if seed % 2 else int(weld * chance.choice((1, 1.5)))
            pieces = tuple(long // passes + (each < long % passes) for each in range(passes))
            plates.append(Plate(trainee, (
                Step((0,), (cut,)), Step((1,), (fit,)), Step((2,), pieces), Step((3,), (look,), own=False),
                Step((4,), (saw,)), Step((5, 3), (bend,)),
            )))
    return Shop(hours, stations, tuple(plates))


def last_of(shop: Shop) -> Timetable:
    """The end of a whole search."""
    *_, (_, plan) = better_plans(shop)
    assert plan
    return plan


# --- what must hold ----------------------------------------------------------------------


def check(plan: Timetable) -> None:
    """Everything once, in order, in hours, no place and no trainee twice at once."""
    shop = plan.shop
    persons: dict[int, list[tuple[int, int]]] = {}
    places: dict[tuple[int, int], list[tuple[int, int]]] = {}
    assert sorted((visit.plate, visit.step) for visit in plan.visits) == [
        (plate, step) for plate, each in enumerate(shop.plates) for step in range(len(each.steps))
    ]
    for visit in plan.visits:
        step, span = shop.plates[visit.plate].steps[visit.step], (visit.start, visit.end)
        assert span == (plan.starts[visit.plate][visit.step], plan.ends[visit.plate][visit.step])
        assert visit.start // DAY == visit.end // DAY or visit.end % DAY == 0
        if step.own:
            persons.setdefault(shop.plates[visit.plate].trainee, []).append(span)
        for station, place in zip(step.stations, visit.places, strict=True):
            assert 0 <= place < shop.stations[station].places
            places.setdefault((station, place), []).append(span)
        hours = [shop.hours, *(shop.stations[station].hours for station in step.stations)]
        moment = visit.start % DAY
        for number, piece in enumerate(step.pieces):
            # Each piece in one stretch of all hours; between two of them only a break may lie.
            while number and not all(fits(each, moment, piece) for each in hours):
                moment += 1
                assert moment < DAY
            assert all(fits(each, moment, piece) for each in hours), (visit, piece)
            moment += piece
        assert moment == visit.end % DAY or visit.end % DAY == 0
    for plate in range(len(shop.plates)):
        assert all(end <= start for end, start in zip(plan.ends[plate], plan.starts[plate][1:]))
    for spans in (*persons.values(), *places.values()):
        assert all(one[1] <= other[0] for one, other in pairwise(sorted(spans)))
    assert plan.bound.end <= plan.end == max(visit.end for visit in plan.visits)
    assert plan.proven == (plan.bound.end == plan.end)
    assert all(0 < plan.busy(station) <= 1 for station in range(len(shop.stations)))


def fits(hours: Hours, moment: int, minutes: int) -> bool:
    return any(low <= moment and moment + minutes <= high for low, high in hours.stretches)


@pytest.mark.parametrize("seed", range(12))
def test_a_timetable_could_be_lived(seed):
    shop = class_of(seed)
    check(first_plan(shop))
    if seed < 3:
        plans = [plan for _, plan in better_plans(shop) if plan]
        for plan in plans:
            check(plan)
        assert all(other.end <= one.end for one, other in pairwise(plans)), "each one is no later than the one before"


@st.composite
def shops(draw) -> Shop:
    """Small shops of any kind: stations that open late, steps at two stations, trainees with many plates."""
    hours = draw(st.sampled_from((SHIFT, Hours(((100, 200),)), Hours(((0, 60), (61, 130), (900, 1000))))))
    late = hours.within(draw(st.sampled_from((0, 110, 430))), DAY)
    count = draw(st.integers(1, 4))
    stations = tuple(
        Station("", draw(st.integers(1, 3)), late if late.stretches and draw(st.booleans()) else hours)
        for _ in range(count)
    )
    longest = max(high - low for station in stations for low, high in station.hours.stretches[-1:])
    plates = []
    for _ in range(draw(st.integers(1, 8))):
        steps = []
        for station in range(count):
            pieces = tuple(draw(st.lists(st.integers(1, max(1, min(20, longest))), min_size=1, max_size=3)))
            both = (station, (station + 1) % count) if count > 1 and draw(st.booleans()) else (station,)
            steps.append(Step(both, pieces, draw(st.booleans())))
        plates.append(Plate(draw(st.integers(0, 3)), tuple(steps)))
    return Shop(hours, stations, tuple(plates), draw(st.integers(0, 9)))


@given(shops())
@settings(max_examples=60, deadline=None)
def test_any_shop_gets_a_timetable_that_could_be_lived_or_is_told_what_fits_into_no_day(shop):
    try:
        plan = first_plan(shop)
    except TooLong as trouble:
        assert trouble.minutes == shop.plates[0].steps[trouble.step].minutes or trouble.minutes
        return
    check(plan)


def test_the_same_shop_gives_the_same_timetable():
    assert last_of(class_of(4)).starts == last_of(class_of(4)).starts


# --- by hand -----------------------------------------------------------------------------


def flow(times: tuple[int, ...], plates: int, places: tuple[int, ...] = ()) -> Shop:
    """A flow of plates, each of another trainee, through stations of one place."""
    stations = tuple(Station("", count, ALL_DAY) for count in places or (1,) * len(times))
    steps = tuple(Step((number,), (time,)) for number, time in enumerate(times))
    return Shop(ALL_DAY, stations, tuple(Plate(each, steps) for each in range(plates)))


def test_the_longest_station_rules_a_flow_of_equal_plates():
    """The end is the first way through plus (n - 1) times the longest: Johnson's flow shop with all plates alike."""
    for times in ((5, 11, 7), (10, 20), (20, 10)):
        plan = first_plan(flow(times, 6))
        assert plan.end == sum(times) + 5 * max(times) and plan.proven


def test_one_trainee_does_one_thing_at_a_time():
    steps = (Step((0,), (60,)),)
    shop = Shop(ALL_DAY, (Station("booth", 4, ALL_DAY),), tuple(Plate(0, steps) for _ in range(4)))
    plan = first_plan(shop)
    assert (plan.end, plan.proven, plan.bound.trainee) == (240, True, 0)


def test_a_step_that_is_not_ones_own_leaves_the_trainee_free():
    look = (Step((0,), (30,)), Step((1,), (30,), own=False))
    shop = Shop(ALL_DAY, (Station("booth", 1, ALL_DAY), Station("inspector", 1, ALL_DAY)), (Plate(0, look),) * 2)
    assert first_plan(shop).end == 90


def test_breaks_and_evenings_are_kept():
    """A step of 40 min does not begin at 11:30 before a break at 12:00; in pieces of 20 it does, and pauses."""
    hours = Hours(((690, 720), (750, 800)))
    place = (Station("saw", 1, hours),)
    whole, torn = Step((0,), (40,)), Step((0,), (20, 20))
    assert first_plan(Shop(hours, place, (Plate(0, (whole,)),))).ends == ((790,),)
    assert first_plan(Shop(hours, place, (Plate(0, (torn,)),))).ends == ((770,),)
    assert first_plan(Shop(hours, place, (Plate(0, (whole,)), Plate(1, (whole,))))).end == DAY + 790
    with pytest.raises(TooLong):
        first_plan(Shop(hours, place, (Plate(0, (Step((0,), (51,)),)),)))


# --- against an exact scheduler ------------------------------------------------------------


def exact(shop: Shop, seconds: float, days: int) -> tuple[str, int, int]:
    """CP-SAT's word on a shop: how it ended, its best end, and the end that none comes before.

    Passes may wait for each other here, so its least end is never later than that of the rules.
    """
    cp_model = pytest.importorskip("ortools.sat.python.cp_model")
    model = cp_model.CpModel()
    at_station: dict[int, list] = {}
    of_trainee: dict[int, list] = {}
    ends = []
    for plate in shop.plates:
        before = None
        for step in plate.steps:
            hours = [shop.hours, *(shop.stations[station].hours for station in step.stations)]
            pieces = []
            for piece in step.pieces:
                starts = [minute for minute in range(DAY) if all(fits(each, minute, piece) for each in hours)]
                allowed = cp_model.Domain.FromValues([day * DAY + minute for day in range(days) for minute in starts])
                pieces.append(model.NewIntVarFromDomain(allowed, ""))
            for (one, other), piece in zip(pairwise(pieces), step.pieces):
                model.Add(other >= one + piece)
            start, end = pieces[0], model.NewIntVar(0, days * DAY, "")
            model.Add(end == pieces[-1] + step.pieces[-1])
            if before is not None:
                model.Add(start >= before)
            before = end
            if len(pieces) == 1:
                taken = model.NewFixedSizeIntervalVar(start, step.minutes, "")
            else:
                day = model.NewIntVar(0, days - 1, "")
                model.Add(start >= day * DAY)
                model.Add(end <= day * DAY + DAY)
                taken = model.NewIntervalVar(start, model.NewIntVar(step.minutes, DAY, ""), end, "")
            for station in step.stations:
                at_station.setdefault(station, []).append(taken)
            if step.own:
                of_trainee.setdefault(plate.trainee, []).append(taken)
        ends.append(before)
    for station, taken in at_station.items():
        model.AddCumulative(taken, [1] * len(taken), shop.stations[station].places)
    for taken in of_trainee.values():
        model.AddNoOverlap(taken)
    last = model.NewIntVar(0, days * DAY, "")
    model.AddMaxEquality(last, ends)
    model.Minimize(last)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds, solver.parameters.num_workers = seconds, 1
    status = solver.StatusName(solver.Solve(model))
    assert status in ("OPTIMAL", "FEASIBLE"), status
    return status, round(solver.ObjectiveValue()), round(solver.BestObjectiveBound())


def test_no_bound_lies_above_the_shortest_and_small_classes_come_near_it():
    """Three to five trainees: CP-SAT goes to the end, so the shortest is known."""
    ours = shortest = 0
    for seed in range(8):
        shop = class_of(seed, 3 + seed % 3)
        plan = last_of(shop)
        status, least, _ = exact(shop, 30, plan.days)
        assert lower_bound(shop).end <= least and (status != "OPTIMAL" or least <= plan.end), seed
        ours += shop.hours.worked(plan.end)
        shortest += shop.hours.worked(least)
    assert ours <= OVER * shortest


@pytest.mark.parametrize("seed", [*range(5), *(pytest.param(seed, marks=pytest.mark.long) for seed in range(5, 12))])
def test_a_class_of_14_is_no_longer_than_what_an_exact_scheduler_finds(seed):
    """CP-SAT does not come to an end here: what it finds in some seconds may not be shorter by 5 %."""
    shop = class_of(seed)
    plan = last_of(shop)
    _, found, least = exact(shop, 5, plan.days + 1)
    assert least <= plan.end and plan.bound.end <= found
    assert shop.hours.worked(plan.end) <= OVER * shop.hours.worked(found)


@pytest.mark.long
def test_most_classes_of_14_come_within_5_percent_of_what_no_timetable_beats():
    near = []
    for seed in range(12):
        plan = last_of(class_of(seed))
        near.append(plan.work <= OVER * plan.shop.hours.worked(plan.bound.end))
    assert near.count(True) >= 9, near
