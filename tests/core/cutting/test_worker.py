"""The planner's worker as a process of its own: one request in, lines of JSON out."""

import json
import subprocess
import sys
from pathlib import Path

import msgspec
import pytest

from core.bag.compute import compute
from core.bag.making import Cutting
from core.base.errors import CornerwrightError
from core.cutting.plan import Plan, PlanOptions
from core.cutting.planner import Planner, best_plan
from core.cutting.worker import read_answer, request_json, request_name
from core.storage.bag_files import demo_bag
from tests.core.cutting.plan_checks import check_plan
from tests.helpers import demo, layer, sandwich

ROOT = Path(__file__).parents[3]
COMMAND = [sys.executable, "-W", "error", "-m", "core.cutting.worker"]


def asked(request: bytes, *, code: int = 0) -> list[bytes]:
    """The worker's lines."""
    run = subprocess.run(
        COMMAND, input=request, cwd=ROOT, capture_output=True, timeout=60, check=False
    )
    assert run.returncode == code, run.stderr.decode()
    assert run.stderr == b""
    return run.stdout.splitlines()


def planner(**options: object) -> Planner:
    given = {"bags": 3, "builds": 60, **options}
    return Planner(compute(demo_bag()), PlanOptions(**given))  # type: ignore[arg-type]  # as given


def request_of(question: Planner) -> bytes:
    options = question.options
    return request_json(question.sections, seed=options.seed, builds=options.builds)


@pytest.mark.parametrize("options", [{}, {"cutting": Cutting.ROWS, "gap": 3.0}, {"folded": True}])
def test_the_worker_comes_to_the_plan_that_this_process_does(options: dict[str, object]) -> None:
    question = planner(**options)
    request = request_of(question)
    *layouts, last = asked(request)
    assert json.loads(last) == {
        "kind": "done", "request": request_name(request), "done": 1.0,
        "layouts": [], "lengths": [], "message": "",
    }  # fmt: skip
    steps = [read_answer(line, request, question.sections) for line in layouts]
    plans: list[Plan] = []
    shares: list[float] = []
    for step in steps:
        assert step is not None
        shares.append(step.done)
        plans.append(question.plan(step.layouts))
    check_plan(plans[0])
    assert shares == sorted(shares)
    assert shares[-1] == 1.0
    assert plans[-1] == best_plan(question.result, question.options)


def test_an_answer_to_another_question_is_no_answer() -> None:
    question, other = planner(), planner(seed=9)
    line = asked(request_of(question))[0]
    assert read_answer(line, request_of(question), question.sections) is not None
    assert read_answer(line, request_of(other), other.sections) is None


def test_nothing_to_cut_is_done_at_once() -> None:
    bag = demo(sandwich=sandwich(layer(usable_width=10.0)), pocket=None, handles=None, board=None)
    question = Planner(compute(bag), PlanOptions())
    lines = asked(request_of(question))
    step = read_answer(lines[0], request_of(question), question.sections)
    assert step is not None
    plan = question.plan(step.layouts)
    assert [goods.laid for goods in plan.goods] == [()]
    assert len(plan.findings) == 1


@pytest.mark.parametrize(
    ("request_text", "why"),
    [
        (b"", "truncated"),
        (b"{", "truncated"),
        (b"[]", "Expected `object`"),
        (b'{"seed": 1}', "required field `builds`"),
        (b'{"seed": 0, "builds": 0.5, "sections": []}', "`$.builds`"),
        (
            b'{"seed":0,"builds":5,"sections":[{"usable_width":-1.0,"gap":0.0,"cutting":"free",'
            b'"sheet":null,"rectangles":[],"share":1.0}]}',
            "usable width is -1.0 mm",
        ),
        (
            b'{"seed":0,"builds":5,"sections":[{"usable_width":10.0,"gap":0.0,"cutting":"rows",'
            b'"sheet":null,"rectangles":[[20.0,30.0,"never"]],"share":1.0}]}',
            "needs 20 mm of width",
        ),
    ],
)
def test_a_request_that_cannot_be_is_answered_in_one_line(request_text: bytes, why: str) -> None:
    (line,) = asked(request_text, code=2)
    told = msgspec.json.decode(line)
    assert told["kind"] == "error"
    assert why in told["message"]
    with pytest.raises(CornerwrightError):
        read_answer(line, request_text, [])


def test_a_killed_worker_is_gone_at_once() -> None:
    question = planner(bags=200, builds=2000)
    worker = subprocess.Popen(COMMAND, cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE)
    with worker:
        assert worker.stdin is not None
        assert worker.stdout is not None
        worker.stdin.write(request_of(question))
        worker.stdin.close()
        step = read_answer(worker.stdout.readline(), request_of(question), question.sections)
        assert step is not None
        assert step.done < 1.0
        check_plan(question.plan(step.layouts))
        worker.kill()
        assert worker.wait(timeout=60) != 0
