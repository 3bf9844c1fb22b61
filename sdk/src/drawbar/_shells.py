"""The words of the command for people at a terminal: what was meant by a slip, and completion in their shell."""

from __future__ import annotations

import argparse
import difflib
import re
from collections.abc import Iterator, Sequence
from typing import Any, Final, NoReturn, cast

SHELLS: Final = ("bash", "zsh", "fish")
_CHOICE: Final = re.compile(r"invalid choice: '([^']*)'")
_UNKNOWN: Final = re.compile(r"unrecognized arguments: (--[\w-]+)")


class Parser(argparse.ArgumentParser):
    """A parser that says what may have been meant."""

    def error(self, message: str) -> NoReturn:
        """Say what is wrong with the words of the command, and end.

        Parameters
        ----------
        message
            As argparse puts it.
        """
        slip = _CHOICE.search(message) or _UNKNOWN.search(message)
        meant: Sequence[str] = ()
        takers = [name for name, parser in commands_of(self) if slip is not None and slip[1] in options_of(parser)]
        if takers:
            super().error(f"{message}; it belongs to drawbar {', drawbar '.join(takers)}")
        if slip is not None:
            known = options_of(self) if slip[1].startswith("-") else list(_choices(self))
            deeper = [word for _, parser in commands_of(self) for word in options_of(parser)]
            meant = difflib.get_close_matches(slip[1], [*known, *(deeper if slip[1].startswith("-") else ())], n=1)
        hint = f"; did you mean {meant[0]}?" if meant else ""
        super().error(message + hint)


def commands_of(parser: argparse.ArgumentParser) -> Iterator[tuple[str, argparse.ArgumentParser]]:
    """Yield the commands of a parser, each with its own.

    Parameters
    ----------
    parser
        Of the whole command.
    """
    for action in parser._actions:  # argparse has no other way to them
        choices: Any = action.choices
        if isinstance(choices, dict):
            yield from cast("dict[str, argparse.ArgumentParser]", choices).items()


def options_of(parser: argparse.ArgumentParser) -> list[str]:
    """Give the options of a parser that are written out.

    Parameters
    ----------
    parser
        Of one command.
    """
    return [word for action in parser._actions for word in action.option_strings if word.startswith("--")]


def _choices(parser: argparse.ArgumentParser) -> Iterator[str]:
    for action in parser._actions:
        choices: Any = action.choices
        if choices is not None:
            yield from (str(word) for word in choices)


def script(shell: str, parser: argparse.ArgumentParser) -> str:
    """Give the script that completes the command in a shell.

    Parameters
    ----------
    shell
        One of `SHELLS`.
    parser
        Of the whole command.
    """
    commands = {name: [*_choices(one), *options_of(one)] for name, one in commands_of(parser)}
    if shell == "fish":
        lines = ["complete -c drawbar -n __fish_use_subcommand -f -a '" + " ".join(commands) + "'"]
        lines += [
            f"complete -c drawbar -n '__fish_seen_subcommand_from {name}' -a '{' '.join(words)}'"
            for name, words in commands.items()
        ]
        return "\n".join(lines) + "\n"
    cases = "\n".join(f'        {name}) words="{" ".join(words)}" ;;' for name, words in commands.items())
    start = "autoload -U +X bashcompinit && bashcompinit\n" if shell == "zsh" else ""
    return f"""{start}_drawbar() {{
    local words here="${{COMP_WORDS[COMP_CWORD]}}"
    if [ "$COMP_CWORD" -eq 1 ]; then
        words="{" ".join(commands)}"
    else
        case "${{COMP_WORDS[1]}}" in
{cases}
        esac
    fi
    COMPREPLY=($(compgen -W "$words" -- "$here"))
    if [ -z "${{COMPREPLY[*]}}" ]; then COMPREPLY=($(compgen -f -- "$here")); fi
}}
complete -o filenames -F _drawbar drawbar
"""
