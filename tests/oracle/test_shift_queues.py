"""Queues against independent routes: a generator matrix solved, and SimPy models that share no code."""

from __future__ import annotations

from collections.abc import Callable, Generator
from typing import Any

import numpy as np
import pytest
import simpy
from numpy.typing import NDArray

from drumwright.study.shift_queue import Queue, machine_repair, many_servers, one_server
from validation_registry import record

Stream = np.random.Generator
BATCHES = 60


def chances(up: list[float], down: list[float]) -> NDArray[np.float64]:
    """Steady chances of a birth-death chain from its generator matrix, by linear algebra."""
    size = len(up) + 1
    rates = np.zeros((size, size))
    for index, rate in enumerate(up):
        rates[index, index + 1] = rate
    for index, rate in enumerate(down):
        rates[index + 1, index] = rate
    rates -= np.diag(rates.sum(axis=1))
    rates[:, -1] = 1.0
    wanted = np.zeros(size)
    wanted[-1] = 1.0
    return np.linalg.solve(rates.T, wanted)


@pytest.mark.parametrize(("machines", "servers"), [(6, 1), (4, 2), (12, 3), (2, 2)])
def test_machine_repair_against_the_generator_matrix(machines: int, servers: int) -> None:
    calls, services = 0.05, 0.5
    up = [(machines - n) * calls for n in range(machines)]
    down = [min(n + 1, servers) * services for n in range(machines)]
    steady = chances(up, down)
    found = machine_repair(machines, calls, services, servers)
    number = np.arange(machines + 1)
    assert found.idle == pytest.approx(steady[0], rel=1e-10)
    assert found.in_system == pytest.approx(float(number @ steady), rel=1e-10)
    waiting = float(np.maximum(number - servers, 0) @ steady)
    assert found.in_queue == pytest.approx(waiting, rel=1e-9, abs=1e-13)


@pytest.mark.parametrize("servers", [1, 2, 5])
def test_many_servers_against_a_long_chain(servers: int) -> None:
    calls, services, size = 0.7 * servers, 1.0, 400
    steady = chances([calls] * size, [min(n + 1, servers) * services for n in range(size)])
    found = many_servers(calls, services, servers)
    assert found.in_system == pytest.approx(float(np.arange(size + 1) @ steady), rel=1e-9)


def waits(arrivals: float, time: Callable[[Stream], float], servers: int, seed: int) -> NDArray[np.float64]:
    """Mean waiting times of batches, calls at random to a resource of SimPy."""
    env, stream = simpy.Environment(), np.random.default_rng(seed)
    server, found = simpy.Resource(env, servers), []

    def call() -> Generator[Any, Any, None]:
        begun = env.now
        with server.request() as request:
            yield request
            found.append(env.now - begun)
            yield env.timeout(time(stream))

    def source() -> Generator[Any, Any, None]:
        while True:
            yield env.timeout(stream.exponential(1.0 / arrivals))
            env.process(call())

    env.process(source())
    env.run(until=20_000.0 / arrivals)
    size = len(found) // BATCHES
    return np.array(found[: size * BATCHES]).reshape(BATCHES, size).mean(axis=1)


def agree(check_id: str, name: str, values: NDArray[np.float64], exact: float) -> None:
    """Assert that the mean of the batches lies within three standard errors."""
    error = float(values.std(ddof=1) / np.sqrt(values.size))
    source = "simulation with SimPy in the test, within three standard errors"
    mean = float(values.mean())
    kept = record(check_id, source, name, mean, exact, "h", 3.0 * error, "recomputed", absolute=True)
    assert kept.agrees, (mean, exact, error)


def test_two_servers_simulated() -> None:
    values = waits(20.0, lambda stream: stream.exponential(1.0 / 30.0), 2, 11)
    agree("OPS-01", "waiting time, two servers", values, many_servers(20.0, 30.0, 2).time_in_queue)


def test_constant_service_time_simulated() -> None:
    values = waits(2.0, lambda stream: 1.0 / 3.0, 1, 12)
    agree("OPS-03", "waiting time, constant service", values, one_server(2.0, 1.0 / 3.0, 0.0).time_in_queue)


def test_exponential_service_time_simulated() -> None:
    values = waits(2.0, lambda stream: stream.exponential(1.0 / 3.0), 1, 13)
    agree(
        "OPS-03", "waiting time, exponential service", values, one_server(2.0, 1.0 / 3.0, 1.0).time_in_queue
    )


def test_machine_repair_simulated() -> None:
    env, stream = simpy.Environment(), np.random.default_rng(14)
    server, found = simpy.Resource(env, 1), []

    def machine() -> Generator[Any, Any, None]:
        while True:
            yield env.timeout(stream.exponential(20.0))
            begun = env.now
            with server.request() as request:
                yield request
                found.append(env.now - begun)
                yield env.timeout(stream.exponential(2.0))

    for _ in range(6):
        env.process(machine())
    env.run(until=60_000.0)
    size = len(found) // BATCHES
    values = np.array(found[: size * BATCHES]).reshape(BATCHES, size).mean(axis=1)
    agree("OPS-04", "waiting time for repair", values, machine_repair(6, 0.05, 0.5, 1).time_in_queue)


def test_a_server_that_cannot_keep_up_has_no_end_of_its_queue() -> None:
    assert many_servers(3.0, 1.0, 2).in_queue == float("inf")
    assert one_server(1.0, 1.0, 0.5).time_in_queue == float("inf")
    nobody: Queue = many_servers(0.0, 1.0, 2)
    assert (nobody.idle, nobody.in_queue) == (1.0, 0.0)
