"""click's complaints about a command line, in our words and with our codes."""

from difflib import get_close_matches

import click

from torquelog.cli.command import unmasked
from torquelog.cli.context import Context
from torquelog.errors import TorquelogError


def explained(context: Context, error: click.ClickException) -> TorquelogError:
    """The error to show instead of click's: what was wrong on the line, and where to read how it goes.

    Codes: needs-option for a demanded option that is missing, else argument.
    """
    ctx = error.ctx if isinstance(error, click.UsageError) else None
    hint = f"{f'torquelog {context.command}'.strip()} --help"
    if isinstance(error, click.MissingParameter) and isinstance(error.param, click.Option):
        return TorquelogError("needs-option", f"{option_name(error.param)} is needed.", hint=hint)
    return TorquelogError("argument", unmasked(sentence(error, ctx)), hint=hint)


def sentence(error: click.ClickException, ctx: click.Context | None) -> str:
    """What was wrong, in a sentence."""
    if isinstance(error, click.MissingParameter) and error.param is not None:
        return f"{error.param.human_readable_name} is missing: {usage(ctx)}"
    if isinstance(error, click.NoSuchOption):
        return f"There is no option {error.option_name} here.{meant(error.option_name, ctx)}"
    if isinstance(error, click.BadOptionUsage):
        return f"{error.option_name} {'takes no' if 'not take' in error.message else 'needs a'} value."
    if isinstance(error, click.BadParameter) and error.param is not None:
        return f"{parameter_name(error.param)}: {error.message}"
    return error.message


def option_name(option: click.Parameter) -> str:
    """The long name of an option."""
    return max(option.opts, key=len)


def parameter_name(parameter: click.Parameter) -> str:
    """What a person calls a parameter: "--unit", or "UNIT" for a plain word."""
    return option_name(parameter) if isinstance(parameter, click.Option) else parameter.human_readable_name


def usage(ctx: click.Context | None) -> str:
    """How the command goes, in one line."""
    if ctx is None:
        return ""
    return " ".join([ctx.command_path, *ctx.command.collect_usage_pieces(ctx)]).replace("[OPTIONS] ", "")


def meant(name: str, ctx: click.Context | None) -> str:
    """The option that may have been meant."""
    names = [] if ctx is None else [word for parameter in ctx.command.params for word in parameter.opts]
    close = get_close_matches(name, names, n=1)
    return f" Did you mean {close[0]}?" if close else ""
