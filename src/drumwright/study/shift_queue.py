"""Waiting in queues at steady state: operators shared by stations, trucks shared by pallets."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Queue:
    """What a queue does in the long run.

    Parameters
    ----------
    idle : float
        Chance that nobody is in the system [-].
    in_system, in_queue : float
        Mean number in the system, and of those who wait [-].
    time_in_system, time_in_queue : float
        Mean time in the system, and of waiting [s].
    """

    idle: float
    in_system: float
    in_queue: float
    time_in_system: float
    time_in_queue: float


_ENDLESS = (math.inf, math.inf, math.inf, math.inf)


def many_servers(arrivals: float, services: float, servers: int) -> Queue:
    """Calls at random to several servers that each take an exponential time.

    Parameters
    ----------
    arrivals : float
        Mean rate of calls [1/s].
    services : float
        Mean rate of one server [1/s].
    servers : int
        Number of servers.

    Returns
    -------
    Queue
        Endless where the servers cannot keep up.

    Notes
    -----
    M/M/c: P_0 = 1 / (sum_{n<c} a^n/n! + a^c / (c! (1 - a/c))), L_q = P_0 a^c (a/c) / (c! (1 - a/c)^2), with
    a = arrivals/services; the rest follows from Little's law.
    """
    if arrivals <= 0.0:
        return Queue(1.0, 0.0, 0.0, 1.0 / services, 0.0)
    load = arrivals / services
    share = load / servers
    if share >= 1.0:
        return Queue(0.0, *_ENDLESS)
    last = load**servers / math.factorial(servers)
    idle = 1.0 / (sum(load**n / math.factorial(n) for n in range(servers)) + last / (1.0 - share))
    waiting = idle * last * share / (1.0 - share) ** 2
    return Queue(idle, waiting + load, waiting, (waiting + load) / arrivals, waiting / arrivals)


def one_server(arrivals: float, service_time: float, spread: float) -> Queue:
    """Calls at random to one server whose time has any spread.

    Parameters
    ----------
    arrivals : float
        Mean rate of calls [1/s].
    service_time : float
        Mean time of a service [s].
    spread : float
        Coefficient of variation of that time [-]: 0 for a constant time, 1 for an exponential one.

    Returns
    -------
    Queue
        Endless where the server cannot keep up.

    Notes
    -----
    Pollaczek-Khinchine: L_q = rho^2 (1 + c^2) / (2 (1 - rho)).
    """
    share = arrivals * service_time
    if share >= 1.0:
        return Queue(0.0, *_ENDLESS)
    waiting = share**2 * (1.0 + spread**2) / (2.0 * (1.0 - share))
    time = waiting / arrivals if arrivals > 0.0 else 0.0
    return Queue(1.0 - share, waiting + share, waiting, time + service_time, time)


def machine_repair(machines: int, calls: float, services: float, servers: int) -> Queue:
    """Machines that run, call and wait for hands: few callers, so that a queue slows the calls down.

    Parameters
    ----------
    machines : int
        Number of machines.
    calls : float
        Rate at which one running machine calls [1/s].
    services : float
        Rate of one server [1/s].
    servers : int
        Number of servers.

    Returns
    -------
    Queue
        The system holds the machines that do not run.

    Notes
    -----
    Birth and death with finite source: p_n = p_{n-1} (N - n + 1) calls / (min(n, c) services), exponential
    times; W = L / (calls (N - L)).
    """
    weights = [1.0]
    for down in range(1, machines + 1):
        weights.append(weights[-1] * (machines - down + 1) * calls / (min(down, servers) * services))
    total = sum(weights)
    chances = [weight / total for weight in weights]
    stopped = sum(down * chance for down, chance in enumerate(chances))
    waiting = sum(max(down - servers, 0) * chance for down, chance in enumerate(chances))
    rate = calls * (machines - stopped)
    return Queue(chances[0], stopped, waiting, stopped / rate, waiting / rate)
