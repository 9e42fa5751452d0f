"""JSON Schema of every kind of hand-written file, generated from the models, for completion and help in editors."""

import json
import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from pydantic.json_schema import GenerateJsonSchema, JsonSchemaValue
from pydantic_core import core_schema

from coach.authoring.hazard_log import Hazards
from coach.frozen import FromFile
from coach.model.answers_file import Answers
from coach.model.caseload import Needs
from coach.model.condition import Conditions, ConditionsMessages
from coach.model.content_entries import Clinic, ClinicLimits, Form, Limits, Rules, Safety
from coach.model.exercise import Exercise
from coach.model.measured.measured_set import MeasuredSet
from coach.model.messages.client import ClientMessages
from coach.model.messages.coach import CoachMessages
from coach.model.messages.entries import ClinicCautions, ExerciseMessages, FormMessages, RulesMessages, SafetyMessages
from coach.model.messages.letter import LetterMessages
from coach.model.messages.therapist import TherapistMessages
from coach.model.messages.wording import Wording
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.model.programme.instruction_file import InstructionFile
from coach.model.programme.programme import Programme
from coach.model.programme.session_file import SessionFile
from coach.model.programme.visit_file import VisitFile
from coach.toml.diagnostic import FileFault, error_reason, whole_file
from coach.toml.expected import FORMS
from coach.toml.explained import model_of
from coach.toml.reader import read_text

SCHEMA = "schema"  # the folder inside the content folder
_OURS = "Made from the models by `coach schema`."

KINDS: Mapping[str, type[FromFile]] = {
    "profile": Profile,
    "prescription": Prescription,
    "programme": Programme,
    "instruction": InstructionFile,
    "visit": VisitFile,
    "session": SessionFile,
    "answers": Answers,
    "measured_set": MeasuredSet,
    "exercise": Exercise,
    "limits": Limits,
    "rules": Rules,
    "form": Form,
    "safety": Safety,
    "caseload": Needs,
    "conditions": Conditions,
    "hazards": Hazards,
    "exercise_messages": ExerciseMessages,
    "form_messages": FormMessages,
    "safety_messages": SafetyMessages,
    "rules_messages": RulesMessages,
    "client_messages": ClientMessages,
    "conditions_messages": ConditionsMessages,
    "clinic_limits": ClinicLimits,
    "clinic_safety_messages": ClinicCautions,
    "therapist_messages": TherapistMessages,
    "coach_messages": CoachMessages,
    "letter_messages": LetterMessages,
    "clinic": Clinic,
    "wording_messages": Wording,
}


class _ForEditors(GenerateJsonSchema):
    """Without titles that only repeat a key, and without null, which TOML does not have."""

    def field_title_should_be_set(self, _: Any) -> bool:
        return False

    def model_schema(self, schema: core_schema.ModelSchema) -> JsonSchemaValue:
        made = super().model_schema(schema)
        made.pop("title", None)
        return made

    def nullable_schema(self, schema: core_schema.NullableSchema) -> JsonSchemaValue:
        return self.generate_inner(schema["schema"])

    def default_schema(self, schema: core_schema.WithDefaultSchema) -> JsonSchemaValue:
        made = super().default_schema(schema)
        if made.get("default", made) in (None, {}, []):
            made.pop("default", None)
        return made

    def str_schema(self, schema: core_schema.StringSchema) -> JsonSchemaValue:
        """A pattern is described in words as well."""
        made = super().str_schema(schema)
        form = FORMS.get(made.get("pattern", ""))
        return {**made, "description": form} if form else made

    def dict_schema(self, schema: core_schema.DictSchema) -> JsonSchemaValue:
        """Known keys become properties, so that an editor can offer them; no other key is allowed."""
        made = super().dict_schema(schema)
        keys = made.get("propertyNames", {}).get("enum")
        if keys is None:
            return {**made, "additionalProperties": False} if "patternProperties" in made else made
        return {
            "type": "object",
            "properties": dict.fromkeys(keys, made["additionalProperties"]),
            "additionalProperties": False,
        }


def schema_of(model: type[FromFile]) -> dict[str, Any]:
    """The JSON Schema of one kind of file (draft 2020-12)."""
    made = model_of(model).model_json_schema(schema_generator=_ForEditors)
    return {"$schema": GenerateJsonSchema.schema_dialect, "$comment": _OURS, **made}


def write_schemas(folder: Path) -> int:
    """Write the schema of every kind of file into a folder, over older ones, and return their number.

    Raises FileFault if a file of that name is not one of these schemas, or if the folder cannot be written.
    """
    files = {folder / f"{kind}.json": schema_of(model) for kind, model in KINDS.items()}
    taken = [path for path in files if os.path.lexists(path) and not _is_ours(path)]
    if taken:
        what, fix = "it exists already and is not a schema of this program", "choose another folder"
        raise FileFault([whole_file(path, what, "a new file, or an older schema", fix) for path in taken])
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for path, schema in files.items():
            path.write_bytes(f"{json.dumps(schema, ensure_ascii=False, indent=1)}\n".encode())
    except OSError as error:
        what = f"it cannot be written: {error_reason(error)}"
        raise FileFault([whole_file(folder, what, fix="choose another folder")]) from None
    return len(files)


def _is_ours(path: Path) -> bool:
    """Whether the path is a schema that this program wrote, and not a folder, a pipe or another file."""
    try:
        return _OURS in read_text(path)
    except FileFault:
        return False
