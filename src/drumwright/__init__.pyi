"""Types of the public names, which the package loads when they are first used."""

from drumwright.basis.errors import (
    DrumwrightError as DrumwrightError,
)
from drumwright.basis.errors import (
    FitError as FitError,
)
from drumwright.basis.errors import (
    FlowOutOfRange as FlowOutOfRange,
)
from drumwright.basis.errors import (
    InputError as InputError,
)
from drumwright.basis.errors import (
    NotJudgedYet as NotJudgedYet,
)
from drumwright.basis.errors import (
    PhraseError as PhraseError,
)
from drumwright.basis.errors import (
    Problem as Problem,
)
from drumwright.basis.errors import (
    QuantityError as QuantityError,
)
from drumwright.basis.errors import (
    StockError as StockError,
)
from drumwright.basis.estimate import (
    Estimate as Estimate,
)
from drumwright.basis.phrases import (
    Phrase as Phrase,
)
from drumwright.basis.phrases import (
    render as render,
)
from drumwright.basis.quantities import (
    read as read,
)
from drumwright.basis.quantities import (
    show as show,
)
from drumwright.report.files import (
    documents as documents,
)
from drumwright.report.files import (
    write as write,
)
from drumwright.station.casefile import (
    case_from_dict as case_from_dict,
)
from drumwright.station.casefile import (
    load as load,
)
from drumwright.station.casefile import (
    warnings as warnings,
)
from drumwright.station.casefile import (
    write_template as write_template,
)
from drumwright.station.records import (
    Case as Case,
)
from drumwright.study.asking import (
    questions as questions,
)
from drumwright.study.assess import (
    assess as assess,
)
from drumwright.study.control_sheet import (
    ControlSheet as ControlSheet,
)
from drumwright.study.control_sheet import (
    control as control,
)
from drumwright.study.difference import (
    difference as difference,
)
from drumwright.study.economics import (
    money as money,
)
from drumwright.study.fitting import (
    Fitted as Fitted,
)
from drumwright.study.fitting import (
    fit as fit,
)
from drumwright.study.matrix import (
    matrix as matrix,
)
from drumwright.study.result import (
    Assumption as Assumption,
)
from drumwright.study.result import (
    Figure as Figure,
)
from drumwright.study.result import (
    Finding as Finding,
)
from drumwright.study.result import (
    Question as Question,
)
from drumwright.study.result import (
    Result as Result,
)
from drumwright.study.run_study import (
    RunStudy as RunStudy,
)
from drumwright.study.run_study import (
    run as run,
)
from drumwright.study.run_study import (
    run_worst as run_worst,
)
from drumwright.study.shift import (
    ShiftStudy as ShiftStudy,
)
from drumwright.study.shift import (
    shift as shift,
)
from drumwright.study.shortlist import (
    shortlist as shortlist,
)
from drumwright.study.would_pass import (
    would_pass as would_pass,
)

__version__: str
__all__: list[str]
from drumwright.study.sweep import (
    sweep as sweep,
)
