"""The pages of the desk and what their forms do."""

from __future__ import annotations

import gc
import json
import tempfile
from functools import cache, partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.responses import (
    FileResponse,
    HTMLResponse,
    JSONResponse,
    PlainTextResponse,
    RedirectResponse,
    Response,
)
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from cuetrack.desk.classes import StaleClassError
from cuetrack.desk.fields import whole_number
from cuetrack.desk.guard import TooLargeError
from cuetrack.desk.library_search import found_for
from cuetrack.desk.pieces import hear_piece, room_words, verdict_of
from cuetrack.desk.ready import (
    QUESTIONS,
    READY_CLASSES,
    empty_class,
    new_class,
    ready_class,
)
from cuetrack.desk.shelf import NotOnTheShelfError
from cuetrack.desk.summaries import summaries_of
from cuetrack.desk.templating import desk_words, render, told_lines
from cuetrack.desk.tunes import refuse_silent, tune_name
from cuetrack.desk.versions import changes_to, versions_for
from cuetrack.desk.work import WHOLE_TRACK_S, in_process
from cuetrack.errors import CuetrackError, UsageError
from cuetrack.movements.figure.sketch import panels_of
from cuetrack.movements.figure.svg import svg_of
from cuetrack.movements.strains import motion_of

if TYPE_CHECKING:
    from starlette.requests import Request

    from cuetrack.desk.classes import ClassDesk, OpenClass

STATIC: Final = Path(__file__).parent / "static"


def application(desk: ClassDesk) -> Starlette:
    """Return the desk as an application, its guard not yet before it."""
    of_class = "/class/{id}"
    routes = [
        Route("/", partial(shelf_page, desk), name="shelf"),
        Route("/new", partial(new_page, desk), methods=["GET", "POST"]),
        Route("/ready/{number:int}", partial(take_ready, desk), methods=["POST"]),
        Route("/figure/{name}.svg", figure),
        Route(of_class, partial(class_page, desk)),
        Route(f"{of_class}/change", partial(change, desk), methods=["POST"]),
        Route(f"{of_class}/text", partial(text, desk), methods=["POST"]),
        Route(f"{of_class}/step", partial(step, desk), methods=["POST"]),
        Route(f"{of_class}/settle", partial(settle, desk), methods=["POST"]),
        Route(f"{of_class}/script", partial(script, desk)),
        Route(f"{of_class}/library", partial(library, desk)),
        Route(f"{of_class}/hear", partial(hear, desk)),
        Route(f"{of_class}/would", partial(would, desk), methods=["POST"]),
        Route(f"{of_class}/make", partial(make, desk), methods=["POST"]),
        Route(f"{of_class}/cancel", partial(cancel, desk), methods=["POST"]),
        Route(f"{of_class}/made", partial(made, desk)),
        Route(f"{of_class}/verify", partial(verify, desk), methods=["POST"]),
        Route(f"{of_class}/tune", partial(tune, desk), methods=["POST"]),
        Route(f"{of_class}/recording", partial(recording, desk), methods=["POST"]),
        Route(f"{of_class}/lend", partial(lend, desk), methods=["POST"]),
        Route(f"{of_class}/file/{{ending}}", partial(file, desk)),
        Mount("/static", StaticFiles(directory=STATIC)),
    ]
    handlers: dict[Any, Any] = {
        NotOnTheShelfError: _not_found,
        StaleClassError: _stale,
        CuetrackError: _refused,
        TooLargeError: _too_large,
        Exception: _failed,
    }
    return Starlette(routes=routes, exception_handlers=handlers)


def _told(request: Request, told: str, status: int) -> Response:
    """Tell of trouble: by a page to who goes to one, by an object to a script."""
    if "text/html" in request.headers.get("accept", ""):
        return HTMLResponse(render("trouble.html", told=told), status)
    return JSONResponse({"trouble": told}, status)


async def _not_found(request: Request, error: Exception) -> Response:
    return _told(request, "\n".join(told_lines(error)), 404)


async def _refused(request: Request, error: Exception) -> Response:
    return _told(request, "\n".join(told_lines(error)), 400)


async def _stale(request: Request, error: Exception) -> Response:
    return _told(request, str(error), 409)


async def _too_large(_: Request, __: Exception) -> Response:
    return PlainTextResponse("That is too large.", 413)


async def _failed(request: Request, _: Exception) -> Response:
    """Say that something went wrong in the desk itself; the window tells more."""
    return _told(request, desk_words()["failed"], 500)


async def shelf_page(desk: ClassDesk, _: Request) -> Response:
    """Show the classes of the folder, and ways to a new one."""
    shown = await run_in_threadpool(summaries_of, desk.shelf)
    return HTMLResponse(render("shelf.html", classes=shown, ready=READY_CLASSES))


async def new_page(desk: ClassDesk, request: Request) -> Response:
    """Ask a few questions, and make a plan of the answers."""
    answers = dict.fromkeys(QUESTIONS, "")
    if request.method == "GET":
        return HTMLResponse(render("new.html", answers=answers, trouble=""))
    answers |= {name: str(value) for name, value in (await request.form()).items()}
    begin = empty_class if answers.get("begin") == "empty" else new_class
    try:
        plan_text, title = await run_in_threadpool(begin, answers)
    except (CuetrackError, ValueError) as error:
        page = render("new.html", answers=answers, trouble=str(error))
        return HTMLResponse(page, 400)
    plan_id = await run_in_threadpool(desk.add, title, plan_text)
    return RedirectResponse(f"/class/{plan_id}", 303)


async def take_ready(desk: ClassDesk, request: Request) -> Response:
    """Put a ready class into the folder and open it."""
    plan_text, title = await run_in_threadpool(
        ready_class, request.path_params["number"]
    )
    plan_id = await run_in_threadpool(desk.add, title, plan_text)
    return RedirectResponse(f"/class/{plan_id}", 303)


async def figure(request: Request) -> Response:
    """Draw the position that shows a movement best."""
    motion = motion_of(request.path_params["name"])
    if motion is None:
        return PlainTextResponse("There is no drawing of it.", 404)
    drawn = svg_of(panels_of(motion)[-1])
    return Response(
        drawn, media_type="image/svg+xml", headers={"cache-control": "max-age=3600"}
    )


def _open(desk: ClassDesk, request: Request) -> OpenClass:
    return desk.open(request.path_params["id"])


async def class_page(desk: ClassDesk, request: Request) -> Response:
    """Show a class: its strip, its pieces, its script, its review."""
    page = await run_in_threadpool(lambda: _open(desk, request).page())
    return HTMLResponse(page)


async def change(desk: ClassDesk, request: Request) -> Response:
    """Do what a form asks for; give back what the page shows otherwise."""
    asked = await _json(request)
    name, fields = str(asked.get("change")), asked.get("fields")
    if not isinstance(fields, dict):
        raise UsageError("A change has fields.")
    done = await run_in_threadpool(
        lambda: _open(desk, request).change(name, fields, asked.get("version"))
    )
    return JSONResponse(done)


async def text(desk: ClassDesk, request: Request) -> Response:
    """Take the whole text of the plan as it was typed."""
    asked = await _json(request)
    typed = asked.get("text")
    if not isinstance(typed, str):
        raise UsageError("There is no text.")
    done = await run_in_threadpool(
        lambda: _open(desk, request).write(typed, asked.get("version"))
    )
    return JSONResponse(done)


async def step(desk: ClassDesk, request: Request) -> Response:
    """Undo (-1), do again (1), or show what there is (0)."""
    by = (await _json(request)).get("by")
    if by not in (-1, 0, 1):
        raise UsageError("One goes a step back or forward.")
    return JSONResponse(await run_in_threadpool(lambda: _open(desk, request).step(by)))


async def settle(desk: ClassDesk, request: Request) -> Response:
    """Take what something else wrote into the file, or keep the desk's text."""
    theirs = bool((await _json(request)).get("theirs"))
    done = await run_in_threadpool(lambda: _open(desk, request).settle(theirs=theirs))
    return JSONResponse(done)


async def script(desk: ClassDesk, request: Request) -> Response:
    """Give what will be said, and the review."""
    told = await run_in_threadpool(lambda: _open(desk, request).script())
    _keep_what_is_loaded()
    return JSONResponse(told)


@cache
def _keep_what_is_loaded() -> None:
    """Spare the collector of memory what stays: it looked through that for 45 ms."""
    gc.collect()
    gc.freeze()


async def library(desk: ClassDesk, request: Request) -> Response:
    """Give the movements that fit some words, and what this group may do of them."""
    asked = request.query_params
    words = " ".join(asked.get("words", "").split())[:60]
    plan = await run_in_threadpool(lambda: _open(desk, request).plan)
    found = await run_in_threadpool(found_for, plan, words)
    take = desk_words()["swap this" if asked.get("does") == "swap" else "add it"]
    return HTMLResponse(render("library.html", found=found, words=words, take=take))


async def hear(desk: ClassDesk, request: Request) -> Response:
    """Speak a piece of the class and give its sound."""
    asked = request.query_params
    path = await run_in_threadpool(lambda: _open(desk, request).draft.path)
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "piece.mp3"
        await run_in_threadpool(
            in_process,
            hear_piece,
            str(path),
            whole_number(asked.get("from", "0")),
            whole_number(asked.get("lasting", "60000")),
            asked.get("one") == "1",
            str(out),
        )
        return Response(out.read_bytes(), media_type="audio/mpeg")


async def would(desk: ClassDesk, request: Request) -> Response:
    """Show what a fit, another version or the next weeks would change, or do it."""
    asked = await _json(request)
    opened = await run_in_threadpool(lambda: _open(desk, request))
    wanted = await run_in_threadpool(versions_for, opened.plan, asked)
    match asked.get("do"):
        case "here":
            return JSONResponse(await run_in_threadpool(opened.become, wanted[0].plan))
        case "beside":
            new = await run_in_threadpool(desk.add_versions, opened, wanted)
            return JSONResponse({"classes": new})
    rows = await run_in_threadpool(changes_to, opened.plan, wanted)
    return JSONResponse({"changes": rows, "several": len(wanted) > 1})


async def make(desk: ClassDesk, request: Request) -> Response:
    """Begin to make the track and what goes with it, a film too if asked."""
    film = bool((await _json(request)).get("film"))
    opened = await run_in_threadpool(lambda: _open(desk, request))
    desk.maker.start(opened.id, opened.draft.path, film=film)
    return JSONResponse({"state": "running"})


async def cancel(desk: ClassDesk, request: Request) -> Response:
    """Stop making it."""
    desk.maker.cancel(request.path_params["id"])
    return JSONResponse({"state": "cancelled"})


async def made(desk: ClassDesk, request: Request) -> Response:
    """Tell how far the make is, and what there is of it."""
    return JSONResponse(
        await run_in_threadpool(lambda: desk.made_of(request.path_params["id"]))
    )


async def verify(desk: ClassDesk, request: Request) -> Response:
    """Measure the finished track."""
    track = await run_in_threadpool(desk.track_of, request.path_params["id"])
    told = await run_in_threadpool(
        partial(in_process, verdict_of, str(track), seconds=WHOLE_TRACK_S)
    )
    return JSONResponse({"told": told})


async def tune(desk: ClassDesk, request: Request) -> Response:
    """Take a sound file into the folder and play it under the class."""
    name = tune_name(request.query_params.get("name", ""))
    await run_in_threadpool(lambda: _open(desk, request))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / name
        await _received(request, path)
        await run_in_threadpool(in_process, refuse_silent, str(path))
        done = await run_in_threadpool(desk.add_tune, request.path_params["id"], path)
    return JSONResponse(done)


async def _received(request: Request, path: Path) -> None:
    with path.open("wb") as out:
        async for block in request.stream():
            out.write(block)


async def recording(desk: ClassDesk, request: Request) -> Response:
    """Tell from a recording of the hall what its back row loses."""
    track = await run_in_threadpool(desk.track_of, request.path_params["id"])
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "recording"
        await _received(request, path)
        plan = await run_in_threadpool(lambda: _open(desk, request).draft.path)
        listening = partial(in_process, room_words, str(track), str(path), str(plan))
        told = await run_in_threadpool(partial(listening, seconds=WHOLE_TRACK_S))
    return JSONResponse({"told": told})


async def lend(desk: ClassDesk, request: Request) -> Response:
    """Lend what was made to devices of this network, or stop lending it."""
    on = bool((await _json(request)).get("on"))
    lent = await run_in_threadpool(desk.lend, request.path_params["id"], on=on)
    return JSONResponse(lent)


async def file(desk: ClassDesk, request: Request) -> Response:
    """Give one of the files that were made of a class."""
    found = await run_in_threadpool(desk.files_of, request.path_params["id"])
    path = found.get(request.path_params["ending"])
    if path is None:
        raise NotOnTheShelfError("This was not made yet.")
    return FileResponse(path, headers=_headers_for(path))


def _headers_for(path: Path) -> dict[str, str]:
    """Return what a finished page may do: run what it carries, and nothing else.

    A drawing may not even do that. Both are strangers to the desk that shows them.
    """
    if path.suffix == ".svg":
        only = "sandbox; default-src 'none'; style-src 'unsafe-inline'; img-src data:"
        return {"content-security-policy": only}
    if path.suffix != ".html":
        return {}
    policy = "sandbox allow-scripts; default-src 'none'; script-src 'unsafe-inline'; "
    policy += "style-src 'unsafe-inline'; img-src data:; media-src data:"
    return {"content-security-policy": policy}


async def _json(request: Request) -> dict[str, Any]:
    try:
        asked = await request.json()
        json.dumps(asked, ensure_ascii=False).encode()  # half a letter is no text
    except (ValueError, RecursionError) as error:
        raise UsageError("That is no JSON object.") from error
    if not isinstance(asked, dict):
        raise UsageError("That is no JSON object.")
    return asked
