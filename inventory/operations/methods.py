"""Write down how plants are raised: methods and their steps.

These rows are no ledger: they may be changed, and what was done by them stays as it was.
"""

from django.db.models import Max

from inventory.errors import LedgerError
from inventory.models import Method, MethodStep, Plant
from inventory.operations.catalogue import NameTaken
from inventory.operations.posting import ledger_held
from inventory.starter_methods import STARTERS

COPIED = ("work", "name", "timing", "from_days", "to_days", "first_month", "first_day")
COPIED += ("last_month", "last_day", "hormone_form", "hormone_ppm", "note", "source")


@ledger_held()
def add_method(*, name: str, **details) -> Method:
    """Add a method without steps, or return it where it was added alike before."""
    name = _tidy(name)
    there = Method.objects.filter(name__iexact=name).first()
    if there is None:
        return Method.objects.create(name=name, **details)
    if there.is_removed or any(getattr(there, key) != value for key, value in details.items()):
        raise NameTaken(f"{there.name} is another method. Choose another name.")
    return there


@ledger_held()
def edit_method(*, method: Method, name: str, **details) -> Method:
    """Change what a method is called and for. Batches raised by it keep it."""
    name = _tidy(name)
    if Method.objects.exclude(pk=method.pk).filter(name__iexact=name).exists():
        raise NameTaken(f"{name} is another method. Choose another name.")
    for key, value in {"name": name, **details}.items():
        setattr(method, key, value)
    method.save()
    return method


@ledger_held()
def copy_starter(*, key: str) -> Method:
    """Copy a ready-made method, or return the copy that is there already."""
    starter = STARTERS[key]
    there = Method.objects.filter(name__iexact=starter.name).first()
    if there:
        return _shown(there)
    facts = {name: getattr(starter, name) for name in ("name", "wood", "source", "note")}
    method = Method.objects.create(**facts)
    made: list[MethodStep] = []
    for position, step in enumerate(starter.steps, start=1):
        facts = dict(vars(step))
        after = facts.pop("after")
        facts["after"] = None if after is None else made[after]
        made.append(MethodStep.objects.create(method=method, position=position, **facts))
    return method


@ledger_held()
def copy_method(*, method: Method, name: str, plant: Plant | None = None) -> Method:
    """Copy a method with its steps under another name, for one plant or for all.

    The same copy once more returns the first.
    """
    facts = {"wood": method.wood, "source": method.source, "note": method.note}
    copy = add_method(name=name, plant=plant, **facts)
    if copy.pk == method.pk:
        raise NameTaken("The copy needs a name of its own.")
    if copy.steps.exists():
        return copy
    made: dict[int, MethodStep] = {}
    # A step stands behind the one it comes after only by chance, so they are joined last.
    for step in method.steps.filter(is_removed=False):
        facts = {key: getattr(step, key) for key in COPIED}
        made[step.pk] = MethodStep.objects.create(method=copy, position=step.position, **facts)
    for step in method.steps.filter(pk__in=made, after__in=made):
        made[step.pk].after = made[step.after_id]
        made[step.pk].save(update_fields=["after"])
    return copy


@ledger_held()
def remove_method(*, method: Method) -> None:
    """Take a method off the lists; batches raised by it keep its steps."""
    Method.objects.filter(pk=method.pk).update(is_removed=True)


@ledger_held()
def put_method_back(*, method: Method) -> None:
    """Put a method back that was taken off."""
    Method.objects.filter(pk=method.pk).update(is_removed=False)


@ledger_held()
def add_step(*, method: Method, **facts) -> MethodStep:
    """Add a step to a method. The same step once more returns the first.

    Raises LedgerError where it comes after a step of another method.
    """
    there = method.steps.filter(is_removed=False, **facts).first()
    if there:
        return there
    step = MethodStep(method=method, **facts)
    _refuse_ring(step)
    last = method.steps.aggregate(last=Max("position"))["last"] or 0
    step.position = last + 1
    step.save()
    return step


@ledger_held()
def edit_step(*, step: MethodStep, **facts) -> MethodStep:
    """Change a step. What was done by it stays, under the name it had then.

    Raises LedgerError where it would come after itself, on whatever way.
    """
    for key, value in facts.items():
        setattr(step, key, value)
    _refuse_ring(step)
    step.save()
    return step


@ledger_held()
def remove_step(*, step: MethodStep) -> None:
    """Take a step out of its method; steps after it lose their time until it is back.

    Raises LedgerError while another step counts from it.
    """
    follower = step.followers.filter(is_removed=False).first()
    if follower:
        raise LedgerError(
            f"“{follower.name}” counts from “{step.name}”. Let it count from another step first."
        )
    MethodStep.objects.filter(pk=step.pk).update(is_removed=True)


@ledger_held()
def put_step_back(*, step: MethodStep) -> None:
    """Put a step back into its method."""
    MethodStep.objects.filter(pk=step.pk).update(is_removed=False)


def _refuse_ring(step):
    before, seen = step.after, set()
    while before is not None:
        if before.method_id != step.method_id:
            raise LedgerError(f"“{before}” is a step of another method.", field="after")
        if before.pk == step.pk or before.pk in seen:
            raise LedgerError(
                f"“{step.name}” would count from itself. Choose an earlier step, or the start.",
                field="after",
            )
        seen.add(before.pk)
        before = before.after


def _shown(method):
    if method.is_removed:
        put_method_back(method=method)
        method.is_removed = False
    return method


def _tidy(name):
    name = " ".join(name.split())
    if not name:
        raise LedgerError("Give the method a name.", field="name")
    return name
