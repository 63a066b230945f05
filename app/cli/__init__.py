"""Where the program starts: the commands, and without one of them the window.

Names, options, the JSON object and the exit codes are what scripts rely on: they stay as they
are. Next to nothing is imported up here: until `main` has begun, an interruption ends in a
traceback.
"""

import sys

INTERRUPTED = 130
"""What shells give for a program that was interrupted: 128 and the number of SIGINT."""

COMMANDS = {
    "new": ("app.cli.new_command", "new_command"),
    "figures": ("app.cli.commands", "figures_command"),
    "check": ("app.cli.commands", "check_command"),
    "export": ("app.cli.commands", "export_command"),
    "redesign": ("app.cli.redesign_command", "redesign_command"),
    "materials": ("app.cli.materials_command", "materials_command"),
    "steps": ("app.cli.commands", "steps_command"),
    "booklet": ("app.cli.commands", "booklet_command"),
}
"""Command -> the module and the function that carry it out."""


def main(argv: list[str] | tuple[str, ...] | None = None) -> int:
    """Carry out one command line, without the program's name; returns the exit code.

    No word at all, or a bag file alone, opens the window. With None it is the words that this
    process was started with, which is then wholly the command's: an interruption ends it.
    """
    try:
        if argv is None:
            # From here on the system ends the program, with no traceback from wherever it is: a
            # shell's loop waits for that in order to end, too. Nothing is left half done: while a
            # file is written the signal is held (app/cli/files.py). The window sets its own
            # handler. Who had it ignored, as shells do for what they start with `&`, keeps it so.
            import signal

            if signal.getsignal(signal.SIGINT) is not signal.SIG_IGN:
                signal.signal(signal.SIGINT, signal.SIG_DFL)
        from app.cli.program import carry_out, open_closed_streams

        if argv is None:
            open_closed_streams()
        return carry_out(sys.argv[1:] if argv is None else list(argv))
    except KeyboardInterrupt:
        return INTERRUPTED
