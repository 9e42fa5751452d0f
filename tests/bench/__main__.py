"""Every bench but those of phases and flicker, which need a terminal and minutes: `python -m tests.bench`."""

from collections.abc import Callable

from tests.bench import (
    bench_answer,
    bench_caseload,
    bench_commands,
    bench_drawing,
    bench_exchange,
    bench_first_screen,
    bench_forecast,
    bench_history,
    bench_measured,
    bench_mechanics,
    bench_scale,
    bench_set_frame,
)

BENCHES: dict[str, Callable[[], None]] = {
    "First screen": bench_first_screen.main,
    "Commands": bench_commands.main,
    "An answer on the disk": bench_answer.main,
    "Ten years of history": bench_history.main,
    "A caseload": bench_caseload.main,
    "Folders of clients": bench_scale.main,
    "Torque curve and ladder": bench_mechanics.main,
    "A sealed file": bench_exchange.main,
    "A minute of a sensor": bench_measured.main,
    "Drawings": bench_drawing.main,
    "A frame of a set": bench_set_frame.main,
    "Virtual clients": bench_forecast.main,
}


def main() -> None:
    """Print every table under its heading."""
    for title, bench in BENCHES.items():
        print(f"\n{title}", flush=True)
        bench()


if __name__ == "__main__":
    main()
