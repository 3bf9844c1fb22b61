"""What the command says to a slip of the finger, and what shells complete."""

import shutil
import subprocess

import pytest

from drawbar import cli


def said(capsys, *words):
    with pytest.raises(SystemExit) as ended:
        cli.main(list(words))
    assert ended.value.code == 2
    return capsys.readouterr().err.splitlines()[-1]


@pytest.mark.parametrize(
    ("words", "meant"),
    [
        (("mtch", "farm.toml"), "match"),
        (("match", "farm.toml", "--untis", "us"), "--units"),
        (("match", "farm.toml", "--units", "metrik"), "metric"),
        (("picture", "fit-mpa", "farm.toml", "-o", "a.svg"), "fit-map"),
        (("shell-completion", "bahs"), "bash"),
    ],
)
def test_a_slip_is_answered_with_what_was_meant(capsys, words, meant):
    assert said(capsys, *words).endswith(f"; did you mean {meant}?")


def test_an_option_of_other_commands_says_whose_it_is(capsys):
    told = said(capsys, "season", "farm.toml", "--tractor", "elk")
    assert told.endswith("; it belongs to drawbar match, drawbar picture, drawbar sheet")


def test_what_is_like_nothing_gets_no_suggestion(capsys):
    assert "did you mean" not in said(capsys, "xyzzy")


def completed(script, *words):
    line = " ".join(f'"{word}"' for word in words)
    code = f'{script}\nCOMP_WORDS=({line}); COMP_CWORD={len(words) - 1}; _drawbar; printf "%s\\n" "${{COMPREPLY[@]}}"'
    return subprocess.run(("bash", "-c", code), capture_output=True, text=True, check=True).stdout.split()


@pytest.mark.skipif(shutil.which("bash") is None, reason="bash is not there")
def test_bash_completes_commands_options_and_words(capsys):
    assert cli.main(["shell-completion", "bash"]) == 0
    script = capsys.readouterr().out
    assert completed(script, "drawbar", "ma") == ["match"]
    assert completed(script, "drawbar", "match", "--fi") == ["--field"]
    assert completed(script, "drawbar", "picture", "fit") == ["fit-map"]


@pytest.mark.parametrize("shell", ["zsh", "fish"])
def test_the_others_know_every_command(capsys, shell):
    assert cli.main(["shell-completion", shell]) == 0
    script = capsys.readouterr().out
    assert all(name in script for name in ("match", "season", "shell-completion", "--units"))
    if shutil.which(shell):
        subprocess.run((shell, "-n"), input=script, text=True, check=True)
