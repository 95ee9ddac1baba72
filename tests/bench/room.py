"""A class of N learners on the real server and on a bare one that only tells the same things.

    scripts/dev.py bench room [--learners 30,300] [--seconds 10] [--pushes 20]

The server has one core, the generator another; loopback only. "plain": no compression of messages is
offered, "defl": offered, as browsers do. Figures in the order of the columns:

    joins s     until everybody who joined at once was welcomed
    push ms     from `send_text` to the last learner's receipt of `push`, p50 and p99 over the pushes
    ack ms      from `write_keys` to `kept`, p50 and p99; 2 batches a second from each learner
    CPU s       of the server's processor per 1000 batches; in brackets the share of its core that was busy
    kB          memory the server grew by for each connection
    stall ms    the longest of the clock exchanges made every 10 ms meanwhile
    late ms     the generator's own worst delay: if it is large, the figures before it say little
"""

from __future__ import annotations

import argparse
import asyncio
import os
import resource
import tempfile
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from bench.load.evening import Evening, Figures
from bench.load.servers import SERVERS, keep_to_core

GENERATOR_CORE, SERVER_CORE = 0, 1
HEAD = (
    f"{'learners':>8} {'server':<6} {'variant':<7} {'joins s':>7} {'push ms':>13} {'ack ms':>13}"
    f" {'CPU s':>12} {'kB':>5} {'stall ms':>8} {'late ms':>7}  failed"
)


def pair(values: Sequence[float]) -> tuple[float, float]:
    """The median and the 99th percentile."""
    return float(np.median(values)), float(np.percentile(values, 99))


def line(figures: Figures) -> str:
    push, ack = pair(figures.push_ms), pair(figures.ack_ms)
    return (
        f"{figures.learners:>8} {figures.server:<6} {figures.variant:<7} {figures.joins_s:>7.2f}"
        f" {push[0]:>6.1f}/{push[1]:<6.1f} {ack[0]:>6.1f}/{ack[1]:<6.1f}"
        f" {figures.cpu_s:>5.2f} ({figures.busy:>4.0%}) {figures.connection_kb:>5.0f}"
        f" {max(figures.clock_ms):>8.1f} {figures.late_ms:>7.1f}  {figures.failures + figures.refused}"
    )


def ratios(real: Figures, bare: Figures) -> str:
    """Real over bare, from the same run."""
    push = [r / b for r, b in zip(pair(real.push_ms), pair(bare.push_ms), strict=True)]
    ack = [r / b for r, b in zip(pair(real.ack_ms), pair(bare.ack_ms), strict=True)]
    cpu = real.cpu_s / bare.cpu_s if bare.cpu_s else float("nan")
    return (
        f"{real.learners:>8} real {real.variant}/bare {bare.variant}:"
        f" push p50 {push[0]:.2f} p99 {push[1]:.2f}, ack p50 {ack[0]:.2f} p99 {ack[1]:.2f}, CPU {cpu:.2f}"
    )


def measure(server: str, deflate: bool, learners: int, pushes: int, seconds: float) -> Figures:
    with tempfile.TemporaryDirectory() as folder, SERVERS[server](Path(folder), SERVER_CORE) as served:
        return asyncio.run(Evening(served, deflate, learners).run(pushes, seconds))


def main(argv: Sequence[str]) -> int:
    parser = argparse.ArgumentParser(prog="bench room", description=__doc__.partition("\n")[0])
    parser.add_argument("--learners", default="30,300", help="sizes of the class, with commas")
    parser.add_argument("--seconds", type=float, default=10.0, help="of writing in each run")
    parser.add_argument("--pushes", type=int, default=20, help="in each run")
    parser.add_argument("--servers", default="bare,real")
    parser.add_argument("--variants", default="plain,defl")
    options = parser.parse_args(argv)
    _, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    resource.setrlimit(resource.RLIMIT_NOFILE, (min(hard, 65_536), hard))
    print(f"load of the machine before the start: {os.getloadavg()[0]:.2f} on {os.cpu_count()} cores")
    keep_to_core(GENERATOR_CORE)
    print(HEAD, flush=True)
    for learners in map(int, options.learners.split(",")):
        found: dict[tuple[str, str], Figures] = {}
        for variant in options.variants.split(","):
            for server in options.servers.split(","):
                figures = measure(server, variant == "defl", learners, options.pushes, options.seconds)
                found[server, variant] = figures
                print(line(figures), flush=True)
        for variant in options.variants.split(","):
            for against in dict.fromkeys((variant, "plain", "defl")):
                if ("real", variant) in found and ("bare", against) in found:
                    print(ratios(found["real", variant], found["bare", against]), flush=True)
    print(f"load of the machine at the end: {os.getloadavg()[0]:.2f}")
    return 0
