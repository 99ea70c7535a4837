"""What must hold of a dialogue file beyond its shape. Every complaint names file, line and field."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from bot.datafile import Document
from bot.dialogue.schema import END, OPEN, Branch, Dialogue, Step
from bot.dialogue.vocabulary import Computation, Quantity, Vocabulary

SCOPES = ("farmer", "pile", "talk")
PLACEHOLDER = re.compile(r"\{([^{}]*)\}")
Facts = Mapping[str, Quantity]


def check_dialogue(
    dialogue: Dialogue,
    document: Document,
    others: Mapping[str, Dialogue],
    facts: Facts,
    vocabulary: Vocabulary,
) -> None:
    """Raise BadFile at the first mistake of this dialogue."""
    _Checker(dialogue, document, others, facts, vocabulary).check()


def check_placeholders(text: str, field: str, document: Document, facts: Facts) -> None:
    """Every {name} in the text is a fact, and no brace stands alone."""
    for name in PLACEHOLDER.findall(text):
        if name not in facts:
            raise document.error(field, f"the text uses {{{name}}}, which is no fact here")
    if "{" in (bare := PLACEHOLDER.sub("", text)) or "}" in bare:
        raise document.error(field, "a { or } stands alone")


class _Checker:
    def __init__(
        self,
        dialogue: Dialogue,
        document: Document,
        others: Mapping[str, Dialogue],
        facts: Facts,
        vocabulary: Vocabulary,
    ) -> None:
        self.dialogue, self.document, self.others, self.vocabulary = dialogue, document, others, vocabulary
        self.facts = {**facts, **dict(_outputs(dialogue, vocabulary))}

    def fail(self, field: str, problem: str) -> Exception:
        return self.document.error(field, problem)

    def check(self) -> None:
        self._check_openings()
        for name, step in self.dialogue.steps.items():
            self._check_step(f"steps.{name}", step)
        self._check_reachable()

    def _check_openings(self) -> None:
        for i, opening in enumerate(self.dialogue.opens_on):
            field = f"opens_on[{i}]"
            if opening.topic and opening.topic not in self.vocabulary.topics:
                raise self.fail(f"{field}.topic", f"{opening.topic!r} is no topic of the word lists")
            if opening.word and opening.word not in self.vocabulary.reply_words:
                raise self.fail(f"{field}.word", f"{opening.word!r} is no reply word of the word lists")
            if opening.has and f"message.{opening.has}" not in self.vocabulary.given:
                raise self.fail(f"{field}.has", f"a message has no {opening.has!r}")
            if [opening.topic, opening.word, opening.has].count(None) != 2:
                raise self.fail(field, "needs one of topic, word, has")
        if self.dialogue.of_a_pile and self.dialogue.without_pile not in self.others:
            raise self.fail("without_pile", "must name the dialogue for a farmer who has no pile")

    def _check_step(self, field: str, step: Step) -> None:
        for i, action in enumerate(step.do):
            if action not in self.vocabulary.actions:
                raise self.fail(f"{field}.do[{i}]", f"{action!r} is no action")
        for i, work in enumerate(step.work_out):
            for name, using in work.items():
                self._check_computation(f"{field}.work_out[{i}].{name}", name, using)
        for fact, value in step.set.items():
            self._check_set(f"{field}.set.{fact}", fact, value)
        for i, fact in enumerate(step.forget):
            self._need_own(f"{field}.forget[{i}]", fact)
        self._check_later(field, step)
        for place, text in step.texts():
            check_placeholders(text, f"{field}.{place}", self.document, self.facts)
        self._check_question(field, step)
        self._check_way_on(field, step)

    def _check_computation(self, field: str, name: str, using: dict[str, str]) -> None:
        computation = self.vocabulary.computations.get(name)
        if computation is None:
            known = ", ".join(sorted(self.vocabulary.computations))
            raise self.fail(field, f"{name!r} is no computation; there are {known}")
        for given, fact in using.items():
            wanted = computation.inputs.get(given)
            if wanted is None:
                raise self.fail(f"{field}.{given}", f"{name} takes {', '.join(computation.inputs)}")
            if (have := self._need(f"{field}.{given}", fact)).kind != wanted.kind:
                raise self.fail(f"{field}.{given}", f"{fact} is a {have.kind}, {name} takes a {wanted.kind}")
        for missing in (n for n, q in computation.inputs.items() if not q.optional and n not in using):
            raise self.fail(field, f"{name} also needs {missing}")

    def _check_set(self, field: str, fact: str, value: str) -> None:
        own = self._need_own(field, fact)
        if value in self.facts:
            if self.facts[value].kind != own.kind:
                raise self.fail(field, f"{fact} is a {own.kind}, {value} is a {self.facts[value].kind}")
        elif own.values and value not in own.values:
            raise self.fail(field, f"{value!r} is none of {', '.join(own.values)}")

    def _check_later(self, field: str, step: Step) -> None:
        for i, later in enumerate(step.later):
            self._need_dialogue(f"{field}.later[{i}].open", later.open)
            if later.fixed is None and self._need(f"{field}.later[{i}].days", later.days).kind != "days":
                raise self.fail(f"{field}.later[{i}].days", f"{later.days} is not a number of days")
        for group in ("cancel", "close"):
            for i, name in enumerate(getattr(step, group)):
                self._need_dialogue(f"{field}.{group}[{i}]", name)

    def _check_question(self, field: str, step: Step) -> None:
        if bool(step.ask) != bool(step.expect):
            raise self.fail(field, "ask and expect go together")
        for extra in ("again", "shortly", "also", "keep", "answers", "lost", "among", "unless_known"):
            if getattr(step, extra) and not step.ask:
                raise self.fail(f"{field}.{extra}", "makes sense only with ask")
        if not step.ask:
            return
        kind = self.vocabulary.kinds.get(step.expect)
        if kind is None or kind.take is None:
            raise self.fail(f"{field}.expect", f"{step.expect!r} is no kind that can be asked for")
        if step.keep and (own := self._need_own(f"{field}.keep", step.keep)).kind != step.expect:
            raise self.fail(f"{field}.keep", f"{step.keep} is a {own.kind}, the answer is a {step.expect}")
        if step.among:
            self._need(f"{field}.among", step.among)
        if step.unless_known:
            self._need(f"{field}.unless_known", step.unless_known)
        for answer in step.answers:
            if answer not in kind.values and answer not in self.vocabulary.reply_words:
                raise self.fail(f"{field}.answers.{answer}", f"is no {step.expect} and no reply word")

    def _check_way_on(self, field: str, step: Step) -> None:
        for place, target in step.targets():
            if target.startswith(OPEN):
                self._need_dialogue(f"{field}.{place}", target.removeprefix(OPEN))
            elif target != END and target not in self.dialogue.steps:
                raise self.fail(f"{field}.{place}", f"there is no step {target!r} here")
        branches = step.then if not isinstance(step.then, str) else []
        for i, branch in enumerate(branches):
            self._check_when(f"{field}.then[{i}]", branch)
        values = self.vocabulary.kinds[step.expect].values if step.expect else ()
        answered = bool(values) and set(values) <= set(step.answers)
        if step.expect and self.vocabulary.kinds[step.expect].offered:
            answered = bool(step.answers)
        if step.then == [] and not answered:
            raise self.fail(field, "leads nowhere: add then")
        if branches and branches[-1].when and not self._exhaustive(branches):
            raise self.fail(f"{field}.then", "not every case leads somewhere: end with a branch without when")

    def _check_when(self, field: str, branch: Branch) -> None:
        for fact, wanted in branch.when.items():
            have = self._need(f"{field}.when.{fact}", fact)
            for value in [wanted] if isinstance(wanted, str) else wanted:
                if have.values and value not in (*have.values, "known", "unknown"):
                    raise self.fail(f"{field}.when.{fact}", f"{value!r} is none of {', '.join(have.values)}")

    def _exhaustive(self, branches: list[Branch]) -> bool:
        facts = {fact for b in branches for fact in b.when}
        if len(facts) != 1:
            return False
        fact = facts.pop()
        tested = {v for b in branches for w in b.when.values() for v in ([w] if isinstance(w, str) else w)}
        have = self.facts[fact]
        sure = bool(have.values) and not have.optional and set(have.values) <= tested
        return sure or {"known", "unknown"} <= tested

    def _check_reachable(self) -> None:
        seen, todo = set[str](), [self.dialogue.first]
        while todo:
            name = todo.pop()
            if name in seen:
                continue
            seen.add(name)
            todo += [to for _, to in self.dialogue.steps[name].targets() if to in self.dialogue.steps]
        for name in self.dialogue.steps:
            if name not in seen:
                raise self.fail(f"steps.{name}", "nothing leads to this step")

    def _need(self, field: str, fact: str) -> Quantity:
        if fact not in self.facts:
            raise self.fail(
                field, f"{fact!r} is no fact here (declared in facts.yaml, or worked out in this file)"
            )
        return self.facts[fact]

    def _need_own(self, field: str, fact: str) -> Quantity:
        if fact.split(".")[0] not in SCOPES:
            raise self.fail(field, f"{fact!r} cannot be set: only {', '.join(SCOPES)} facts can")
        return self._need(field, fact)

    def _need_dialogue(self, field: str, name: str) -> None:
        if name not in self.others:
            raise self.fail(field, f"there is no dialogue {name!r}")


def computations_of(dialogue: Dialogue, vocabulary: Vocabulary) -> Iterator[Computation]:
    for step in dialogue.steps.values():
        for work in step.work_out:
            yield from (vocabulary.computations[n] for n in work if n in vocabulary.computations)


def _outputs(dialogue: Dialogue, vocabulary: Vocabulary) -> Iterator[tuple[str, Quantity]]:
    for computation in computations_of(dialogue, vocabulary):
        for name, quantity in computation.outputs.items():
            yield f"{computation.name}.{name}", quantity
