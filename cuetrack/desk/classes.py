"""The classes of a folder as the desk works on them."""

from __future__ import annotations

import base64
import threading
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from cuetrack.cues.timeline import lay_out
from cuetrack.desk.changes import changed
from cuetrack.desk.choices import choices_for
from cuetrack.desk.draft import digest, opened
from cuetrack.desk.fields import facts_in, lines_in
from cuetrack.desk.group_text import with_group
from cuetrack.desk.guard import LARGEST_UPLOAD_BYTES
from cuetrack.desk.lending import Lending
from cuetrack.desk.look import bars_of, parts_of, remarks_of, script_of
from cuetrack.desk.made_words import made_words
from cuetrack.desk.music_text import with_music_files
from cuetrack.desk.shelf import NotOnTheShelfError, Shelf, id_of, shown_name
from cuetrack.desk.templating import desk_words, render
from cuetrack.desk.tunes import put_on
from cuetrack.desk.work import Maker
from cuetrack.errors import PlanError, UsageError
from cuetrack.output.track.files import write_text
from cuetrack.output.track.formats import FORMATS
from cuetrack.pipeline.checking import check, plan_from_text
from cuetrack.planning.editing import rewritten
from cuetrack.times import clock

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable

    from cuetrack.desk.draft import Draft
    from cuetrack.desk.versions import PlanVersion
    from cuetrack.plan.model import Plan


LEAVING: Final = "leaving"
"""In place of a version: what was typed last, from a page that is left."""


class StaleClassError(UsageError):
    """The class is no longer as the page that asks last saw it."""


class ClassDesk:
    """One folder of classes, with what is being made and lent of them."""

    def __init__(self, folder: Path) -> None:
        self.shelf = Shelf(folder)
        self.maker = Maker()
        self._lent: dict[str, Lending] = {}
        self._drafts: dict[str, Draft] = {}
        self._lock = threading.RLock()

    def add(self, title: str, text: str) -> str:
        """Write a new plan into the folder and return its id."""
        path = self.shelf.new_path(title)
        write_text(path, text)
        return id_of(path.name)

    def add_versions(
        self, opened: OpenClass, versions: Iterable[PlanVersion]
    ) -> list[dict[str, str]]:
        """Write versions of a class as classes of their own and return which."""
        texts = [(one.plan.title, opened.text_of(one.plan)) for one in versions]
        return [{"id": self.add(title, text), "title": title} for title, text in texts]

    def open(self, plan_id: str) -> OpenClass:
        """Return a class to work on, its draft as it was left.

        Raises NotOnTheShelfError when there is no such plan.
        """
        path = self.shelf.plan(plan_id)
        with self._lock:
            draft = self._drafts.get(plan_id)
            if draft is None:
                draft = self._drafts[plan_id] = opened(path)
            else:
                draft.look()
        return OpenClass(plan_id, draft, self.shelf.made_names(), self._lock)

    def add_tune(self, plan_id: str, brought: Path) -> dict[str, Any]:
        """Copy a tune into the folder, make it the last of a class's music.

        Returns what the page shows then.
        """
        name = put_on(self.shelf, brought)
        opened = self.open(plan_id)
        music = opened.plan.music
        names = [Path(one).name for one in music.files] if music else []
        lines = "\n".join(dict.fromkeys([*names, name]))
        return opened.change("music", {"files": lines}, LEAVING)

    def files_of(self, plan_id: str) -> dict[str, Path]:
        """Return what was made of a class, by ending."""
        return self.shelf.made(self.shelf.plan(plan_id))

    def track_of(self, plan_id: str) -> Path:
        """Return the track of a class. Raises NotOnTheShelfError when there is none."""
        for ending, path in self.files_of(plan_id).items():
            if ending in FORMATS:
                return path
        raise NotOnTheShelfError("The track was not made yet.")

    def made_of(self, plan_id: str) -> dict[str, Any]:
        """Return how far the make is, and the files there are."""
        state = self.maker.state(plan_id)
        lent = self._lent.get(plan_id)
        return {
            "state": state.state if state else "",
            "stage": desk_words().get(f"stage {state.stage}", "") if state else "",
            "share": round(state.share, 3) if state else 0,
            "left": _left(state.minutes_left) if state else "",
            "told": state.told if state else "",
            "files": sorted(files := self.files_of(plan_id)),
            "named": made_words(files),
            "older": _is_older(files, self.shelf.plan(plan_id)),
            "lent": _lent_values(lent) if lent else None,
        }

    def lend(self, plan_id: str, *, on: bool) -> dict[str, Any]:
        """Lend what was made of a class to this network, or stop."""
        with self._lock:
            lent = self._lent.pop(plan_id, None)
            if lent is not None:
                lent.stop()
            if not on:
                return {"lent": None}
            self.track_of(plan_id)
            files = self.files_of(plan_id)
            title = self.open(plan_id).plan.title
            self._lent[plan_id] = lent = Lending(title, files)
            return {"lent": _lent_values(lent)}

    def close(self) -> None:
        """Stop lending and making."""
        for lent in self._lent.values():
            lent.stop()
        self.maker.close()


def _left(minutes: int | None) -> str:
    """Return how long a make will take, in words; nothing while it is too early."""
    if minutes is None:
        return ""
    word = {0: "moment left", 1: "minute left"}.get(minutes, "minutes left")
    return desk_words()[word].format(n=minutes)


def _is_older(files: dict[str, Path], plan: Path) -> bool:
    """Return whether a class was changed since its track was made."""
    tracks = [path.stat().st_mtime for end, path in files.items() if end in FORMATS]
    return bool(tracks) and max(tracks) < plan.stat().st_mtime


def _counted(open_remarks: int) -> str:
    """Return how many remarks of the review are to be looked at, in words."""
    words = desk_words()
    if not open_remarks:
        return words["nothing found"]
    return words["one found" if open_remarks == 1 else "found"].format(n=open_remarks)


def _text_changed(text: str, name: str, fields: dict[str, Any], file: str) -> str:
    """Return a text after what is changed in the text itself, not in its plan."""
    if name == "class" and fields.keys() & {"who", "nobody"}:
        who, nobody = (
            facts_in(fields, key) if key in fields else None
            for key in ("who", "nobody")
        )
        return with_group(text, who, nobody, file)
    if name == "music" and "files" in fields:
        return with_music_files(text, lines_in(fields, "files"), file)
    return text


def _lent_values(lent: Lending) -> dict[str, str]:
    picture = base64.b64encode(lent.qr_svg().encode()).decode()
    return {"address": lent.address, "qr": f"data:image/svg+xml;base64,{picture}"}


class OpenClass:
    """A class that is worked on: its draft, and the plan that the draft means."""

    def __init__(
        self, plan_id: str, draft: Draft, made: Collection[str], lock: threading.RLock
    ) -> None:
        self.id = plan_id
        self.draft = draft
        self._made = made
        self._lock = lock
        self._read = partial(plan_from_text, path=draft.path)
        self._meant: dict[str, Plan | PlanError] = {}

    @property
    def plan(self) -> Plan:
        """The newest state of the draft that is a plan.

        Raises PlanError when none of them is.
        """
        present = self._meaning(self.draft.text)
        if not isinstance(present, PlanError):
            return present
        known = self.draft.no_plans
        for text in reversed(self.draft.states[: self.draft.at]):
            if digest(text) not in known:
                found = self._meaning(text)
                if not isinstance(found, PlanError):
                    return found
                known.add(digest(text))
        raise present

    @property
    def is_plan(self) -> bool:
        """Whether any state of the draft is a plan."""
        try:
            return bool(self.plan)
        except PlanError:
            return False

    def _present(self) -> Plan:
        """Return what the present text means. Raises PlanError when it is no plan."""
        return self._plan_of(self.draft.text)

    def _plan_of(self, text: str) -> Plan:
        """Return what a text means. Raises PlanError when it is no plan."""
        meaning = self._meaning(text)
        if isinstance(meaning, PlanError):
            raise meaning
        return meaning

    def _meaning(self, text: str) -> Plan | PlanError:
        """Return what a text means, read once while this class is open."""
        if text not in self._meant:
            try:
                self._meant[text] = self._read(text)
            except PlanError as error:
                self._meant[text] = error
        return self._meant[text]

    def change(
        self, name: str, fields: dict[str, Any], version: object
    ) -> dict[str, Any]:
        """Do what a form asks for and return what the page shows then."""
        with self._lock:
            if version != LEAVING:
                self._refuse_stale(version)
            text = self.draft.text
            new = _text_changed(text, name, fields, str(self.draft.path))
            plan = self._present() if new == text else self._plan_of(new)
            text = new
            self._become(plan, changed(plan, name, fields), text)
        return self.state()

    def become(self, wanted: Plan) -> dict[str, Any]:
        """Make the plan another and return what the page shows then."""
        with self._lock:
            self._become(self._present(), wanted, self.draft.text)
        return self.state()

    def text_of(self, wanted: Plan) -> str:
        """Return the text of the class changed so that it means another plan."""
        return rewritten(self.draft.text, self._present(), wanted, self._plan_of)

    def _become(self, plan: Plan, wanted: Plan, text: str) -> None:
        self.draft.write(rewritten(text, plan, wanted, self._plan_of, note=None))
        self.draft.file()

    def write(self, text: str, version: object) -> dict[str, Any]:
        """Take a text as it was typed; the file follows when it is a plan."""
        with self._lock:
            self._refuse_stale(version)
            self.draft.write(text)
            if not self.troubles():
                self.draft.file()
        return self.state()

    def step(self, by: int) -> dict[str, Any]:
        """Undo or do again."""
        with self._lock:
            self.draft.step(by)
            if not self.troubles():
                self.draft.file()
        return self.state()

    def settle(self, *, theirs: bool) -> dict[str, Any]:
        """Take what the file holds now, or keep the desk's text."""
        with self._lock:
            self.draft.settle(theirs=theirs)
            if not theirs and not self.troubles():
                self.draft.file()
        return self.state()

    def _refuse_stale(self, version: object) -> None:
        if version != self.draft.version:
            raise StaleClassError(
                "This class was changed in another tab meanwhile.",
                "It is shown anew; what you typed is kept here for you to repeat.",
            )

    def troubles(self) -> list[dict[str, Any]]:
        """Return what keeps the present text from being a plan, by line."""
        meaning = self._meaning(self.draft.text)
        problems = meaning.problems if isinstance(meaning, PlanError) else ()
        return [
            {"line": one.line, "what": one.what, "remedy": one.remedy}
            for one in problems
        ]

    def page(self) -> str:
        """Return the whole page of the class, or its text alone where it is no plan."""
        if not self.is_plan:
            return render("mend.html", id=self.id, state=self.text_state())
        return render(
            "class.html",
            id=self.id,
            state=self.state(),
            most_bytes=LARGEST_UPLOAD_BYTES,
        )

    def state(self) -> dict[str, Any]:
        """Return what the page shows without speech: strip, pieces, text, troubles."""
        if not self.is_plan:
            return self.text_state()
        plan = self.plan
        timeline = lay_out(plan)
        return self.text_state() | {
            "title": plan.title,
            "length": clock(timeline.end_ms),
            "length_ms": timeline.end_ms,
            "strip": render("strip.html", bars=bars_of(timeline)),
            "parts": render(
                "parts.html",
                parts=parts_of(plan, timeline),
                plan=plan,
                **choices_for(plan, self._made),
            ),
        }

    def text_state(self) -> dict[str, Any]:
        """Return what there is also of a text that was never a plan."""
        draft = self.draft
        return {
            "version": draft.version,
            "name": shown_name(draft.path),
            "text": draft.text,
            "troubles": self.troubles(),
            "undo": draft.can_undo,
            "redo": draft.can_redo,
            "outside": draft.outside is not None,
        }

    def script(self) -> dict[str, Any]:
        """Return what will be said and what the review found."""
        checked = check(self.plan)
        said, remarks = script_of(checked), remarks_of(checked)
        return {
            "script": render("script.html", said=said),
            "review": render("review.html", remarks=remarks),
            "told": _counted(sum(not one.answered for one in remarks)),
            "ready": checked.ready,
            "version": self.draft.version,
        }
