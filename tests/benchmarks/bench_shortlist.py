"""How fast a chunk of candidates is evaluated, and how time and memory grow, in one run.

The catalogue is that of `shortlist_catalogue`. Times are of one process, without making the candidates;
`ruled out` and `whole` are the microseconds of a candidate that breaks a necessary condition and of one whose
temperatures and torque reserve are computed, each measured on a catalogue of that kind alone. Two processes
are compared with one on whole runs of the runner, candidates made there. The single
evaluation and the march of an ODE solver to the repeating state (LSODA, rtol 1e-8, restarted at every piece,
until the change per cycle is below 1e-3 K times (1 - rho)) are timed on a sample. Parts are read once for all
that have them; what candidates cost that share nothing, each another motor, is printed last.

Run: python tests/benchmarks/bench_shortlist.py [--quick]
"""

from __future__ import annotations

import resource
import sys
import time
from pathlib import Path
from statistics import median

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import numpy as np
from msgspec.structs import replace
from scipy.integrate import solve_ivp

from core.catalogue.parts_file import PartsFile, load_demo_parts
from core.evaluate import evaluate_candidate
from core.evaluation.duty import duty_at_shaft, duty_of
from core.evaluation.heat_model import HeatModel, heat_model
from core.evaluation.motor_model import motor_of
from core.evaluation.temperatures import CycleTemperatures, cycle_temperatures
from core.project.application import Application
from core.project.candidate import Candidate
from core.shortlist.batch import evaluate_chunk
from core.shortlist.choices import choices_of
from core.shortlist.runner import Task
from core.shortlist.runner import run as run_task
from core.shortlist.workers import processes
from tests.benchmarks.shortlist_catalogue import application, candidates, drives, frame

CHUNK = 2000
SAMPLE = 12


def run(project: Application, chosen: list[Candidate]) -> tuple[float, np.ndarray]:
    """Return the seconds of all chunks, and which candidates were computed whole."""
    fresh = replace(project, title=f"run {time.perf_counter()}")  # so that nothing is known from before
    whole = []
    begin = time.perf_counter()
    for start in range(0, len(chosen), CHUNK):
        whole.append(evaluate_chunk(fresh, chosen[start : start + CHUNK]).whole)
    return time.perf_counter() - begin, np.concatenate(whole)


def marched(temps: CycleTemperatures) -> int:
    """March the cycle of a candidate until it repeats to 1e-3 K and return the number of cycles it took."""
    network, pieces, law = temps.heat.network, temps.pieces, temps.heat.law
    loss, n, w = pieces.copper_at_reference(), len(network.nodes), network.winding
    now = np.full(n, temps.heat.ambient)
    magnets = np.full(pieces.duration.size, temps.heat.ambient)
    earlier = np.inf
    for count in range(1, 2000):
        before = now
        for j, duration in enumerate(pieces.duration):
            flux = 1.0 + law.magnet_temp_coefficient * (magnets[j] - law.magnet_ref_temp)
            matrix, inflow, watts = pieces.conductance[j], pieces.inflow[j], loss[j] / flux**2

            def slope(
                _: float,
                y: np.ndarray,
                matrix: np.ndarray = matrix,
                inflow: np.ndarray = inflow,
                watts: float = watts,
            ) -> np.ndarray:
                heat = inflow - matrix @ y[:n]
                heat[w] += watts * (law.copper_constant + y[w]) / (law.copper_constant + law.winding_ref_temp)
                return np.append(heat / network.capacity, y[network.magnets])

            one = solve_ivp(slope, (0.0, duration), np.append(now, 0.0), method="LSODA", rtol=1e-8, atol=1e-8)
            now = one.y[:n, -1]
            magnets[j] = one.y[n, -1] / duration
        change = float(np.abs(now - before).max())
        if change < 1e-3 * (1.0 - min(change / earlier, 1.0)):
            return count
        earlier = change
    raise RuntimeError("the march did not settle")


def temperatures(project: Application, chosen: Candidate) -> CycleTemperatures | None:
    """Return the temperatures of a candidate's cycle; None where it has none or runs away."""
    motor, trace = motor_of(project, chosen), duty_of(project, chosen.transmission)
    if motor is None:
        return None
    heat, duty = heat_model(project.site, motor), duty_at_shaft(trace, motor.inertia)
    return cycle_temperatures(duty, motor, heat) if duty is not None and isinstance(heat, HeatModel) else None


def growth(sizes: tuple[int, ...], segments: tuple[int, ...]) -> None:
    """Print time and memory over the number of candidates and of segments."""
    print("candidates  segments   seconds   us each   whole   most memory")
    for count in sizes:
        chosen = list(candidates(count))
        for number in segments:
            seconds, whole = run(application(number), chosen)
            memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
            each = 1e6 * seconds / count
            print(f"{count:10d} {number:9d} {seconds:9.2f} {each:9.1f} {whole.mean():7.0%} {memory:9.0f} MiB")


def over_workers(counts: tuple[int, ...]) -> None:
    """Print what two processes gain over one, the start of the processes and the sending included."""
    parts = load_demo_parts()
    made = PartsFile(drives=tuple(drives()), feedback=parts.feedback[:4], brakes=parts.brakes[:1])
    each_frame = len(choices_of([replace(made, motors=(frame(1.0),))], application(12)))
    print("candidates   workers   seconds   us each   times one worker")
    for count in counts:
        frames = -(-count // each_frame)
        motors = tuple(frame(10.0 ** (2.0 * (place + 0.5) / frames - 1.0)) for place in range(frames))
        choices = choices_of([replace(made, motors=motors)], application(12))
        alone = 0.0
        for workers in (1, 2):
            task = Task(replace(application(12), title=f"run {time.perf_counter()}"), choices)
            begin = time.perf_counter()
            done = sum(len(one) for _, one in run_task(task, processes(workers) if workers > 1 else None))
            seconds = time.perf_counter() - begin
            alone = alone or seconds
            each = 1e6 * seconds / done
            print(f"{done:10d} {workers:9d} {seconds:9.2f} {each:9.1f} {alone / seconds:18.2f}")


def shares(project: Application, count: int) -> None:
    """Print what a candidate costs that is ruled out and one that is not, and the ratios to other ways."""
    chosen = list(candidates(count))
    _, whole = run(project, chosen)
    kinds = {"ruled out": ~whole, "whole": whole}
    each = {}
    for name, mask in kinds.items():
        part = [one for one, here in zip(chosen, mask, strict=True) if here]
        seconds, _ = run(project, part)
        each[name] = 1e6 * seconds / len(part)
        print(f"{name:10s} {each[name]:9.1f} us each of {len(part)}")
    sample = [chosen[k] for k in np.linspace(0, count - 1, 40).astype(int).tolist()]
    times, marches = [], []
    for one in sample:
        begin = time.perf_counter()
        evaluate_candidate(project, one, 0)
        times.append(time.perf_counter() - begin)
    survivors = [chosen[k] for k in np.flatnonzero(whole)[:: max(int(whole.sum()) // SAMPLE, 1)].tolist()]
    for one in survivors[:SAMPLE]:
        found = temperatures(project, one)
        if found is not None and found.winding_peak is not None:
            begin = time.perf_counter()
            marched(found)
            marches.append(time.perf_counter() - begin)
    total, _ = run(project, chosen)
    single, march = median(times), median(marches)
    print(f"single evaluation {1e3 * single:8.2f} ms, {single / (total / count):8.0f} times a candidate here")
    print(
        f"LSODA march       {1e3 * march:8.1f} ms, {1e6 * march / each['whole']:8.0f} times a whole candidate"
    )


def unshared(project: Application) -> None:
    """Print what a candidate costs that shares nothing: each another frame, with one winding and drive."""
    drive = drives()[4]
    chosen = [
        Candidate(name="one", motor=motor, winding=motor.windings[1].name, variant=variant.kind, drive=drive)
        for motor in (frame(10.0 ** (place / 100.0 - 1.0)) for place in range(200))
        for variant in motor.variants
    ]
    seconds, whole = run(project, chosen)
    each = 1e6 * seconds / len(chosen)
    print(f"nothing shared {each:8.0f} us each of {len(chosen)}, {whole.mean():.0%} whole")


def main(quick: bool) -> None:
    project = application(12)
    evaluate_chunk(project, list(candidates(20)))  # the first call loads what is used later
    growth((1_000, 10_000) if quick else (1_000, 10_000, 100_000), (4, 12, 48))
    over_workers((10_000,) if quick else (1_000, 10_000, 100_000))
    shares(project, 10_000)
    unshared(project)


if __name__ == "__main__":
    main("--quick" in sys.argv)
