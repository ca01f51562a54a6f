"""`torquelog completion`: the lines that teach a shell which words may follow."""

from typing import Final

import click

from torquelog.cli.answer import Answer
from torquelog.cli.command import Example, command
from torquelog.cli.context import Context
from torquelog.errors import TorquelogError

BASH: Final = """\
# Completion of torquelog for bash. In ~/.bashrc:  eval "$(torquelog completion bash)"
_torquelog_complete() {
    local kind="" word rest
    COMPREPLY=()
    while IFS=$'\\t' read -r word rest; do
        if [ -z "$kind" ]; then kind=$word; else COMPREPLY+=("$word"); fi
    done < <(_TORQUELOG_COMPLETE=bash _TORQUELOG_LINE="${COMP_LINE:0:COMP_POINT}" \\
        _TORQUELOG_BREAKS="$COMP_WORDBREAKS" command torquelog 2>/dev/null </dev/null)
    if [ "$kind" = files ]; then compopt -o default 2>/dev/null; fi
}
complete -F _torquelog_complete torquelog
"""

ZSH: Final = """\
#compdef torquelog
# Completion of torquelog for zsh. In ~/.zshrc, behind compinit:  eval "$(torquelog completion zsh)"
_torquelog() {
    local line answer
    local -a answers names told
    line="${(j: :)words[1,CURRENT-1]} $PREFIX"
    answers=("${(@f)$(_TORQUELOG_COMPLETE=zsh _TORQUELOG_LINE="$line" command torquelog 2>/dev/null </dev/null)}")
    if [[ $answers[1] == files ]]; then _files; return; fi
    for answer in "${(@)answers[2,-1]}"; do
        names+=("${answer%%$'\\t'*}")
        told+=("${answer//$'\\t'/  }")
    done
    compadd -M 'm:{a-z}={A-Z}' -l -d told -a names
}
if [[ $zsh_eval_context[-1] == loadautofunc ]]; then _torquelog "$@"; else compdef _torquelog torquelog; fi
"""

FISH: Final = """\
# Completion of torquelog for fish: torquelog completion fish > ~/.config/fish/completions/torquelog.fish
function __torquelog_complete
    set -l answers (env _TORQUELOG_COMPLETE=fish _TORQUELOG_LINE=(commandline -cp | string collect) \\
        torquelog 2>/dev/null </dev/null)
    if test "$answers[1]" = files
        __fish_complete_path (commandline -ct)
    else
        printf '%s\\n' $answers[2..-1]
    end
end
complete -c torquelog -f -a '(__torquelog_complete)'
"""

SCRIPTS: Final = {"bash": BASH, "zsh": ZSH, "fish": FISH}


@command(
    "completion",
    short="Print what teaches your shell to complete words.",
    examples=(
        Example("torquelog completion bash", 'in ~/.bashrc: eval "$(torquelog completion bash)"'),
        Example("torquelog completion zsh", "in ~/.zshrc, behind compinit, in the same way"),
        Example("torquelog completion fish", "> ~/.config/fish/completions/torquelog.fish"),
    ),
)
@click.argument("shell", metavar="SHELL")
def completion(context: Context, shell: str) -> Answer:
    """SHELL is bash, zsh or fish.

    From then on the Tab key completes commands, options, and the names on record: wrenches, adapters, jobs, fasteners,
    cards, aircraft, assemblies, recalls, people. It reads the record that TORQUELOG_DB or --db names, else the usual
    one, and writes nothing.
    """
    script = SCRIPTS.get(shell)
    if script is None:
        raise TorquelogError(
            "argument", f"There is no completion for {shell}.", hint="torquelog completion bash, zsh or fish"
        )
    return Answer(body=tuple(script.rstrip("\n").split("\n")), data={"shell": shell, "script": script})
