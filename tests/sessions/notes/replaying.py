"""Devices on a bad connection, as they are: what they type, send, repeat, lose and forget.

Of every word it is known what its writer had read, so that it can be said afterwards which
words may be gone: those that the same device wrote over, and those that somebody had read.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, field
from typing import Any

from sessions.notes.domain.addenda import unsent_fields
from sessions.notes.domain.draft_fields import DraftSave
from sessions.notes.domain.drafts import Draft, DraftSaveResult, apply_draft_save
from sessions.notes.domain.line_fields import line_of

FIELDS = ("subjective", "minutes.stretching", "line.a", "line.b.response", "line.b.stretch")
"""``line.b`` is saved thing by thing."""


@dataclass(frozen=True)
class Word:
    """Something typed into a field; ``had_read``: the words that stood there for its writer."""

    text: str
    name: str
    device: str
    at: int
    had_read: frozenset[Any]


@dataclass
class Phone:
    """One device: its counter, the revision that it has read and what stood there; ``typed``:
    its own words of which it does not know yet that they came."""

    name: str
    start: int = 0
    sequence: int = 0
    base: int = 0
    view: dict[str, frozenset[Any]] = field(default_factory=dict)
    shown: dict[str, Any] = field(default_factory=dict)
    typed: dict[str, str] = field(default_factory=dict)


@dataclass
class Replay:
    """One note from the first word to the last save. ``named``: devices name each start;
    ``wholes``: every other save is of the whole note, as its device shows it."""

    seed: int
    restarts: bool
    named: bool = False
    wholes: bool = False
    fields: tuple[str, ...] = FIELDS
    draft: Draft = field(default_factory=Draft)
    words: list[Word] = field(default_factory=list)
    on_the_way: list[DraftSave] = field(default_factory=list)
    sent: list[DraftSave] = field(default_factory=list)
    came: set[str] = field(default_factory=set)

    def __post_init__(self) -> None:
        self.chance = random.Random(self.seed)
        self.phones = [Phone("phone"), Phone("tablet"), Phone("desk")]

    def run(self, steps: int) -> None:
        """Type, send, lose answers, start anew, in any order; then everything arrives."""
        for _ in range(steps):
            phone = self.chance.choice(self.phones)
            act = self.chance.random()
            if act < 0.5:
                self.types(phone)
            elif act < 0.9:
                self.something_arrives(phone)
            elif self.restarts:
                phone.start, phone.sequence = phone.start + 1, 0
        self.everything_arrives()

    def everything_arrives(self) -> None:
        """What is on the way and all that was ever sent, once more, shuffled."""
        late = [*self.on_the_way, *self.sent]
        self.chance.shuffle(late)
        self.on_the_way = []
        for one in late:
            self.deliver(one)

    def deliver(self, save: DraftSave) -> None:
        """A save reaches the draft."""
        self.came.add(key_of(save))
        apply_draft_save(self.draft, save)

    def standing(self) -> tuple[int, dict[str, frozenset[Any]]]:
        """The revision and every value that can be read, by field."""
        return self.draft.revision, stands(self.draft)

    def types(self, phone: Phone) -> None:
        names = self.chance.sample(self.fields, self.chance.randint(1, 2))
        changes = {}
        for name in names:
            text = f"word {len(self.words)}"
            read = phone.view.get(name, frozenset())
            self.words.append(Word(text, name, phone.name, len(self.words), read))
            changes[name] = text
        phone.sequence += 1
        whole = self.wholes and self.chance.random() < 0.5
        if whole:
            changes = self.whole(phone, changes)
        device = f"{phone.name} {phone.start}" if self.named else phone.name
        save = DraftSave(
            device=device,
            sequence=phone.sequence,
            base=phone.base,
            changes=as_saved(changes),
            whole=whole,
        )
        said = (*phone.typed, *names) if whole else names
        phone.typed.update(dict.fromkeys(said, key_of(save)))
        self.on_the_way.append(save)
        self.sent.append(save)

    def whole(self, phone: Phone, changes: dict[str, Any]) -> dict[str, Any]:
        """What a device shows: what it read, its own words over it, whether they came or not."""
        own = {
            name: [
                word.text for word in self.words if (word.name, word.device) == (name, phone.name)
            ]
            for name in phone.typed
            if name not in changes
        }
        for name, words in own.items():
            read = phone.view.get(name, frozenset())
            had = read if words[-1] != phone.shown.get(name) else frozenset()
            self.words.append(Word(words[-1], name, phone.name, len(self.words), had))
        for name, read in phone.view.items():
            if len(read) > 1 and name not in own and name not in changes:
                # Two values were shown to it: it has read both, and says the first.
                others = read - {phone.shown[name]}
                self.words.append(Word("", name, "", len(self.words), others))
        return {**phone.shown, **{name: words[-1] for name, words in own.items()}, **changes}

    def something_arrives(self, phone: Phone) -> None:
        """A save arrives, a new or an old one; half of the answers are lost."""
        waiting = self.on_the_way if self.chance.random() < 0.8 else self.sent
        if waiting:
            one = self.chance.choice(waiting)
            if waiting is self.on_the_way:
                waiting.remove(one)
            self.deliver(one)
        if self.chance.random() < 0.5:
            self.reads(phone)

    def reads(self, phone: Phone) -> None:
        phone.base, phone.view = self.standing()
        if self.wholes:
            phone.shown = {name: self.draft.fields[name].value for name in phone.view}
        phone.typed = {name: save for name, save in phone.typed.items() if save not in self.came}

    def settles(self) -> None:
        """Somebody reads every collision and chooses: all values, one after the other."""
        found = stands(self.draft)
        open_ones = {name: values for name, values in found.items() if len(values) > 1}
        assert {line_of(name) for name in open_ones} == set(self.draft.collisions())
        changes = {name: " / ".join(sorted(values)) for name, values in open_ones.items()}
        done = self.save("settler", as_saved(changes))
        assert done.collisions == ()
        for name, value in changes.items():
            at = len(self.words)
            read = frozenset(open_ones[name])
            self.words.append(Word(value, name, "settler", at, read))

    def save(self, device: str, changes: dict[str, Any]) -> DraftSaveResult:
        """One save upon what stands, from a device that has read it."""
        base = self.draft.revision
        one = DraftSave(device=device, sequence=len(self.sent) + 1, base=base, changes=changes)
        self.sent.append(one)
        return apply_draft_save(self.draft, one)

    def must_stand(self) -> dict[str, set[Any]]:
        """The words that nobody had read and that their own device did not write over."""
        found: dict[str, set[Any]] = {}
        for word in self.words:
            same = [other for other in self.words if other.name == word.name]
            gone = any(
                word.text in other.had_read or (other.device == word.device and other.at > word.at)
                for other in same
            )
            if word.text and not gone:
                found.setdefault(word.name, set()).add(word.text)
        return found

    def unsent(self, signed: dict[str, Any]) -> dict[str, Any]:
        """What differs from what was signed."""
        return unsent_fields(signed, self.draft.content())


def key_of(save: DraftSave) -> str:
    """A save, known again."""
    return repr(save)


def stands(draft: Draft) -> dict[str, frozenset[Any]]:
    """Every value that can be read, by field; of a line by what is said of it."""
    lines = {line_of(name) for name in draft.fields if line_of(name) != name}
    return {
        name: frozenset(one.values)
        for name, one in draft.fields.items()
        if one.heads and name not in lines and not name.endswith(".brought_from")
    }


def as_saved(changes: dict[str, Any]) -> dict[str, Any]:
    """Words by field as a device sends them: what it says of a line as one line."""
    sent: dict[str, Any] = {}
    for name, text in changes.items():
        line = line_of(name)
        if line == name:
            sent[name] = text
        else:
            sent.setdefault(line, {})[name.removeprefix(f"{line}.")] = text
    return sent
