"""`coach schema`: JSON Schemas of all hand-written files, for an editor."""

import argparse

from coach.commands.support.arguments import Commands, add_command, add_target
from coach.commands.support.coach_content import coach_messages
from coach.commands.support.output import print_result


def add_commands(commands: Commands) -> None:
    """Add schema."""
    schema = add_command(
        commands,
        "schema",
        _schema,
        "write the JSON Schemas of all hand-written files",
        "An editor with a TOML language server uses them for completion and help. The "
        "first line of each file names its schema.",
        ("coach schema --to content/schema",),
        client=False,
    )
    add_target(schema, "FOLDER", "the folder to write the schemas to")


def _schema(arguments: argparse.Namespace) -> int:
    from coach.authoring.schema import write_schemas
    from coach.model.message_format import fill

    count = write_schemas(arguments.to)
    return print_result(fill(coach_messages().schemas_written, {"count": count, "folder": arguments.to}))
