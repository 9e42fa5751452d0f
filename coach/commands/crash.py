"""What a fault of the program says: where it is, and nothing of the client's."""

from pathlib import Path


def crash_line(error: BaseException) -> str:
    """What a crash says: the kind of error and its place in the program, and nothing of the client's."""
    trace, where = error.__traceback__, "an unknown place"
    while trace is not None:
        if "coach" in Path(trace.tb_frame.f_code.co_filename).parts:
            where = f"{Path(trace.tb_frame.f_code.co_filename).name}, line {trace.tb_lineno}"
        trace = trace.tb_next
    return (
        f"A fault in the program itself: {type(error).__name__} at {where}.\n"
        "Every answer that the next screen followed is saved. Start the same command again to go on."
    )
