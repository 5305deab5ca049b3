"""Studies of kept machines: each in a folder of its own beside the record, so that what is done of one outlives all."""

import json
import tempfile
import tomllib
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from steadyhead.bench.home import studies_folder
from steadyhead.flight.scenario_file import BUNDLED
from steadyhead.report.files import write_whole
from steadyhead.report.sentences import counted
from steadyhead.study.asked import Collects, Question, Study
from steadyhead.study.chunks import chunks
from steadyhead.study.design import size
from steadyhead.study.study_file import read_study
from steadyhead.words.errors import InputError, did_you_mean

STUDY_FILE = "study.toml"
AGAINST = {
    Collects.PLAN.value: ("flight_time_s", "head_room"),
    Collects.GOVERNOR.value: ("modulus_margin", "phase_margin_deg"),
}
"""Of which commands two figures can be traded, and which: more of both is better."""
OFFERED = (Collects.PLAN, Collects.FLY, Collects.GOVERNOR, Collects.DESCEND, Collects.BAIL_OUT)
"""What the small form offers: a pinion moves their figures, and they give a verdict."""


@dataclass(frozen=True, kw_only=True)
class KeptStudy:
    """One study that was begun."""

    name: str
    says: str
    """What it collects, what it asks, and of how many machines."""
    file: Path
    """The study file; the machine file lies beside it."""
    parts: int
    parts_done: int

    @property
    def done(self) -> bool:
        """Whether every part is worked out."""
        return self.parts_done == self.parts


def study_text(machine_file: str, collects: str, question: str, teeth: tuple[int, int], draws: int) -> str:
    """Return a study file that sweeps pinions from one to another, over the doubts that the machine file states.

    Valid: a trade of a command that AGAINST names.
    """
    against = f"against = {json.dumps(AGAINST[collects])}\n" if question == Question.TRADE else ""
    swept = ", ".join(map(str, range(teeth[0], teeth[1] + 1)))
    scenario = 'scenario = "climb_out"\n' if collects == Collects.FLY else ""
    return (
        f'name = "which pinion"\nmachine = {json.dumps(machine_file, ensure_ascii=False)}\ncollect = "{collects}"\n'
        f'{scenario}question = "{question}"\n{against}draws = {draws}\nseed = 1\nspreads = "all"\n\n'
        f"[sweep]\ngears.pinion_teeth = [{swept}]\n"
    )


def lay_out(record: Path, machine: str, text: str, machine_file: str, machine_text: str) -> KeptStudy:
    """Lay a study and its machine into a folder of their own beside the record; the same two are laid out once.

    Raises: InputError when the text is no study of this machine, or names a file that does not lie beside it, or
    nothing can be written.
    """
    _refuse_elsewhere(text, machine_file)
    contents = {STUDY_FILE: text.encode(), machine_file: machine_text.encode()}
    with tempfile.TemporaryDirectory(prefix="steadyhead-") as tried:
        write_whole({Path(tried) / name: held for name, held in contents.items()})
        read_study(Path(tried) / STUDY_FILE)
    place = _folder(record, machine) / _digest(f"{machine_text}\n{text}")
    try:
        write_whole({place / name: held for name, held in contents.items()})
    except OSError as error:
        read = f"a place that cannot be written ({error.strerror or error})"
        raise InputError(str(place.parent), read=read, right="room on the disk beside the record") from error
    return _kept(read_study(place / STUDY_FILE), place)


def kept_studies(record: Path, machine: str) -> tuple[KeptStudy, ...]:
    """Return the studies that were begun for a machine, the last begun first; one that no longer reads is left out."""
    files = _folder(record, machine).glob(f"*/{STUDY_FILE}")
    return tuple(one for file in sorted(files, key=_begun, reverse=True) for one in _readable(file))


def _readable(file: Path) -> tuple[KeptStudy, ...]:
    try:
        return (_kept(read_study(file), file.parent),)
    except InputError:
        return ()


def _begun(file: Path) -> float:
    return file.stat().st_mtime


def _folder(record: Path, machine: str) -> Path:
    return studies_folder(record) / _digest(machine)


def _digest(text: str) -> str:
    return sha256(text.encode()).hexdigest()[:16]


def _kept(study: Study, place: Path) -> KeptStudy:
    parts = chunks(study, place)
    done = sum(part.path.is_file() for part in parts)
    says = f"{study.collects}, {study.question}, {counted(size(study), 'machine')}"
    return KeptStudy(name=study.name, says=says, file=place / STUDY_FILE, parts=len(parts), parts_done=done)


def _refuse_elsewhere(text: str, machine_file: str) -> None:
    """Refuse a study that reaches beyond its folder: it came in through a page."""
    if machine_file == STUDY_FILE or Path(machine_file).name != machine_file:
        raise InputError("the machine file", read=machine_file[:80], right=f"another name than {STUDY_FILE}")
    try:
        raw = tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        raise InputError(STUDY_FILE, read=f"a text that is no TOML ({error})", right="a study file in TOML") from error
    if raw.get("machine") != machine_file:
        read = "nothing" if "machine" not in raw else repr(raw["machine"])[:80]
        raise InputError(f"{STUDY_FILE}, machine", read=read, right=f'"{machine_file}", the file of this machine')
    scenario = raw.get("scenario")
    if scenario is not None and scenario not in BUNDLED:
        right = did_you_mean(str(scenario)[:60], BUNDLED)
        raise InputError(f"{STUDY_FILE}, scenario", read=repr(scenario)[:80], right=right)
